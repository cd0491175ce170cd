-- Advisories and releases while they are written.
create table paper (
    id         integer primary key,
    event_id   integer not null references event (id) on delete cascade,
    kind       text not null check (kind in ('media advisory', 'news release', 'release after the day')),
    headline   text not null check (headline <> ''),
    text       text not null,
    -- Until when outlets are asked to hold it, by the clock at the event's place.
    embargo_on text check (embargo_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    embargo_at text check (embargo_at glob '[0-2][0-9]:[0-5][0-9]'),
    edited_by  integer not null references account (id),
    edited_at  integer not null,
    created_at integer not null,
    version    integer not null default 1,
    check ((embargo_on is null) = (embargo_at is null))
) strict;

create index paper_event on paper (event_id, id);

-- What was approved, as it is sent.
create table paper_version (
    id            integer primary key,
    paper_id      integer not null references paper (id),
    number        integer not null check (number > 0),
    headline      text not null,
    text          text not null,
    -- The request to hold it, in words; may be empty.
    embargo       text not null,
    date_revision integer not null,
    edited_by     integer not null references account (id),
    approved_by   integer not null references account (id),
    approved_at   integer not null,
    unique (paper_id, number),
    check (edited_by <> approved_by)
) strict;

-- Whoever has it in print must find the same here.
create trigger paper_version_stays before update on paper_version
begin
    select raise(abort, 'an approved version is never changed');
end;
create trigger paper_version_is_kept before delete on paper_version
begin
    select raise(abort, 'an approved version is never removed');
end;
