-- What an outlet must know of an event besides its date and place.
create table press_facts (
    event_id   integer primary key references event (id) on delete cascade,
    contact    text not null default '',
    phone      text not null default '',
    why        text not null default '',
    area       text not null default '',
    arrival    text not null default '',
    interviews text not null default '',
    visuals    text not null default '',
    decision   text not null default '',
    clothing   text not null default '',
    power      text not null default '',
    -- Up to five lines that every story should carry: an array.
    messages   text not null default '[]' check (json_valid(messages)),
    version    integer not null default 1
) strict;
