-- What every thank-you letter of an event says of the day, and who signs.
create table thanks_day (
    event_id     integer primary key references event (id) on delete cascade,
    signed_by    text not null default '',
    signed_as    text not null default '',
    came         integer check (came between 1 and 1000000),
    -- Seconds from the first flame.
    alarm_s      integer check (alarm_s between 0 and 86400),
    sprinkler_s  integer check (sprinkler_s between 0 and 86400),
    flashover_s  integer check (flashover_s between 0 and 86400),
    result       text not null default '',
    version      integer not null default 1
) strict;

-- A sentence for one person alone; with a question, for whoever they sent.
create table thanks_draft (
    id         integer primary key,
    event_id   integer not null references event (id) on delete cascade,
    person_id  integer not null references person (id),
    deputy_of  integer references request (id) on delete cascade,
    sentence   text not null,
    version    integer not null default 1
) strict;

create unique index thanks_draft_whom on thanks_draft (event_id, person_id, ifnull(deputy_of, 0));
create index thanks_draft_person on thanks_draft (person_id);
create index thanks_draft_deputy on thanks_draft (deputy_of) where deputy_of is not null;

-- Who was thanked for what. Rows are added, and only one that was ticked by
-- mistake is taken back.
create table thanked (
    id            integer primary key,
    event_id      integer not null references event (id) on delete cascade,
    person_id     integer not null references person (id),
    deputy_of     integer references request (id) on delete cascade,
    -- An array of what it was for, as "gift/3".
    reasons       text not null check (json_valid(reasons)),
    way           text not null check (way in ('mail', 'letter', 'in person')),
    at            integer not null,
    by            integer references account (id),
    mail_id       integer references mail (id),
    taken_back_at integer,
    check ((way = 'mail') = (mail_id is not null))
) strict;

create index thanked_event on thanked (event_id, id);
create index thanked_person on thanked (person_id);
create index thanked_deputy on thanked (deputy_of) where deputy_of is not null;
create index thanked_mail on thanked (mail_id) where mail_id is not null;
