-- A permit, a notice or a written answer that the burn needs, with its rule of
-- notice as far as somebody has asked for it.
create table permit (
    id            integer primary key,
    event_id      integer not null references event (id) on delete cascade,
    -- The task by which it is sent; none once that is removed.
    task_id       integer references task (id) on delete set null,
    -- Of a usual record, so that the same one is found in another year.
    key           text,
    kind          text not null check (kind in ('permit', 'notice', 'written answer', 'other')),
    title         text not null check (title <> ''),
    -- Who decides or is told, and how they are reached.
    authority     text not null default '',
    person_id     integer references person (id),
    phone         text not null default '',
    mail          text not null default '',
    -- The number the authority gave it.
    number        text not null default '',
    rule          text not null check (rule in ('not yet asked', 'none', 'days before')),
    notice_days   integer check (notice_days between 0 and 1000),
    notice_basis  text check (notice_basis in ('calendar', 'working')),
    counted_when  text check (counted_when in ('sent', 'received')),
    delivery_days integer check (delivery_days between 0 and 60),
    dates_on_it   text check (dates_on_it in ('burn day', 'rain date', 'both')),
    -- Who in the department asked, and when; empty where an older plan had a
    -- notice period without either.
    learned_by    text not null default '',
    learned_on    text check (learned_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    granted_on    text check (granted_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    expires_on    text check (expires_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    conditions    text not null default '',
    -- The conditions were read back to the safety officer, and who says so.
    read_back_on  text check (read_back_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    read_back_by  integer references account (id),
    notes         text not null default '',
    version       integer not null default 1,
    check ((rule = 'days before') = (notice_days is not null)),
    check ((notice_days is null) = (notice_basis is null) and (notice_days is null) = (counted_when is null)
           and (notice_days is null) = (delivery_days is null) and (notice_days is null) = (dates_on_it is null)),
    check (rule <> 'not yet asked' or learned_on is null),
    check ((read_back_on is null) = (read_back_by is null))
) strict;

create index permit_event on permit (event_id, id);
create unique index permit_key on permit (event_id, key) where key is not null;
create index permit_task on permit (task_id) where task_id is not null;
create index permit_person on permit (person_id) where person_id is not null;

-- Each time it was sent. What was sent for a date counts for that date for good,
-- so that moving back finds it.
create table permit_sending (
    id          integer primary key,
    permit_id   integer not null references permit (id) on delete cascade,
    sent_on     text not null check (sent_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    received_on text check (received_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    -- The place and the hour that stood on it.
    site        text not null,
    burn_time   text not null check (burn_time glob '[0-2][0-9]:[0-5][0-9]'),
    check (received_on is null or received_on >= sent_on)
) strict;

create index permit_sending_permit on permit_sending (permit_id, id);

-- The dates that stood on it.
create table permit_date (
    sending_id integer not null references permit_sending (id) on delete cascade,
    named_on   text not null check (named_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    primary key (sending_id, named_on)
) strict, without rowid;
