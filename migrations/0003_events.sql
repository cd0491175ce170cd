create table event (
    id            integer primary key,
    name          text not null check (name <> ''),
    site          text not null,
    zone          text not null check (zone <> ''),
    burn_on       text not null check (burn_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    burn_time     text not null check (burn_time glob '[0-2][0-9]:[0-5][0-9]'),
    rain_on       text check (rain_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]' and rain_on > burn_on),
    format        text not null check (format in ('one at a time', 'both at once')),
    audience      integer check (audience between 0 and 1000000),
    -- Weekdays on which a burn day may be proposed: bit 0 is Monday.
    weekdays      integer not null check (weekdays between 1 and 127),
    -- Counts the moves of the burn day: what was said to an earlier date does
    -- not count for a later one.
    date_revision integer not null default 1,
    is_current    integer not null check (is_current in (0, 1)),
    created_at    integer not null,
    version       integer not null default 1
) strict;

create unique index event_current on event (is_current) where is_current = 1;
