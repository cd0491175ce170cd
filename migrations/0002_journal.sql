-- Who changed what, when. Rows are only ever added.
create table journal (
    id         integer primary key,
    at         integer not null,
    actor      text not null check (actor in ('account', 'link', 'system')),
    account_id integer references account (id),
    verb       text not null check (verb <> ''),
    subject    text not null check (subject <> ''),
    subject_id integer,
    event_id   integer,
    -- What the subject was called then, so that the entry still reads when the
    -- subject is gone.
    title      text not null,
    before     text check (before is null or json_valid(before)),
    after      text check (after is null or json_valid(after)),
    check ((actor = 'account') = (account_id is not null))
) strict;

create index journal_event on journal (event_id, id);
create index journal_subject on journal (subject, subject_id, id);
