-- A go/no-go check: what is read, its limits, and where they come from. Limits and readings
-- are in the unit of what is read: mph, °F, minutes.
create table gate (
    id         integer primary key,
    event_id   integer not null references event (id) on delete cascade,
    name       text not null check (name <> ''),
    -- What to look at.
    look_at    text not null,
    measure    text not null check (measure in ('wind speed', 'gust', 'heat index', 'temperature', 'daylight', 'number',
                                                'yes or no', 'choice')),
    -- Of a number that has none of its own.
    unit       text not null,
    worse      text not null check (worse in ('above', 'below')),
    amber      real,
    red        real,
    choices    text not null check (json_valid(choices)),
    basis      text not null check (basis in ('published', 'local decision', 'common practice')),
    source     text not null,
    -- Who reads it.
    reader     text not null,
    -- How many minutes a reading counts.
    fresh      integer not null check (fresh between 1 and 10080),
    decisions  text not null check (json_valid(decisions)),
    -- The permit whose condition it is.
    permit_id  integer references permit (id) on delete set null,
    -- The safety officer who adopted the limits as they are.
    adopted_by integer references account (id),
    adopted_at integer,
    position   integer not null,
    -- Its readings stay on record.
    removed_at integer,
    version    integer not null default 1
) strict;
create index gate_event on gate (event_id, position);
create index gate_permit on gate (permit_id);

-- Readings are only added.
create table gate_reading (
    id          integer primary key,
    gate_id     integer not null references gate (id) on delete cascade,
    -- A number in the gate's unit, the place of a choice counted from 0, or 1 for yes.
    value       real not null,
    -- What a heat index was worked out from, in °F and percent.
    temperature real,
    humidity    real,
    is_forecast integer not null check (is_forecast in (0, 1)),
    note        text not null,
    -- The moment it was read, and the moment it came here.
    at          integer not null,
    noted_at    integer not null,
    noted_by    integer not null references account (id),
    device      text not null
) strict;
create index gate_reading_gate on gate_reading (gate_id, at);

-- When it is decided whether to burn. An event without a row has the usual times.
create table decision_time (
    event_id     integer primary key references event (id) on delete cascade,
    two_days     text not null check (two_days glob '[0-2][0-9]:[0-5][0-9]'),
    evening      text not null check (evening glob '[0-2][0-9]:[0-5][0-9]'),
    morning      text not null check (morning glob '[0-2][0-9]:[0-5][0-9]'),
    -- Minutes before first ignition.
    last_minutes integer not null check (last_minutes between 1 and 120),
    version      integer not null default 1
) strict;

-- Signatures are only added. They count until the day, the hour, the site, or the order of the
-- fires changes.
create table decision_signature (
    id            integer primary key,
    event_id      integer not null references event (id) on delete cascade,
    decision      text not null check (decision in ('two days before', 'evening before', 'morning', 'last minutes')),
    account_id    integer not null references account (id),
    role          text not null,
    says          text not null check (says in ('go', 'hold', 'no burn', 'stop')),
    reason        text not null,
    -- What each gate showed when it was signed.
    lights        text not null check (json_valid(lights)),
    at            integer not null,
    overtaken_at  integer
) strict;
create index decision_signature_event on decision_signature (event_id, id);
