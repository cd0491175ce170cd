-- What a paper says of the event is marks in its text, which are filled in
-- wherever it is shown. A text from before is words alone until it is read over
-- once at a start.
alter table paper add column has_marks integer not null default 0 check (has_marks in (0, 1));

-- An approved version keeps the facts it was made from, and says who read it:
-- somebody else with an account, somebody outside by an emailed link, or nobody,
-- which was then somebody's own decision. Outreach refers to versions; it is
-- whole again before the commit.
pragma defer_foreign_keys = on;

drop trigger paper_version_stays;
drop trigger paper_version_is_kept;

create table paper_version_before as select * from paper_version;
drop table paper_version;

create table paper_version (
    id            integer primary key,
    paper_id      integer not null references paper (id),
    number        integer not null check (number > 0),
    headline      text not null,
    -- Filled in, as it is sent.
    text          text not null,
    -- The request to hold it, in words; may be empty.
    embargo       text not null,
    -- With its marks; unknown of older ones, as are
    marked_headline text,
    marked_text   text,
    -- the facts it was made from, by their marks.
    facts         text check (facts is null or json_valid(facts)),
    date_revision integer not null,
    edited_by     integer not null references account (id),
    read_by       text not null check (read_by in ('account', 'link', 'nobody')),
    -- Who approved it, or decided to send it unread.
    approved_by   integer references account (id),
    -- Who read it outside.
    reader_id     integer references person (id),
    approved_at   integer not null,
    check ((marked_text is null) = (facts is null) and (marked_headline is null) = (facts is null)),
    unique (paper_id, number),
    check (case read_by
           when 'account' then approved_by is not null and approved_by <> edited_by and reader_id is null
           when 'link' then approved_by is null and reader_id is not null
           else approved_by is not null and reader_id is null end)
) strict;

insert into paper_version (id, paper_id, number, headline, text, embargo, date_revision, edited_by, read_by,
                           approved_by, approved_at)
select id, paper_id, number, headline, text, embargo, date_revision, edited_by, 'account', approved_by, approved_at
from paper_version_before;

drop table paper_version_before;

create index paper_version_reader on paper_version (reader_id) where reader_id is not null;

-- Whoever has it in print must find the same here. That two rows of one person
-- become one is no change to it.
create trigger paper_version_stays
before update of id, paper_id, number, headline, text, embargo, marked_headline, marked_text, facts, date_revision,
                 edited_by, read_by, approved_by, approved_at on paper_version
begin
    select raise(abort, 'an approved version is never changed');
end;
create trigger paper_version_is_kept before delete on paper_version
begin
    select raise(abort, 'an approved version is never removed');
end;
create trigger paper_version_is_read_by_another before insert on paper_version
when new.reader_id = (select person_id from account where id = new.edited_by)
begin
    select raise(abort, 'nobody approves what they edited last');
end;
