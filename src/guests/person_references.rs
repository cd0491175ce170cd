//! What guests keep about people.

mod store;

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[
        PersonColumn::moves("guest", "person_id").was_at(&["guests/0"]),
        PersonColumn::moves("guest", "responsible_id").was_at(&["guests/1"]),
        PersonColumn::moves("guest", "signer_id").was_at(&["signed/0"]),
        PersonColumn::special(
            "guest_habit",
            "signer_id",
            |tx, from, to| Box::pin(store::reassign(tx, from, to)),
            |tx, moved, from, to| Box::pin(store::undo(tx, moved, from, to)),
        )
        .was_at(&["signed/1"]),
    ],
    blank: |tx, erasure| Box::pin(store::blank(tx, erasure)),
};
