-- Mail on its way out and what became of it. A link in a text is kept as a mark
-- that only the sender turns into an address: what opens something is never in
-- the store.
create table mail (
    id            integer primary key,
    kind          text not null check (kind in ('ask', 'reminder', 'notice', 'announcement', 'test')),
    event_id      integer references event (id),
    person_id     integer references person (id),
    -- The question it is about, which must not be answered yet when it goes.
    request_id    integer,
    -- It is only true while the burn day's moves are these many.
    date_revision integer,
    -- What must never be said twice.
    dedup         text not null unique,
    to_name       text not null,
    to_address    text not null check (to_address <> ''),
    reply_name    text not null,
    reply_address text not null,
    subject       text not null check (subject <> ''),
    text          text not null,
    html          text not null,
    -- A calendar file, and what it asks the reader's calendar to do.
    calendar      text,
    method        text check (method in ('REQUEST', 'CANCEL', 'PUBLISH')),
    message_id    text not null unique,
    -- The first message of the conversation, if this isn't it.
    in_reply_to   text,
    state         text not null default 'waiting' check (state in ('waiting', 'sending', 'sent', 'failed', 'uncertain',
                                                                  'cancelled', 'expired')),
    -- Goes out in quiet hours too, and before others.
    urgent        integer not null default 0 check (urgent in (0, 1)),
    due_at        integer not null,
    not_after     integer not null,
    next_try_at   integer not null,
    attempts      integer not null default 0,
    -- Which run of the program is sending it.
    sender        text,
    -- What the relay said last, or why it wasn't sent.
    code          text not null default '',
    words         text not null default '',
    settled_at    integer,
    created_at    integer not null,
    check ((method is null) = (calendar is null)),
    check ((state = 'sending') = (sender is not null))
) strict;

create index mail_next on mail (state, next_try_at);
create index mail_person on mail (person_id, id);
create index mail_event on mail (event_id, id);
create index mail_request on mail (request_id) where request_id is not null;

-- One row: may mail go out at all?
create table mail_hold (
    id       integer primary key check (id = 1),
    held     integer not null default 0 check (held in (0, 1)),
    why      text not null default '',
    held_at  integer
) strict;

insert into mail_hold (id) values (1);
