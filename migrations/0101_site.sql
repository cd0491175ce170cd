-- The drawing of an event's site, as it is after each change. `at` is the version shown;
-- later ones are there to be done again.
create table site (
    event_id integer primary key references event (id) on delete cascade,
    at       integer not null,
    -- Goes up with everything that changes what is shown, so that nothing old is saved over it.
    revision integer not null default 1,
    -- The highest number that anything ever had. It stays after an undo, so that nothing new is
    -- taken for what was there.
    last     integer not null default 0
) strict;

create table site_version (
    event_id integer not null references event (id) on delete cascade,
    number   integer not null,
    plan     text not null check (json_valid(plan)),
    -- What was done, for undo.
    did      text not null,
    saved_at integer not null,
    primary key (event_id, number)
) strict, without rowid;

-- Drawings that someone kept under a name.
create table site_kept (
    id       integer primary key,
    event_id integer not null references event (id) on delete cascade,
    name     text not null check (name <> ''),
    plan     text not null check (json_valid(plan)),
    kept_at  integer not null,
    kept_by  integer references account (id),
    unique (event_id, name)
) strict;

-- Findings that the safety officer accepts as they are.
create table site_accepted (
    event_id    integer not null references event (id) on delete cascade,
    finding     text not null,
    -- How bad it was: if it gets worse, it has to be accepted again.
    badness     real not null,
    reason      text not null check (reason <> ''),
    accepted_by integer not null references account (id),
    accepted_at integer not null,
    primary key (event_id, finding)
) strict, without rowid;

-- Photos from above that a version of the drawing shows.
create table site_photo (
    event_id integer not null references event (id) on delete cascade,
    photo_id integer not null references photo (id),
    primary key (event_id, photo_id)
) strict, without rowid;

create index site_photo_photo on site_photo (photo_id);
