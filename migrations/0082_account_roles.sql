-- The burn boss and the incident commander sign in as what they are. A wider
-- check needs a new column, since other tables refer to this one.
alter table account add column new_role text not null default 'reader'
    check (new_role in ('education officer', 'information officer', 'safety officer', 'burn boss',
                        'incident commander', 'crew lead', 'timekeeper', 'reader'));
update account set new_role = role;
alter table account drop column role;
alter table account rename column new_role to role;
