-- The order of a list of people, and what is looked through for it: a page of
-- some ten thousand people is read without going through their rows.
create index person_listed on person (search, id) where forgotten_at is null and merged_into is null;
