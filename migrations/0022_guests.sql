-- The offices in the department's order, high to low. What is here at first is
-- common practice.
create table office (
    id          integer primary key,
    place       integer not null,
    name        text not null unique collate nocase check (name <> ''),
    level       text not null check (level in ('local', 'regional', 'state', 'federal')),
    -- How letters address its holder, as in "The Honorable".
    address     text not null default '',
    -- First in its own town.
    is_host     integer not null default 0 check (is_host in (0, 1)),
    -- Before a host even in the host's town.
    before_host integer not null default 0 check (before_host in (0, 1))
) strict;

insert into office (place, name, level, address, is_host, before_host) values
    (1, 'Governor', 'state', 'The Honorable', 0, 1),
    (2, 'United States senator', 'federal', 'The Honorable', 0, 0),
    (3, 'United States representative', 'federal', 'The Honorable', 0, 0),
    (4, 'Lieutenant governor', 'state', 'The Honorable', 0, 1),
    (5, 'State officer', 'state', 'The Honorable', 0, 0),
    (6, 'State senator', 'state', 'The Honorable', 0, 0),
    (7, 'State representative', 'state', 'The Honorable', 0, 0),
    (8, 'Commissioner', 'regional', 'The Honorable', 0, 0),
    (9, 'Mayor', 'local', 'The Honorable', 1, 0),
    (10, 'Council president', 'local', 'The Honorable', 0, 0),
    (11, 'Council member', 'local', 'The Honorable', 0, 0),
    (12, 'School board member', 'local', '', 0, 0),
    (13, 'Visiting fire chief', 'regional', 'Chief', 0, 0),
    (14, 'City manager', 'local', '', 0, 0),
    (15, 'Department head', 'local', '', 0, 0);

-- What sponsors are called by what they give, the most first.
create table sponsor_level (
    id    integer primary key,
    place integer not null,
    name  text not null unique collate nocase check (name <> '')
) strict;

insert into sponsor_level (place, name) values (1, 'lead'), (2, 'major'), (3, 'supporting');

-- How long before burn day each is invited.
create table invitation_lead (
    level text primary key check (level in ('local', 'regional', 'state', 'federal', 'sponsor')),
    days  integer not null check (days between 0 and 400),
    basis text not null check (basis in ('calendar', 'working'))
) strict, without rowid;

insert into invitation_lead (level, days, basis) values
    ('local', 40, 'working'), ('regional', 40, 'working'), ('state', 50, 'working'), ('federal', 50, 'working'),
    ('sponsor', 70, 'working');

-- The rest of what the department decides about guests once; its version
-- stands for the three lists above too.
create table guest_habit (
    id      integer primary key check (id = 1),
    -- The town, county and districts in which the department burns, a line each.
    places  text not null,
    -- Words a minute.
    rate    integer not null check (rate between 60 and 240),
    version integer not null default 1
) strict;

insert into guest_habit (id, places, rate) values (1, '', 130);

create table guest (
    id               integer primary key,
    event_id         integer not null references event (id) on delete cascade,
    person_id        integer not null references person (id),
    side             text not null check (side in ('official', 'sponsor', 'partner')),
    level            text not null check (level in ('local', 'regional', 'state', 'federal', 'sponsor')),
    office_id        integer references office (id),
    sponsor_level_id integer references sponsor_level (id),
    address          text not null default '',
    -- Said by hand; null: told from the jurisdiction.
    in_own           integer check (in_own in (0, 1)),
    -- A year or a day.
    since            text not null default '',
    is_former        integer not null default 0 check (is_former in (0, 1)),
    -- Who sees to it that this office answers.
    chaser_id        integer references person (id),
    chased_on        text check (chased_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    -- Words of their own: how long, and what happens when time is short.
    seconds          integer not null default 0 check (seconds between 0 and 3600),
    gives            text not null default 'shorten or drop'
        check (gives in ('fixed', 'shorten', 'drop', 'shorten or drop')),
    least            integer not null default 60 check (least between 0 and 3600),
    priority         integer not null default 3 check (priority between 1 and 9),
    -- What offices ask beforehand.
    microphone       text not null default '',
    met_by           text not null default '',
    seat             text not null default '',
    arrives          text not null default '',
    parking          text not null default '',
    clothing         text not null default '',
    press            text not null default '',
    also_comes       text not null default '',
    -- A place chosen by hand, and why.
    place            integer check (place between 1 and 999),
    place_reason     text not null default '',
    -- What was seen on the day, which counts for that day alone.
    day_on           text check (day_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    is_here          integer check (is_here in (0, 1)),
    day_deputy       text not null default '',
    day_deputy_title text not null default '',
    version          integer not null default 1,
    unique (event_id, person_id),
    check ((place is null) = (place_reason = ''))
) strict;

create index guest_person on guest (person_id);
create index guest_chaser on guest (chaser_id);
create index guest_office on guest (office_id);
create index guest_sponsor_level on guest (sponsor_level_id);
