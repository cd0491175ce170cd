-- Newspapers, stations and the like, once for the whole department.
create table outlet (
    id              integer primary key,
    name            text not null unique collate nocase check (name <> ''),
    kind            text not null check (kind in ('daily newspaper', 'weekly newspaper', 'radio', 'television', 'online',
                                                  'school or community', 'newswire')),
    -- When it closes its pages, in words,
    rhythm          text not null default '',
    -- and how many days before burn day it wants the text.
    lead_days       integer not null default 1 check (lead_days between 0 and 120),
    -- Weekdays on which nobody is there, Monday in the lowest bit.
    closed_weekdays integer not null default 0 check (closed_weekdays between 0 and 127),
    -- An array of further days.
    closed_on       text not null default '[]' check (json_valid(closed_on)),
    created_at      integer not null,
    version         integer not null default 1
) strict;

-- Somebody at an outlet.
create table outlet_contact (
    id         integer primary key,
    outlet_id  integer not null references outlet (id),
    person_id  integer not null references person (id),
    part       text not null default '',
    -- No longer there.
    left_at    integer,
    created_at integer not null,
    unique (outlet_id, person_id)
) strict;

create index outlet_contact_person on outlet_contact (person_id);

-- Which outlets are approached about an event, and who sees to each.
create table press_listing (
    event_id integer not null references event (id) on delete cascade,
    outlet_id integer not null references outlet (id),
    owner_id integer references person (id),
    added_at integer not null,
    primary key (event_id, outlet_id)
) strict, without rowid;

create index press_listing_outlet on press_listing (outlet_id);
create index press_listing_owner on press_listing (owner_id) where owner_id is not null;
