-- The inside of both rooms of an event, in meters, and what is cut for them.
create table room_frame (
    event_id integer primary key references event (id) on delete cascade,
    width    real not null,
    depth    real not null,
    height   real not null,
    -- The curtain rods above the floor.
    rod      real not null,
    -- How far the clear panels reach down from the top of the front; 0 without panels.
    panels   real not null,
    -- Spare sheets, in percent of those needed.
    spare    integer not null,
    version  integer not null default 1
) strict;

-- Where an item stands in its room: its middle from the left wall and from the back wall, as
-- the audience looks in, its underside above the floor, and how far it is turned.
create table room_place (
    thing_id integer primary key references room_thing (id) on delete cascade,
    x        real not null,
    y        real not null,
    above    real not null,
    turn     real not null,
    version  integer not null default 1
) strict;

-- Parts that are built from the drawing and are on no list, by the number that the drawing
-- gives them, which is negative.
create table room_fixture (
    event_id integer not null references event (id) on delete cascade,
    number   integer not null check (number < 0),
    x        real not null,
    y        real not null,
    above    real not null,
    turn     real not null,
    -- How a clear panel is held: 'screwed', 'quick release', or empty.
    held     text not null default '' check (held in ('', 'screwed', 'quick release')),
    is_built integer not null default 0 check (is_built in (0, 1)),
    version  integer not null default 1,
    primary key (event_id, number)
) strict, without rowid;
