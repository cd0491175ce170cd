-- What was written to a lender about a thing, as it went out.
create table loan_letter (
    id      integer primary key,
    loan_id integer not null references loan (id) on delete cascade,
    about   text not null check (about in ('its return', 'its condition')),
    way     text not null check (way in ('mail', 'on paper')),
    text    text not null,
    at      integer not null,
    by      integer not null references account (id),
    mail_id integer references mail (id)
) strict;

create index loan_letter_loan on loan_letter (loan_id, id);
