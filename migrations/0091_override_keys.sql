-- The rules that were overridden, one key a line, in no words: they count for as long as
-- the same keys come up. The words beside them are those that were shown.
alter table assignment add column override_keys text not null default '';
