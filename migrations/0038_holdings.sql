-- A qualification that somebody holds.
create table holding (
    id               integer primary key,
    person_id        integer not null references person (id),
    qualification_id integer not null references qualification (id),
    -- What shows it, as in "certificate 4471, copy in the folder".
    evidence         text not null default '',
    issued_by        text not null default '',
    -- The last day on which it holds; null if it doesn't end.
    expires_on       text check (expires_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    -- Who looked at the evidence, and when; a change unchecks it.
    checked_by       integer references account (id),
    checked_at       integer,
    version          integer not null default 1,
    unique (person_id, qualification_id),
    check ((checked_by is null) = (checked_at is null))
) strict;

create index holding_qualification on holding (qualification_id);
