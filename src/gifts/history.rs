//! What the history calls the entries about gifts.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[Subject {
    address: Some(|event, id| format!("/events/{event}/guests/gifts/{id}")),
    fields: &[
        ("state", "status"),
        ("estimate of it", "estimated value of it"),
        ("how we know it", "basis of the value"),
        ("naming the giver", "recognition"),
        ("to be here by", "expected by"),
    ],
    values: &[
        ("how we know it", "giver's word", "donor's estimate"),
        ("in the name of", "their organisation", "their organization"),
    ],
    ..Subject::of("gift", "Gifts and thanks")
}];
