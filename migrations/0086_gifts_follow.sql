-- What is given for good isn't given for a day: what was said to it goes along
-- with the burn day.
drop trigger ask_lapses;
create trigger ask_lapses after update of burn_on, rain_on on event
begin
    update ask set for_on = new.burn_on, date_revision = new.date_revision
    where lapsed_at is null and for_on = old.burn_on
      and request_id in (select id from request where event_id = new.id and kind = 'item');
    update ask set lapsed_at = unixepoch()
    where lapsed_at is null and for_on <> new.burn_on and for_on is not new.rain_on
      and request_id in (select id from request where event_id = new.id);
end;
