-- Tables and columns are called what the pages call them.
alter table organisation rename to organization;
alter table person rename column organisation_id to organization_id;
alter table loan rename column their_id to lender_contact_id;
alter table loan rename column keeper_id to our_contact_id;
alter table guest rename column chaser_id to responsible_id;
alter table room_plea rename to donation_request;
update import set columns = replace(columns, '"organisation"', '"organization"') where columns is not null;

drop index loan_their;
drop index loan_keeper;
drop index guest_chaser;
drop index person_organisation;
create index loan_lender_contact on loan (lender_contact_id);
create index loan_our_contact on loan (our_contact_id);
create index guest_responsible on guest (responsible_id);
create index person_organization on person (organization_id);
