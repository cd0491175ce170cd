-- What ran.
create table story (
    id           integer primary key,
    event_id     integer not null references event (id) on delete cascade,
    outlet_id    integer not null references outlet (id),
    ran_on       text not null check (ran_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    title        text not null check (title <> ''),
    link         text not null default '',
    -- Time on air, where there was any.
    air_seconds  integer check (air_seconds between 1 and 86400),
    -- Which of the event's messages it carried, the first in the lowest bit.
    carried      integer not null default 0 check (carried between 0 and 31),
    correction   text not null default '',
    corrected_on text check (corrected_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    created_at   integer not null,
    version      integer not null default 1,
    check (corrected_on is null or correction <> '')
) strict;

create index story_event on story (event_id, ran_on);
create index story_outlet on story (outlet_id);
