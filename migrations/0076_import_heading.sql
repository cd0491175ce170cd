-- Whether a file's first row names its columns, once somebody has said so.
alter table import add column has_heading integer check (has_heading in (0, 1));
