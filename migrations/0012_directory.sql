-- Files of people on their way in, and what became of them. The file itself
-- waits in the data folder for an hour at most.
create table import (
    id         integer primary key,
    account_id integer not null references account (id),
    -- What the file is called there.
    key        text not null unique,
    file_name  text not null,
    -- Which field each column is, once somebody has said so: an array of names.
    columns    text check (columns is null or json_valid(columns)),
    state      text not null default 'waiting' check (state in ('waiting', 'done', 'undone')),
    people     integer not null default 0,
    created_at integer not null,
    settled_at integer
) strict;

-- All that is looked through, without accents and capitals.
alter table person add column search text not null default '';
-- Rows that came in together can go together.
alter table person add column import_id integer references import (id);

create index person_import on person (import_id) where import_id is not null;
-- A row can go only if no other refers to it, which must be quick to say.
create index person_merged on person (merged_into);
create index task_owner on task (owner_id);

-- Pairs that look like one person and are two, as somebody said.
create table not_double (
    one_id   integer not null references person (id),
    other_id integer not null references person (id),
    said_at  integer not null,
    said_by  integer references account (id),
    primary key (one_id, other_id),
    check (one_id < other_id)
) strict, without rowid;

create index not_double_other on not_double (other_id);
