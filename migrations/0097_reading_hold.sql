-- The end of the embargo as its day, time, and zone, so that other words for it don't end
-- an open link. Empty without an embargo; null while it isn't known.
alter table paper_reading add column hold text;

update paper_reading set hold = '' where embargo = '';
