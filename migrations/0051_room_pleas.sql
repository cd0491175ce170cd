-- Who was asked to give which thing, and what they said.
create table room_plea (
    id         integer primary key,
    event_id   integer not null references event (id) on delete cascade,
    person_id  integer not null references person (id),
    -- The thing that is wanted, or the one whose like is.
    thing_id   integer references room_thing (id) on delete set null,
    is_like    integer not null check (is_like in (0, 1)),
    what       text not null check (what <> ''),
    quantity   integer not null check (quantity between 1 and 999),
    at         integer not null,
    by         integer references account (id),
    mail_id    integer references mail (id),
    said       text not null default 'asked' check (said in ('asked', 'promised', 'no')),
    gift_id    integer references gift (id)
) strict;

create index room_plea_event on room_plea (event_id, id);
create index room_plea_person on room_plea (person_id);
create index room_plea_thing on room_plea (thing_id) where thing_id is not null;
create index room_plea_mail on room_plea (mail_id) where mail_id is not null;
create index room_plea_gift on room_plea (gift_id) where gift_id is not null;
