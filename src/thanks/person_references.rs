//! What thanks keep about people.

mod store;

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[
        PersonColumn::moves("thanks_draft", "person_id").was_at(&["thanks/drafts"]),
        PersonColumn::moves("thanked", "person_id").was_at(&["thanks/thanked"]),
    ],
    blank: |tx, erasure| Box::pin(store::blank(tx, erasure)),
};
