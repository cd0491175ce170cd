-- Who signs invitations: nobody, and then the officer who sends them; usually
-- somebody, as the chief; and whoever signed this guest's, once invited.
alter table guest_habit add column signer_id integer references person (id);
alter table guest add column signer_id integer references person (id);

create index guest_habit_signer on guest_habit (signer_id);
create index guest_signer on guest (signer_id);
