-- In what condition a thing was when it changed hands: once when it is handed
-- over to us, once when it goes back, by the same list.
create table loan_condition (
    id          integer primary key,
    loan_id     integer not null references loan (id) on delete cascade,
    -- The step it belongs to; taken back with it.
    step_id     integer not null unique references loan_step (id) on delete cascade,
    is_return   integer not null check (is_return in (0, 1)),
    taken_on    text not null check (taken_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    taken_time  text not null check (taken_time glob '[0-2][0-9]:[0-5][0-9]'),
    given_by    text not null default '',
    taken_by    text not null default '',
    -- JSON: what was looked at and found, what was counted.
    checks      text not null,
    accessories text not null,
    notes       text not null default ''
) strict;

create index loan_condition_loan on loan_condition (loan_id, id);
