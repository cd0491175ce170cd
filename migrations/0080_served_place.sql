-- Where this store was opened for serving last. A store that finds itself
-- anywhere else is a copy, and sends no mail until it is released.
create table served_place (
    id         integer primary key check (id = 1),
    folder     text not null,
    -- A digest of the machine's own number; empty if it has none.
    machine    text not null,
    -- The file beside the store that was made for this start, and what the file
    -- system says of it and no copy shares: when it was made (null if the system
    -- doesn't tell) and when it was changed.
    mark       text not null check (mark <> ''),
    born_ns    integer,
    changed_ns integer not null
) strict;
