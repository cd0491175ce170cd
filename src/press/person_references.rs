//! What Press keeps about people.

mod store;

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[
        PersonColumn::moves("outlet_contact", "person_id").was_at(&["press/contacts"]),
        PersonColumn::moves("outreach", "person_id").was_at(&["press/entries"]),
        PersonColumn::moves("outreach", "follow_up_by").was_at(&["press/follow_ups"]),
        PersonColumn::moves("press_visit", "person_id").was_at(&["press/visits"]),
        PersonColumn::moves("press_visit", "escort_id").was_at(&["press/escorts"]),
        PersonColumn::moves("paper_reading", "person_id").was_at(&["press/readings/asked"]),
        PersonColumn::moves("paper_version", "reader_id").was_at(&["press/readings/versions"]),
        PersonColumn::special(
            "press_listing",
            "owner_id",
            |tx, from, to| Box::pin(store::reassign(tx, from, to)),
            |tx, moved, from, to| Box::pin(store::undo(tx, moved, from, to)),
        )
        .was_at(&["press"]),
    ],
    blank: |tx, erasure| Box::pin(store::blank(tx, erasure)),
};
