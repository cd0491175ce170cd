-- A notice period that was typed as a task's lead time becomes a record of its
-- own, and the task keeps the days as a plain lead time.
insert into permit (event_id, task_id, kind, title, rule, notice_days, notice_basis, counted_when, delivery_days,
                    dates_on_it, notes)
select event_id, id, 'notice', substr(title, 1, 120), 'days before', lead_days, lead_basis, 'sent', 0, 'burn day',
       'Taken over from the notice period of the task. Nobody noted who learned this rule: ask your authority.'
from task where lead_notice = 1 and lead_days >= 0 and is_burn = 0 order by id;

-- A task that was done had given its notice for the burn day of that time.
insert into permit_sending (permit_id, sent_on, site, burn_time)
select p.id, t.done_on, e.site, e.burn_time
from permit p join task t on t.id = p.task_id join event e on e.id = t.event_id
where t.state = 'done' order by p.id;

insert into permit_date (sending_id, named_on)
select s.id, e.burn_on
from permit_sending s join permit p on p.id = s.permit_id join event e on e.id = p.event_id;

alter table task drop column lead_notice;
