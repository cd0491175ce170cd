-- A text that somebody outside was asked to read and approve, exactly as it was
-- mailed to them.
create table paper_reading (
    id            integer primary key,
    paper_id      integer not null references paper (id) on delete cascade,
    person_id     integer not null references person (id),
    headline      text not null,
    text          text not null,
    embargo       text not null,
    marked_headline text not null,
    marked_text   text not null,
    facts         text not null check (json_valid(facts)),
    date_revision integer not null,
    edited_by     integer not null references account (id),
    asked_by      integer not null references account (id),
    asked_at      integer not null,
    -- The link opens nothing from then on.
    expires_at    integer not null,
    token_hash    blob unique check (length(token_hash) = 32),
    -- What they said of it, once.
    said          text check (said in ('approved', 'needs a change')),
    note          text not null default '',
    said_at       integer,
    check ((said is null) = (said_at is null))
) strict;

create index paper_reading_paper on paper_reading (paper_id, id);
create index paper_reading_person on paper_reading (person_id);
