-- Questions that the crew's own page put, about the posts named in them. Any
-- other question about a post counts wherever somebody is assigned.
create table crew_question (
    request_id integer primary key references request (id) on delete cascade
) strict, without rowid;

insert into crew_question (request_id)
select id from request
where kind = 'post'
  and (id in (select request_id from assignment)
       or exists (select 1 from json_each(request.facts) as fact where fact.value ->> '$[0]' = 'Post'));
