-- When somebody was on the site. Who went and came back has two.
create table attendance (
    id        integer primary key,
    event_id  integer not null references event (id) on delete cascade,
    person_id integer not null references person (id),
    in_at     integer not null,
    -- Null while they are in.
    out_at    integer check (out_at >= in_at),
    -- Why a time was put right by hand; empty if none was.
    reason    text not null default '',
    version   integer not null default 1
) strict;

create index attendance_event on attendance (event_id, in_at);
create index attendance_person on attendance (person_id);
create unique index attendance_in on attendance (event_id, person_id) where out_at is null;
