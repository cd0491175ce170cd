-- When a message's text began to go over: from then on until the relay's answer
-- nobody can say whether it was taken.
alter table mail add column data_at integer;
-- How often that was left open, and the message sent once more.
alter table mail add column unsure integer not null default 0;
-- Who holds all mail.
alter table mail_hold add column held_by integer references account (id);

-- What goes next, urgent mail first.
create index mail_line on mail (state, urgent, next_try_at, id);
create index mail_settled on mail (state, settled_at, id);

-- Only the SHA-256 of what opens somebody's wish for no more announcements.
create table announcement_link (
    token_hash blob primary key check (length(token_hash) = 32),
    person_id  integer not null references person (id) on delete cascade,
    created_at integer not null
) strict, without rowid;
