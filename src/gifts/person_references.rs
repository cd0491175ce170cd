//! What gifts keep about people.

mod store;

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[PersonColumn::moves("gift", "person_id").was_at(&["gifts"])],
    blank: |tx, erasure| Box::pin(store::blank(tx, erasure)),
};
