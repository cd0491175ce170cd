-- What the estimates of the fire rest on, as it was typed. An event may have several of
-- these, to compare them.
create table fire_setting (
    id       integer primary key,
    event_id integer not null references event (id) on delete cascade,
    name     text not null check (name <> ''),
    typed    text not null check (json_valid(typed)),
    version  integer not null default 1,
    unique (event_id, name)
) strict;

-- The estimate that the plan for the day rests on. It stays as it was pinned, whatever
-- becomes of the setting.
create table fire_plan (
    event_id  integer primary key references event (id) on delete cascade,
    name      text not null check (name <> ''),
    typed     text not null check (json_valid(typed)),
    -- What came of its many fires; null until they were simulated.
    bands     text check (json_valid(bands)),
    pinned_by integer references account (id),
    pinned_at integer not null
) strict;

create index fire_plan_waiting on fire_plan (event_id) where bands is null;

-- Times that the department measured at earlier burns, in seconds from lighting.
create table earlier_burn (
    id          integer primary key,
    name        text not null check (name <> ''),
    burned_on   text not null,
    alarm_s     integer check (alarm_s between 1 and 3600),
    sprinkler_s integer check (sprinkler_s between 1 and 3600),
    flashover_s integer check (flashover_s between 1 and 3600),
    check (coalesce(alarm_s, sprinkler_s, flashover_s) is not null)
) strict;
