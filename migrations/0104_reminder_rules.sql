-- A rule is known by its key and no longer by its place among the usual ones, so that one
-- can be added or removed without another one taking its number. What departments saved
-- and what was sent keep their rules.
create table rule_key (
    kind   text not null,
    number integer not null,
    rule   text not null,
    primary key (kind, number)
) strict, without rowid;
insert into rule_key (kind, number, rule) values
    ('post', 0, 'ask-again'), ('post', 1, 'remind'), ('post', 2, 'final-check'), ('post', 3, 'burn-day'),
    ('guest', 0, 'ask-again'), ('guest', 1, 'remind'), ('guest', 2, 'final-check'),
    ('loan', 0, 'ask-again'), ('loan', 1, 'remind'), ('loan', 2, 'final-check'),
    ('coverage', 0, 'ask-again'), ('coverage', 1, 'remind'), ('coverage', 2, 'burn-day'),
    ('help', 0, 'ask-again'), ('help', 1, 'remind'), ('help', 2, 'final-check'), ('help', 3, 'evening-before'),
    ('item', 0, 'ask-again'), ('item', 1, 'ask-once-more');

-- Nothing refers to this table, whose rule is part of its key. No version had a rule
-- without a key here; a row of one stays under its number.
create table new_reminder_rule (
    event_id integer not null references event (id) on delete cascade,
    kind     text not null check (kind in ('post', 'guest', 'loan', 'coverage', 'help', 'item')),
    rule     text not null check (rule <> ''),
    is_on    integer not null check (is_on in (0, 1)),
    days     integer not null check (days between 0 and 400),
    basis    text not null check (basis in ('calendar', 'working')),
    at       text not null check (at glob '[0-2][0-9]:[0-5][0-9]'),
    version  integer not null default 1,
    primary key (event_id, kind, rule)
) strict, without rowid;
insert into new_reminder_rule (event_id, kind, rule, is_on, days, basis, at, version)
select r.event_id, r.kind, coalesce(k.rule, cast(r.number as text)), r.is_on, r.days, r.basis, r.at, r.version
from reminder_rule r left join rule_key k on k.kind = r.kind and k.number = r.number;
drop table reminder_rule;
alter table new_reminder_rule rename to reminder_rule;

-- `question/{request}/{number}/{date revision}` becomes `question/{request}/{rule}/{date
-- revision}`, in what became of reminders and in the keys of their emails, where
-- `reminder/{person}/` stands before it and `/{facts revision}` behind it.
create table question_key (old text primary key, new text not null) strict, without rowid;
with question (old, rest) as (
    select key, substr(key, length('question/') + 1) from reminder where key glob 'question/*/*/*'
),
parts (old, request, rest) as (
    select old, substr(rest, 1, instr(rest, '/') - 1), substr(rest, instr(rest, '/') + 1) from question
),
numbered (old, request, number, rest) as (
    select old, request, substr(rest, 1, instr(rest, '/') - 1), substr(rest, instr(rest, '/')) from parts
)
insert into question_key (old, new)
select n.old, 'question/' || n.request || '/' || k.rule || n.rest
from numbered n join request r on r.id = cast(n.request as integer)
     join rule_key k on k.kind = r.kind and cast(k.number as text) = n.number;
update reminder set key = (select new from question_key where old = key)
where key in (select old from question_key);
drop table question_key;

create table mail_key (old text primary key, new text not null) strict, without rowid;
with question (old, start, rest) as (
    select dedup, substr(dedup, 1, instr(dedup, '/question/') + length('/question/') - 1),
           substr(dedup, instr(dedup, '/question/') + length('/question/'))
    from mail where kind = 'reminder' and dedup glob 'reminder/*/question/*/*/*/*'
),
parts (old, start, request, rest) as (
    select old, start, substr(rest, 1, instr(rest, '/') - 1), substr(rest, instr(rest, '/') + 1) from question
),
numbered (old, start, request, number, rest) as (
    select old, start, request, substr(rest, 1, instr(rest, '/') - 1), substr(rest, instr(rest, '/')) from parts
)
insert into mail_key (old, new)
select n.old, n.start || n.request || '/' || k.rule || n.rest
from numbered n join request r on r.id = cast(n.request as integer)
     join rule_key k on k.kind = r.kind and cast(k.number as text) = n.number;
update sent_sheet set dedup = (select new from mail_key where old = dedup)
where dedup in (select old from mail_key);
update statement set mail_dedup = (select new from mail_key where old = mail_dedup)
where mail_dedup in (select old from mail_key);
update mail set dedup = (select new from mail_key where old = dedup)
where dedup in (select old from mail_key);
drop table mail_key;
drop table rule_key;
