-- Calendars that somebody's own program fetches: what one person said yes to,
-- or a whole event. Only the SHA-256 of what opens one; none once it is
-- revoked, and a new one has another number.
create table feed (
    id         integer primary key,
    person_id  integer unique references person (id),
    event_id   integer unique references event (id) on delete cascade,
    number     integer not null default 1,
    token_hash blob unique check (length(token_hash) = 32),
    check ((person_id is null) <> (event_id is null))
) strict;
