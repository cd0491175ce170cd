-- What is borrowed for a burn: a row for each thing, not for each kind.
create table loan (
    id            integer primary key,
    event_id      integer not null references event (id) on delete cascade,
    what          text not null check (what <> ''),
    kind          text not null check (kind in ('clock', 'timers', 'sound', 'radios', 'barriers', 'power', 'tables and seats',
                                                'something else')),
    serial        text not null default '',
    lender_id     integer not null references person (id),
    -- A school needs its things on its next working day.
    is_school     integer not null default 0 check (is_school in (0, 1)),
    -- Who answers for it: on the lender's side, and on ours.
    their_id      integer references person (id),
    keeper_id     integer references person (id),
    -- The question by which it was asked for.
    request_id    integer references request (id) on delete set null,
    -- The same thing, as it was lent to another event.
    same_as       integer references loan (id) on delete set null,
    collect_place text not null default '',
    collect_time  text check (collect_time glob '[0-2][0-9]:[0-5][0-9]'),
    collect_by    text not null default '',
    return_place  text not null default '',
    return_time   text check (return_time glob '[0-2][0-9]:[0-5][0-9]'),
    return_by     text not null default '',
    transport     text not null default '',
    power         text not null default '',
    connector     text not null default '',
    operator      text not null default '',
    training      text not null default '',
    value_cents   integer check (value_cents between 1 and 1000000000),
    insured       text not null default 'not agreed yet'
                      check (insured in ('not agreed yet', 'by the lender', 'by us', 'by nobody')),
    certificate   text not null default '',
    -- The task of the plan that needs it.
    task_id       integer references task (id) on delete set null,
    -- There is only one: then something else must stand ready.
    is_single     integer not null default 0 check (is_single in (0, 1)),
    backup_id     integer references loan (id) on delete set null,
    backup        text not null default '',
    -- Where it stands on burn day, and how far from the rooms.
    stands        text not null default '',
    distance_ft   integer check (distance_ft between 1 and 10000),
    -- What is looked at and counted when it is handed over: JSON arrays of pairs.
    checks        text not null default '[]',
    accessories   text not null default '[]',
    notes         text not null default '',
    version       integer not null default 1
) strict;

create index loan_event on loan (event_id, id);
create index loan_lender on loan (lender_id);
create index loan_their on loan (their_id);
create index loan_keeper on loan (keeper_id);
create index loan_request on loan (request_id);
create index loan_same on loan (same_as);
create index loan_task on loan (task_id);
create index loan_backup on loan (backup_id);

-- What was agreed for one date: a yes to burn day says nothing about the rain
-- date, so each has its own row.
create table loan_span (
    loan_id    integer not null references loan (id) on delete cascade,
    for_on     text not null check (for_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    is_free    integer not null check (is_free in (0, 1)),
    from_on    text check (from_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    until_on   text check (until_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    collect_on text check (collect_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    return_on  text check (return_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    primary key (loan_id, for_on),
    check ((is_free = 1) = (from_on is not null) and (is_free = 1) = (until_on is not null))
) strict, without rowid;

-- What happened to a thing. Rows are only added; one that was noted by mistake
-- is marked as taken back.
create table loan_step (
    id            integer primary key,
    loan_id       integer not null references loan (id) on delete cascade,
    step          text not null check (step in ('asked', 'promised', 'confirmed in writing', 'collected', 'tested',
                                                'returned', 'closed', 'not lent')),
    -- The date that was asked for, promised or confirmed.
    for_on        text check (for_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    happened_on   text not null check (happened_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    who           text not null default '',
    note          text not null default '',
    at            integer not null,
    by            integer not null references account (id),
    taken_back_at integer,
    check ((step in ('asked', 'promised', 'confirmed in writing')) = (for_on is not null))
) strict;

create index loan_step_loan on loan_step (loan_id, id);
