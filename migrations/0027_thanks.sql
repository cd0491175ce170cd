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

-- A sentence for one person alone, or for whoever they sent.
create table thanks_draft (
    id         integer primary key,
    event_id   integer not null references event (id) on delete cascade,
    person_id  integer not null references person (id),
    is_deputy  integer not null check (is_deputy in (0, 1)),
    sentence   text not null,
    version    integer not null default 1,
    unique (event_id, person_id, is_deputy)
) strict;

create index thanks_draft_person on thanks_draft (person_id);

-- Who was thanked for what. Rows are added, and only one that was ticked by
-- mistake is taken back.
create table thanked (
    id            integer primary key,
    event_id      integer not null references event (id) on delete cascade,
    person_id     integer not null references person (id),
    is_deputy     integer not null check (is_deputy in (0, 1)),
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
create index thanked_mail on thanked (mail_id) where mail_id is not null;
