-- The values a receipt was made from: it is out of date once the gift's are others. Null
-- if they aren't known.
alter table receipt add column made_from text check (made_from is null or json_valid(made_from));
