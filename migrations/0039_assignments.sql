-- Who stands at which post. Whether it holds on a date, the question tells.
create table assignment (
    id              integer primary key,
    event_id        integer not null references event (id) on delete cascade,
    post_id         integer not null references post (id) on delete cascade,
    person_id       integer not null references person (id),
    is_standby      integer not null default 0 check (is_standby in (0, 1)),
    -- What the person was asked about it.
    request_id      integer references request (id) on delete set null,
    -- The rules it stands against, and why all the same.
    override_rules  text not null default '',
    override_reason text not null default '',
    override_by     integer references account (id),
    override_at     integer,
    unique (post_id, person_id),
    check ((override_reason = '') = (override_by is null) and (override_by is null) = (override_at is null))
) strict;

create index assignment_event on assignment (event_id, post_id);
create index assignment_person on assignment (person_id);
create index assignment_request on assignment (request_id);

-- When somebody can be there on a day, as it was recorded by hand. What they
-- say with an answer stands beside it; the newer counts.
create table crew_hours (
    event_id  integer not null references event (id) on delete cascade,
    person_id integer not null references person (id),
    for_on    text not null check (for_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    from_min  integer not null check (from_min between 0 and 1439),
    until_min integer not null check (until_min > from_min and until_min <= from_min + 1440),
    noted_at  integer not null,
    noted_by  integer references account (id),
    primary key (event_id, person_id, for_on)
) strict, without rowid;

create index crew_hours_person on crew_hours (person_id);

-- The private page of one of the crew: only the SHA-256 of what opens it.
create table crew_link (
    id         integer primary key,
    event_id   integer not null references event (id) on delete cascade,
    person_id  integer not null references person (id),
    token_hash blob unique check (length(token_hash) = 32),
    unique (event_id, person_id)
) strict;

create index crew_link_person on crew_link (person_id);
