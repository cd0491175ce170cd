-- What somebody gives to a burn, in money or in kind.
create table gift (
    id            integer primary key,
    event_id      integer not null references event (id) on delete cascade,
    person_id     integer not null references person (id),
    in_name       text not null check (in_name in ('their organisation', 'themselves')),
    kind          text not null check (kind in ('money', 'in kind')),
    -- What is given; for money, what it is for, which may be empty.
    what          text not null,
    quantity      text not null default '',
    amount_cents  integer check (amount_cents between 1 and 1000000000),
    promised_on   text not null check (promised_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    -- The day by which it is to be here.
    promised_by   text check (promised_by glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    state         text not null default 'promised' check (state in ('promised', 'received', 'not coming')),
    received_on   text check (received_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    taken_by      text not null default '',
    -- What the giver got for it, and our estimate of what that is worth.
    in_return     text not null check (in_return in ('not said yet', 'nothing', 'something')),
    return_what   text not null default '',
    return_cents  integer check (return_cents between 0 and 1000000000),
    recognition   text not null check (recognition in ('not agreed yet', 'agreed', 'wants none')),
    credited_as   text not null default '',
    agreed_by     text not null default '',
    agreed_on     text check (agreed_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    logo          text not null default '',
    -- For inside only: what a gift in kind is worth, and how that is known.
    value_cents   integer check (value_cents between 1 and 1000000000),
    value_basis   text check (value_basis in ('fair market value', 'rental price', 'giver''s word')),
    value_on      text check (value_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    value_by      text not null default '',
    notes         text not null default '',
    version       integer not null default 1,
    check ((kind = 'money') = (amount_cents is not null)),
    check (kind = 'money' or what <> ''),
    check (kind = 'in kind' or value_cents is null),
    check ((state = 'received') = (received_on is not null)),
    check ((in_return = 'something') = (return_cents is not null)),
    check ((value_cents is null) = (value_basis is null) and (value_cents is null) = (value_on is null))
) strict;

create index gift_event on gift (event_id, id);
create index gift_person on gift (person_id);
