-- What was decided about a type of thing that may not burn, in both rooms.
create table room_ruling (
    id          integer primary key,
    event_id    integer not null references event (id) on delete cascade,
    hazard      text not null,
    -- The type, folded.
    what        text not null,
    -- It holds for so many; more are asked about anew.
    quantity    integer not null check (quantity > 0),
    decided     text not null check (decided <> ''),
    decided_by  text not null check (decided_by <> ''),
    decided_on  text not null check (decided_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    unique (event_id, hazard, what)
) strict;
