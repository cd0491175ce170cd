-- What visitors and helpers need to know besides the hour and the site: the street
-- address in lines, where that is on a map (degrees, WGS 84), where to park, and what to
-- wear. Nothing is known of older events, so no one was told any of it.
alter table event add column address text not null default '';
alter table event add column latitude real check (latitude between -90 and 90);
alter table event add column longitude real
    check (longitude between -180 and 180 and (latitude is null) = (longitude is null));
alter table event add column parking text not null default '';
alter table event add column clothing text not null default '';
