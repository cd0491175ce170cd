-- What stands in the two rooms, or is to stand there, a line each.
create table room_thing (
    id         integer primary key,
    event_id   integer not null references event (id) on delete cascade,
    room       text not null check (room in ('room A', 'room B')),
    kind       text not null check (kind in ('furnishing', 'building part')),
    what       text not null check (what <> ''),
    model      text not null default '',
    material   text not null default '',
    -- Length, width and height in tenths of a millimetre, and the unit they were
    -- typed in.
    size_1     integer check (size_1 between 1 and 300000),
    size_2     integer check (size_2 between 1 and 300000),
    size_3     integer check (size_3 between 1 and 300000),
    size_unit  text not null default 'cm' check (size_unit in ('cm', 'in')),
    position   text not null default '',
    condition  text not null default '',
    -- 0 while nobody has said how many.
    quantity   integer not null check (quantity between 0 and 999),
    -- Nothing borrowed goes into a room that burns.
    source     text not null check (source in ('not known yet', 'gift', 'bought', 'the department''s own', 'built')),
    gift_id    integer references gift (id),
    by_whom    text not null default '',
    state      text not null check (state in ('wanted', 'promised', 'here', 'in place')),
    -- What somebody ticked about it: an array of words.
    hazards    text not null default '[]' check (json_valid(hazards)),
    version    integer not null default 1,
    check (size_1 is not null or size_2 is null),
    check (size_2 is not null or size_3 is null),
    check (gift_id is null or source = 'gift')
) strict;

create index room_thing_event on room_thing (event_id, id);
create index room_thing_gift on room_thing (gift_id) where gift_id is not null;

-- When two sizes count as alike, and how much more is got than is built.
create table room_habit (
    event_id integer primary key references event (id) on delete cascade,
    percent  integer not null check (percent between 0 and 50),
    -- Tenths of a millimetre, and the unit it was typed in.
    length   integer not null check (length between 0 and 10000),
    unit     text not null check (unit in ('cm', 'in')),
    spare    integer not null check (spare between 0 and 100),
    version  integer not null default 1
) strict;
