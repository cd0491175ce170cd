//! What permits and notices keep about people.

mod store;

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[PersonColumn::moves_with_version("permit", "person_id").was_at(&["permits"])],
    blank: |tx, erasure| Box::pin(store::blank(tx, erasure)),
};
