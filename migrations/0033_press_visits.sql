-- Press on burn day: who was expected by their answer has a row once something
-- is known of them there.
create table press_visit (
    id         integer primary key,
    event_id   integer not null references event (id) on delete cascade,
    person_id  integer not null references person (id),
    outlet_id  integer references outlet (id),
    escort_id  integer references person (id),
    arrived_at integer,
    -- When the ground rules were signed.
    signed_at  integer,
    by_hand    integer not null default 0 check (by_hand in (0, 1)),
    unique (event_id, person_id)
) strict;

create index press_visit_person on press_visit (person_id);
create index press_visit_escort on press_visit (escort_id) where escort_id is not null;
