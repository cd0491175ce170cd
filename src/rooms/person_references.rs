//! What the rooms keep about people.

mod store;

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[PersonColumn::moves("donation_request", "person_id").was_at(&["donation_requests", "pleas"])],
    blank: |tx, erasure| Box::pin(store::blank(tx, erasure)),
};
