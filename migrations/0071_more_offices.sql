-- Two offices that are often invited, before the visiting chiefs: common
-- practice. A list that the department has changed stays as it is.
update office set place = place + 2
where place >= 13 and (select version from guest_habit where id = 1) = 1;

insert into office (place, name, level, address)
select 13, 'Sheriff', 'regional', 'Sheriff' from guest_habit
where version = 1 and not exists (select 1 from office where name = 'Sheriff');

insert into office (place, name, level, address)
select 14, 'Superintendent of schools', 'local', '' from guest_habit
where version = 1 and not exists (select 1 from office where name = 'Superintendent of schools');
