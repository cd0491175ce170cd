-- The email of whoever outlets call, if it isn't in People.
alter table press_facts add column mail text not null default '';
