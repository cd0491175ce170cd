-- Which end of a name is the surname, and how someone asked to be addressed in letters.
-- The name itself stays as it is shown.
alter table person add column surname text not null default ''
    check (surname = '' or surname = name collate binary or substr(name, -length(surname) - 1) = ' ' || surname);
alter table person add column address_form text not null default '';

-- A name of two plain words is split, by the rule of people/names.rs. Where the surname of
-- any other begins, only the person knows.
update person set surname = substr(name, instr(name, ' ') + 1)
where forgotten_at is null
  and length(name) - length(replace(name, ' ', '')) = 1
  and name not glob ('*[0-9,;:/&@()"' || char(160, 8199, 8239, 12288) || ']*')
  and lower(replace(substr(name, 1, instr(name, ' ') - 1), '.', '')) not in (
      '', 'mr', 'mrs', 'ms', 'miss', 'mx', 'dr', 'prof', 'professor', 'rev', 'reverend', 'fr', 'father', 'sister',
      'brother', 'pastor', 'rabbi', 'imam', 'hon', 'honorable', 'judge', 'justice', 'chief', 'capt', 'captain', 'lt',
      'lieutenant', 'sgt', 'sergeant', 'cpl', 'maj', 'major', 'col', 'colonel', 'gen', 'general', 'officer', 'deputy',
      'sheriff', 'marshal', 'mayor', 'gov', 'governor', 'sen', 'senator', 'rep', 'commissioner', 'coach', 'principal',
      'de', 'del', 'della', 'di', 'da', 'dos', 'du', 'la', 'le', 'van', 'von', 'der', 'den', 'ter', 'el', 'bin', 'ibn',
      'mac', 'mc', 'st', 'saint', 'san', 'santa', 'the')
  and lower(replace(substr(name, instr(name, ' ') + 1), '.', '')) not in (
      'jr', 'sr', 'ii', 'iii', 'iv', 'v', 'md', 'phd', 'dds', 'dvm', 'esq', 'cpa', 'rn', 'emt', 'ret',
      'desk', 'office', 'department', 'dept', 'district', 'newsroom', 'clerk', 'team', 'school', 'center', 'company',
      'inc', 'llc')
  and length(replace(substr(name, instr(name, ' ') + 1), '.', '')) > 1;

-- Lists are in the order of this text, which begins with the surname now. The next start
-- fills it in.
update person set search = '' where surname <> '' and merged_into is null;

-- Someone whose data is erased is called that, also in the history.
update person set name = 'Erased person ' || id where forgotten_at is not null and name = 'Forgotten person ' || id;
update journal
set title = replace(title, 'Forgotten person ', 'Erased person '),
    before = replace(before, 'Forgotten person ', 'Erased person '),
    after = replace(after, 'Forgotten person ', 'Erased person ')
where instr(title, 'Forgotten person ') or instr(before, 'Forgotten person ') or instr(after, 'Forgotten person ');
