-- What a thing looked like when it changed hands: the same sides both times.
create table loan_photo (
    condition_id integer not null references loan_condition (id) on delete cascade,
    side         integer not null check (side between 0 and 3),
    photo_id     integer not null unique references photo (id),
    primary key (condition_id, side)
) strict, without rowid;
