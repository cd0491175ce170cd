-- Written, and put back, by a monitor's question whether changes are kept.
create table heartbeat (
    id integer primary key check (id = 1),
    at integer not null
) strict;
insert into heartbeat (id, at) values (1, 0);
