//! What loans keep about people.

mod store;

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[
        PersonColumn::moves("loan", "lender_id").was_at(&["loans/lender"]),
        PersonColumn::moves("loan", "lender_contact_id").was_at(&["loans/lender_contact", "loans/their"]),
        PersonColumn::moves("loan", "our_contact_id").was_at(&["loans/our_contact", "loans/keeper"]),
    ],
    blank: |tx, erasure| Box::pin(store::blank(tx, erasure)),
};
