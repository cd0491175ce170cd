//! What the talk keeps about people.

mod store;

use crate::people::PersonReferences;

pub const PERSON_REFERENCES: PersonReferences =
    PersonReferences { columns: &[], blank: |tx, erasure| Box::pin(store::blank(tx, erasure)) };
