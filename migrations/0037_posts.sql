-- What somebody can be qualified in, as the department calls it.
create table qualification (
    id        integer primary key,
    name      text not null unique collate nocase check (name <> ''),
    -- Where the need comes from, as in "common practice".
    basis     text not null default '',
    -- Whoever holds this holds that one too.
    counts_as integer references qualification (id) on delete set null check (counts_as <> id),
    version   integer not null default 1
) strict;

create index qualification_counts_as on qualification (counts_as);

-- Where somebody stands on burn day.
create table post (
    id          integer primary key,
    event_id    integer not null references event (id) on delete cascade,
    duty        text not null check (duty <> ''),
    name        text not null check (name <> ''),
    -- So many are needed.
    needed      integer not null check (needed between 1 and 99),
    -- Minutes after midnight of the day, whichever it is; may pass the next one.
    from_min    integer not null check (from_min between 0 and 1439),
    until_min   integer not null check (until_min > from_min and until_min <= from_min + 1440),
    -- Where it is,
    spot        text not null default '',
    reports_to  text not null default '',
    wear        text not null default '',
    bring       text not null default '',
    -- and what whoever stands there should mind.
    cautions    text not null default '',
    is_critical integer not null default 0 check (is_critical in (0, 1)),
    place       integer not null,
    version     integer not null default 1
) strict;

create index post_event on post (event_id, place, id);

create table post_needs (
    post_id          integer not null references post (id) on delete cascade,
    qualification_id integer not null references qualification (id) on delete cascade,
    primary key (post_id, qualification_id)
) strict, without rowid;

create index post_needs_qualification on post_needs (qualification_id);
