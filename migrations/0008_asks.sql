-- What one person is asked about one thing, with the words they read.
create table request (
    id            integer primary key,
    event_id      integer not null references event (id) on delete cascade,
    person_id     integer not null references person (id),
    kind          text not null check (kind in ('post', 'guest', 'loan', 'coverage', 'help')),
    -- The question, as in "Can you walk the spectator line on burn day?".
    question      text not null check (question <> ''),
    -- Lines under it: an array of pairs of a label and a text.
    facts         text not null check (json_valid(facts)),
    -- Words of the sender's own, above the facts.
    words         text not null,
    closes_at     integer not null,
    asked_at      integer not null,
    asked_by      integer references account (id),
    withdrawn_at  integer,
    -- Rises when its links are made anew.
    link_number   integer not null default 1,
    version       integer not null default 1
) strict;

create index request_event on request (event_id, id);
create index request_person on request (person_id, id);

-- The same question for one date.
create table ask (
    id            integer primary key,
    request_id    integer not null references request (id) on delete cascade,
    for_on        text not null check (for_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    date_revision integer not null,
    -- The date stopped being one of the event's: what was said to it counts no
    -- more, even if the event comes back to it.
    lapsed_at     integer
) strict;

create index ask_request on ask (request_id);
create unique index ask_date on ask (request_id, for_on) where lapsed_at is null;

-- What was said. Rows are only ever added; the newest counts.
create table answer (
    id           integer primary key,
    ask_id       integer not null references ask (id) on delete cascade,
    said         text not null check (said in ('yes', 'no', 'maybe', 'deputy')),
    deputy       text not null default '',
    note         text not null default '',
    access_needs text not null default '',
    party        integer check (party between 1 and 1000),
    channel      text not null check (channel in ('link', 'phone', 'in person', 'letter', 'mail')),
    -- What shows it, if somebody else recorded it.
    evidence     text not null default '',
    at           integer not null,
    recorded_by  integer references account (id),
    check ((said = 'deputy') = (deputy <> '')),
    check ((channel = 'link') = (recorded_by is null))
) strict;

create index answer_ask on answer (ask_id, id);

-- Only the SHA-256 of what opens a question.
create table request_link (
    token_hash blob primary key check (length(token_hash) = 32),
    request_id integer not null references request (id) on delete cascade,
    created_at integer not null,
    expires_at integer not null
) strict, without rowid;

create index request_link_request on request_link (request_id);
