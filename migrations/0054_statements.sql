-- What somebody knows of a question: the dates, what they said to each, and the
-- lines under it, as they were last told. Rows are only added. A row that
-- a message carries counts unless that message failed, expired or was cancelled.
-- A row of a page tells what they saw when they answered, until the message that
-- confirms it is there.
create table statement (
    id          integer primary key,
    request_id  integer not null references request (id) on delete cascade,
    -- The message that carries it, by its key; none if it was said, or assumed
    -- of questions older than this table.
    mail_dedup  text,
    way         text not null check (way in ('mail', 'voice', 'page', 'assumed')),
    content     text not null check (json_valid(content)),
    -- After a restored copy nobody knows what they were told since.
    is_doubtful integer not null default 0 check (is_doubtful in (0, 1)),
    at          integer not null,
    recorded_by integer references account (id),
    check ((way = 'mail') = (mail_dedup is not null))
) strict;

create index statement_request on statement (request_id, id);

-- A question's own lines no longer repeat the event's place and hour: they are
-- read from the event.
update request set facts = (
    select json_group_array(json(kept.value))
    from (select line.value from json_each(request.facts) line, event e
          where e.id = request.event_id
            and not (line.value ->> 0 = 'Where' and line.value ->> 1 = e.site)
            and not (line.value ->> 0 = 'Time' and line.value ->> 1 = e.burn_time)
            and not (line.value ->> 0 = 'First fire' and line.value ->> 1 = e.burn_time)
          order by line.key) kept
);

-- The confirmation of an answer tells all of how the question stands, and what is
-- still open, so whatever waits to tell or to ask that is needless. A reminder is
-- needless once all is answered.
drop trigger answer_settles;
create trigger answer_settles after insert on answer
begin
    update mail set state = 'cancelled', words = 'It was answered.', settled_at = new.at
    where state = 'waiting' and kind in ('ask', 'notice')
      and request_id = (select a.request_id from ask a where a.id = new.ask_id and a.lapsed_at is null);
    update mail set state = 'cancelled', words = 'It was answered.', settled_at = new.at
    where state = 'waiting' and kind = 'reminder' and request_id = (
        select a.request_id from ask a
        where a.id = new.ask_id and a.lapsed_at is null and not exists (
            select 1 from ask still
            where still.request_id = a.request_id and still.lapsed_at is null
              and not exists (select 1 from answer said where said.ask_id = still.id)));
end;
