-- A decision about fuel is signed by the account that takes it, in its role of
-- that day. Without one, the name was typed by somebody.
alter table room_ruling add column signed_by integer references account (id);
alter table room_ruling add column signed_as text not null default '' check ((signed_as = '') = (signed_by is null));

create index room_ruling_signed on room_ruling (signed_by) where signed_by is not null;
