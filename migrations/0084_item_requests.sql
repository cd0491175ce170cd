-- What is wanted for the rooms is asked for in the one ledger. A wider check
-- needs a new column, since other tables refer to this one.
alter table request add column new_kind text not null default 'help'
    check (new_kind in ('post', 'guest', 'loan', 'coverage', 'help', 'item'));
update request set new_kind = kind;
alter table request drop column kind;
alter table request rename column new_kind to kind;

-- Nothing refers to this one, whose kind is part of its key.
create table new_reminder_rule (
    event_id integer not null references event (id) on delete cascade,
    kind     text not null check (kind in ('post', 'guest', 'loan', 'coverage', 'help', 'item')),
    number   integer not null check (number between 0 and 9),
    is_on    integer not null check (is_on in (0, 1)),
    days     integer not null check (days between 0 and 400),
    basis    text not null check (basis in ('calendar', 'working')),
    at       text not null check (at glob '[0-2][0-9]:[0-5][0-9]'),
    version  integer not null default 1,
    primary key (event_id, kind, number)
) strict, without rowid;
insert into new_reminder_rule (event_id, kind, number, is_on, days, basis, at, version)
select event_id, kind, number, is_on, days, basis, at, version from reminder_rule;
drop table reminder_rule;
alter table new_reminder_rule rename to reminder_rule;

-- What somebody offers with an answer: which lines of the question, counted
-- from 0, when it can be fetched, and how it looks.
create table offer (
    answer_id integer primary key references answer (id) on delete cascade,
    lines     text not null check (json_valid(lines)),
    fetch     text not null,
    photo_id  integer references photo (id)
) strict;

create index offer_photo on offer (photo_id) where photo_id is not null;

-- The question a plea was put with, the line of it, and whether what was said
-- came by its link.
alter table room_plea add column request_id integer references request (id) on delete set null;
alter table room_plea add column line integer check (line >= 0);
alter table room_plea add column by_link integer not null default 0 check (by_link in (0, 1));

create index room_plea_request on room_plea (request_id) where request_id is not null;
