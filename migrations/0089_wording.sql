-- The version of the wording that this store's texts are in, as far as they are compared
-- with texts made anew: see src/wording.rs.
create table wording (
    id      integer primary key check (id = 1),
    version integer not null check (version > 0)
) strict;
insert into wording (id, version) values (1, 1);
