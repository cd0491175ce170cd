//! What the outbox keeps about people. It is part of the edge, which knows no people, so
//! this is declared here.

use crate::mail;
use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[
        // A message was sent to one record's address, and the link in it stops announcements there.
        PersonColumn::stays("mail", "person_id"),
        PersonColumn::stays("announcement_link", "person_id"),
    ],
    blank: |tx, erasure| Box::pin(mail::forget(tx, &erasure.rows, erasure.now)),
};
