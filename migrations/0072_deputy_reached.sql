-- How to reach whoever comes instead, if they were named with it.
alter table answer add column deputy_phone text not null default '';
alter table answer add column deputy_mail text not null default '';
alter table guest add column day_deputy_phone text not null default '';
alter table guest add column day_deputy_mail text not null default '';
