-- What else a guest says: the title of whoever comes instead, and whether they
-- would like to speak (null: not said).
alter table answer add column deputy_title text not null default '' check (deputy_title = '' or said = 'deputy');
alter table answer add column wants_to_speak integer check (wants_to_speak in (0, 1));
