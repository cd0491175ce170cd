-- Days on which the department's offices are closed besides weekends and
-- public holidays.
create table closed_day (
    closed_on text primary key check (closed_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    reason    text not null
) strict, without rowid;
