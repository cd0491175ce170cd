-- The minutes before ignition.
create table programme (
    event_id integer primary key references event (id) on delete cascade,
    -- Begins so many minutes before ignition, and may last so long.
    begins   integer not null check (begins between 1 and 240),
    minutes  integer not null check (minutes between 1 and 240),
    version  integer not null default 1
) strict;

create table programme_item (
    id       integer primary key,
    event_id integer not null references event (id) on delete cascade,
    place    integer not null,
    -- Words of somebody; one line for each who is introduced; the talks of the
    -- guests in their order; one line for each sponsor who is thanked.
    kind     text not null check (kind in ('words', 'introductions', 'talks', 'sponsor thanks')),
    title    text not null check (title <> ''),
    -- Who speaks.
    who      text not null default '',
    -- In all, or for each of those who are introduced or thanked.
    seconds  integer not null check (seconds between 0 and 3600),
    gives    text not null check (gives in ('fixed', 'shorten', 'drop', 'shorten or drop')),
    least    integer not null check (least between 0 and 3600),
    priority integer not null check (priority between 1 and 9)
) strict;

create index programme_item_event on programme_item (event_id, place);
