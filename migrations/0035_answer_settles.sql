-- Once all that is still asked of somebody is answered, what waits to be mailed
-- about it is needless: whoever records the answer.
create trigger answer_settles after insert on answer
begin
    update mail set state = 'cancelled', words = 'It was answered.', settled_at = new.at
    where state = 'waiting' and request_id = (
        select a.request_id from ask a
        where a.id = new.ask_id and a.lapsed_at is null and not exists (
            select 1 from ask still
            where still.request_id = a.request_id and still.lapsed_at is null
              and not exists (select 1 from answer said where said.ask_id = still.id)));
end;
