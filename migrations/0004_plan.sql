create table task (
    id             integer primary key,
    event_id       integer not null references event (id) on delete cascade,
    -- The template's key, so that the same task can be found in another year.
    key            text,
    strand         text not null check (strand in ('Approval', 'Site and permits', 'Rooms', 'Loans', 'Crew', 'Guests',
                                                   'Press', 'Teaching', 'Rehearsal', 'Burn day', 'Afterwards')),
    title          text not null check (title <> ''),
    takes          text not null,
    owner_role     text not null check (owner_role in ('education officer', 'information officer', 'safety officer',
                                                       'burn boss', 'presenter', 'timekeeper', 'crew lead',
                                                       'fire chief', 'volunteers', 'whole crew')),
    owner_id       integer references person (id),
    -- Negative: days after the burn day.
    lead_days      integer not null check (lead_days between -400 and 1000),
    lead_basis     text not null check (lead_basis in ('calendar', 'working')),
    lead_notice    integer not null check (lead_notice in (0, 1)),
    duration       integer not null check (duration between 1 and 400),
    duration_basis text not null check (duration_basis in ('calendar', 'working')),
    rain           text not null check (rain in ('keep', 'redo', 'shift')),
    state          text not null check (state in ('to do', 'waiting', 'done', 'not needed')),
    waiting_for    text not null default '',
    started_on     text check (started_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    done_on        text check (done_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    state_at       integer not null,
    state_by       integer references account (id),
    -- The burn day itself is a task too, so that others can wait for it.
    is_burn        integer not null check (is_burn in (0, 1)),
    version        integer not null default 1,
    check ((state = 'done') = (done_on is not null))
) strict;

create index task_event on task (event_id, id);
create unique index task_key on task (event_id, key);
create unique index task_burn on task (event_id) where is_burn = 1;

-- The later task starts when the earlier one is finished and the lag is over.
create table task_link (
    later_id   integer not null references task (id) on delete cascade,
    earlier_id integer not null references task (id) on delete cascade,
    lag_days   integer not null check (lag_days between 0 and 400),
    lag_basis  text not null check (lag_basis in ('calendar', 'working')),
    primary key (later_id, earlier_id),
    check (later_id <> earlier_id)
) strict, without rowid;

create index task_link_earlier on task_link (earlier_id);

create table task_note (
    id         integer primary key,
    task_id    integer not null references task (id) on delete cascade,
    account_id integer not null references account (id),
    at         integer not null,
    text       text not null check (text <> '')
) strict;

create index task_note_task on task_note (task_id, id);
