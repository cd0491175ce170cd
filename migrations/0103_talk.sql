-- Each simulated fire of the pinned plan by itself: seconds from lighting until the alarm, the
-- sprinkler, and flashover; null for what doesn't happen.
alter table fire_plan add column fires text check (json_valid(fires));
drop index fire_plan_waiting;
create index fire_plan_waiting on fire_plan (event_id) where bands is null or fires is null;

-- How fast the presenter speaks, and what the talk has to leave time for.
create table talk (
    event_id   integer primary key references event (id) on delete cascade,
    -- Words a minute, and percent added for pauses.
    children   integer not null check (children between 40 and 300),
    adults     integer not null check (adults between 40 and 300),
    pauses     integer not null check (pauses between 0 and 200),
    -- Seconds of quiet after a key moment; from flashover until the crew's water.
    listen_s   integer not null check (listen_s between 0 and 60),
    attack_s   integer not null check (attack_s between 0 and 600),
    -- Minutes before ignition without talk.
    clear_min  integer not null check (clear_min between 0 and 60),
    version    integer not null default 1
) strict;

create table talk_objective (
    id       integer primary key,
    event_id integer not null references event (id) on delete cascade,
    place    integer not null,
    text     text not null check (text <> ''),
    message  text not null check (message <> ''),
    source   text not null,
    edition  text not null,
    -- The question on the survey card.
    item     text not null,
    -- May the press have the message?
    is_for_press integer not null check (is_for_press in (0, 1)),
    version  integer not null default 1,
    check (is_for_press = 0 or (source <> '' and edition <> ''))
) strict;

create index talk_objective_event on talk_objective (event_id, place);

create table talk_line (
    id           integer primary key,
    event_id     integer not null references event (id) on delete cascade,
    part         text not null,
    -- The order within its part.
    place        integer not null,
    audience     text not null check (audience in ('children', 'adults', 'all')),
    speaker      text not null,
    looks        text not null,
    words        text not null check (words <> ''),
    objective_id integer references talk_objective (id) on delete set null,
    version      integer not null default 1
) strict;

create index talk_line_event on talk_line (event_id, part, place);
create index talk_line_objective on talk_line (objective_id);

-- The talk, practiced against simulated fires.
create table talk_practice (
    id           integer primary key,
    event_id     integer not null references event (id) on delete cascade,
    practiced_at integer not null,
    account_id   integer references account (id),
    -- The fires it was practiced against, as in fire_plan.fires; none without a clock.
    fires        text not null check (json_valid(fires)),
    -- What was spoken: words and milliseconds to children and to adults, and how many lines
    -- were finished and cut off.
    children_words integer not null check (children_words >= 0),
    children_ms    integer not null check (children_ms >= 0),
    adults_words   integer not null check (adults_words >= 0),
    adults_ms      integer not null check (adults_ms >= 0),
    finished     integer not null check (finished >= 0),
    cut          integer not null check (cut >= 0),
    note         text not null
) strict;

create index talk_practice_event on talk_practice (event_id, practiced_at);
