-- From when until when whoever says yes can be there, in minutes after midnight
-- of the day; null if it was not said.
alter table answer add column from_min integer check (from_min between 0 and 1439);
alter table answer add column until_min integer
    check (until_min > from_min and until_min <= from_min + 1440 and (from_min is null) = (until_min is null));
