-- A hold because the store is a copy, or by the command, is known by its words
-- (src/mail/outbox/hands.rs), which have been these and those.
drop trigger hold_doubts;
create trigger hold_doubts after update of held_at on mail_hold
when new.held = 1 and new.held_by is null
     and (new.why like 'This data is a copy%' or new.why like 'This store is a copy%'
          or new.why in ('It was put on hold from the command line.', 'It was held from the command line.'))
begin
    update mail_hold set copies = copies + 1;
    update request set version = version + 1000;
    insert into statement (request_id, way, content, at)
    select r.id, 'assumed', '{"dates":[],"facts":[]}', r.asked_at from request r
    where r.withdrawn_at is null and not exists (select 1 from statement s where s.request_id = r.id);
    update statement set is_doubtful = 1, content = json_set(content, '$.entries', json((
        select json_group_array(a.id) from ask a where a.request_id = statement.request_id)))
    where request_id in (select id from request where withdrawn_at is null);
end;
