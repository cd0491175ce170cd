-- A call about a question that brought no answer. The question stays open, and
-- whoever was called is called again the next day.
create table ask_call (
    id          integer primary key,
    request_id  integer not null references request (id) on delete cascade,
    kind        text not null check (kind in ('left a message')),
    note        text not null,
    at          integer not null,
    recorded_by integer not null references account (id)
) strict;

create index ask_call_request on ask_call (request_id, id);
