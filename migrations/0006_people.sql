-- no-transaction
-- Two people may bear one name, so the table is made anew without that rule.
-- Rows of other tables refer to it by number and stay as they are. Everything
-- here can be run again from the start.
pragma foreign_keys = off;

begin immediate;

create table if not exists organisation (
    id         integer primary key,
    name       text not null unique collate nocase check (name <> ''),
    created_at integer not null
) strict;

drop table if exists person_new;

create table person_new (
    id              integer primary key,
    name            text not null collate nocase check (name <> ''),
    -- How the name is said aloud.
    said            text not null default '',
    organisation_id integer references organisation (id),
    -- An official's post, and where it holds.
    office          text not null default '',
    jurisdiction    text not null default '',
    mail            text not null default '' collate nocase,
    phone           text not null default '',
    channel         text not null default 'mail' check (channel in ('mail', 'phone', 'letter', 'in person')),
    notes           text not null default '',
    access_needs    text not null default '',
    -- Wants no announcements; a question or a call to a post still goes out.
    no_mail         integer not null default 0 check (no_mail in (0, 1)),
    -- When a mail server said that there is no such address, and its words.
    refused_at      integer,
    refused_why     text not null default '',
    -- A row whose person was forgotten, or turned out to be another's double,
    -- stays for the counts.
    forgotten_at    integer,
    merged_into     integer references person (id),
    created_at      integer not null,
    version         integer not null default 1
) strict;

insert into person_new (id, name, created_at) select id, name, created_at from person;

drop table person;

alter table person_new rename to person;

create index person_name on person (name);
create index person_mail on person (mail) where mail <> '';
create index person_organisation on person (organisation_id);

commit;

pragma foreign_keys = on;
