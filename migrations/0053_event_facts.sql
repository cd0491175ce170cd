-- Counts every change of what people are told of an event: its date, hour,
-- place, rain date, name or format. A move of the burn day counts here too.
alter table event add column facts_revision integer not null default 1;
update event set facts_revision = date_revision;
-- A message is true while the event's facts are these.
alter table mail rename column date_revision to facts_revision;
-- Further calendar files of a message: an array of objects with a method and a
-- text.
alter table mail add column more_calendars text not null default '[]' check (json_valid(more_calendars));
