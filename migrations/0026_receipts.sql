-- Receipts that were given out, with the words that stood on them.
create table receipt (
    id      integer primary key,
    gift_id integer not null references gift (id) on delete cascade,
    way     text not null check (way in ('mail', 'on paper')),
    text    text not null,
    at      integer not null,
    by      integer references account (id),
    mail_id integer references mail (id),
    check ((way = 'mail') = (mail_id is not null))
) strict;

create index receipt_gift on receipt (gift_id, id);
create index receipt_mail on receipt (mail_id) where mail_id is not null;
