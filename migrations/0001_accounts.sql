-- One department per installation.
create table department (
    id      integer primary key check (id = 1),
    name    text not null check (name <> ''),
    zone    text not null check (zone <> ''),
    -- Whom a stranger with a dead link can ring; may be empty.
    phone   text not null,
    version integer not null default 1
) strict;

-- Everyone the department knows, once, with or without an account.
create table person (
    id         integer primary key,
    name       text not null unique collate nocase check (name <> ''),
    created_at integer not null
) strict;

create table account (
    id            integer primary key,
    person_id     integer not null unique references person (id),
    mail          text not null unique collate nocase check (mail <> ''),
    role          text not null check (role in ('education officer', 'information officer', 'safety officer',
                                                'crew lead', 'timekeeper', 'reader')),
    -- Null until the invited person has chosen a password.
    password_hash text,
    disabled_at   integer,
    created_at    integer not null,
    version       integer not null default 1
) strict;

-- The store never holds a secret that opens anything: only its SHA-256.
create table session (
    secret_hash blob primary key check (length(secret_hash) = 32),
    account_id  integer not null references account (id) on delete cascade,
    created_at  integer not null,
    seen_at     integer not null,
    expires_at  integer not null
) strict, without rowid;

create index session_account on session (account_id);

create table link (
    token_hash blob primary key check (length(token_hash) = 32),
    purpose    text not null check (purpose in ('set-up', 'invitation', 'password', 'demo')),
    account_id integer references account (id) on delete cascade,
    created_at integer not null,
    expires_at integer not null,
    check ((purpose = 'set-up') = (account_id is null))
) strict, without rowid;

create index link_account on link (account_id);
