-- What a thing looks like, for holding it beside its like.
alter table room_thing add column photo_id integer references photo (id);

create index room_thing_photo on room_thing (photo_id) where photo_id is not null;
