-- Where the department is, so that an official at home is known to be. Each may
-- stay empty. The places that were kept with the order of guests move here.
alter table department add column city text not null default '';
alter table department add column county text not null default '';
alter table department add column state text not null default '';
alter table department add column congress_district text not null default '';
alter table department add column senate_district text not null default '';
alter table department add column house_district text not null default '';
-- Other towns, counties and districts in which it burns, a line each.
alter table department add column other_places text not null default '';

update department set other_places = (select places from guest_habit where id = 1);
alter table guest_habit drop column places;
