//! What accounts keep about people.

mod store;

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[PersonColumn::special(
        "account",
        "person_id",
        |tx, from, to| Box::pin(store::reassign(tx, from, to)),
        |tx, moved, from, to| Box::pin(async move { store::undo(tx, serde_json::from_value(moved)?, from, to).await }),
    )
    .was_at(&["account"])],
    blank: |tx, erasure| Box::pin(store::blank(tx, erasure)),
};
