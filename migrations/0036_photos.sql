-- Photos lie as files in the folder `photos` beside the store, named by the
-- digest of their content; several rows may hold the same one.
create table photo (
    id       integer primary key,
    digest   text not null check (length(digest) = 64),
    width    integer not null check (width > 0),
    height   integer not null check (height > 0),
    bytes    integer not null check (bytes > 0),
    added_at integer not null,
    added_by integer references account (id)
) strict;

create index photo_digest on photo (digest);
create index photo_added_by on photo (added_by);
