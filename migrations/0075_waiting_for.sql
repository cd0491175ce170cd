-- A task that waits, waits for somebody or something.
update task set waiting_for = 'somebody (not noted)' where state = 'waiting' and trim(waiting_for) = '';

create trigger task_added_waits_for before insert on task
when new.state = 'waiting' and trim(new.waiting_for) = ''
begin
    select raise(abort, 'a task waits for nobody');
end;

create trigger task_changed_waits_for before update of state, waiting_for on task
when new.state = 'waiting' and trim(new.waiting_for) = ''
begin
    select raise(abort, 'a task waits for nobody');
end;
