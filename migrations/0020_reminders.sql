-- A department's own rhythm where it differs from the usual one.
create table reminder_rule (
    event_id integer not null references event (id) on delete cascade,
    kind     text not null check (kind in ('post', 'guest', 'loan', 'coverage', 'help')),
    -- Which of the usual rules of that kind it replaces.
    number   integer not null check (number between 0 and 9),
    is_on    integer not null check (is_on in (0, 1)),
    days     integer not null check (days between 0 and 400),
    basis    text not null check (basis in ('calendar', 'working')),
    at       text not null check (at glob '[0-2][0-9]:[0-5][0-9]'),
    version  integer not null default 1,
    primary key (event_id, kind, number)
) strict, without rowid;

-- What has become of a reminder. One that isn't here is still to come, or is
-- none any more.
create table reminder (
    -- What is said, about which thing, under which date revision: never twice.
    key       text primary key,
    event_id  integer not null references event (id) on delete cascade,
    person_id integer not null references person (id),
    became    text not null check (became in ('said', 'skipped', 'expired', 'covered')),
    at        integer not null,
    -- What it was about, for the page.
    title     text not null
) strict, without rowid;

create index reminder_event on reminder (event_id, at);
create index reminder_person on reminder (person_id, at);
