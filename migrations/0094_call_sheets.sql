-- What the call sheet in an email was made from, in no words: the same sheet isn't emailed
-- again. The email is known by its key.
create table sent_sheet (
    dedup     text primary key,
    made_from text not null
) strict, without rowid;
