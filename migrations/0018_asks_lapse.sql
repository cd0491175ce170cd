-- Whatever moves a date of an event: what was said to a date that is no more
-- must never count again, not even if the event comes back to it.
create trigger ask_lapses after update of burn_on, rain_on on event
begin
    update ask set lapsed_at = unixepoch()
    where lapsed_at is null and for_on <> new.burn_on and for_on is not new.rain_on
          and request_id in (select id from request where event_id = new.id);
end;
