//! What the pages about an event's questions look up first, and what several of them say.

use super::{Request, store};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people::Person;
use crate::state::App;
use crate::web::local_path::local_path;

/// Shown in place of a name after personal data is erased.
const ERASED: &str = "name erased";

/// Said when a reply came too late to be saved.
pub(super) const NOT_SAVED: &str =
    "Not saved: the question was withdrawn or its date changed. Check it, then record the reply again.";

/// Donations become gifts, too.
pub(super) const BY_ROOMS: &str = "Ask for furniture and material in Rooms, on the shopping and donations list. \
                                   Record the replies there, too.";

/// The event of a page.
pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

/// A question of an event.
pub(super) async fn question(app: &App, event_id: i64, id: i64) -> Result<(Event, Request)> {
    let event = event(app, event_id).await?;
    let request = store::find(app.db.read(), id).await?.filter(|request| request.event_id == event_id);
    Ok((event, request.ok_or(Error::NotFound)?))
}

/// Someone's name, even after their personal data is erased.
pub(super) fn name(person: Option<&Person>) -> &str {
    person.map_or(ERASED, |person| person.details.name.as_str())
}

/// Where a form goes back to: to the list if it says so, with the query of the page it was
/// on, or else to the question.
pub(super) fn back_to(back: &str, event_id: i64, request_id: i64) -> String {
    match back.strip_prefix("list") {
        Some(query) if query.is_ascii() && (query.is_empty() || query.starts_with('?')) => {
            local_path(&format!("/events/{event_id}/replies{query}")).to_owned()
        }
        _ => format!("/events/{event_id}/replies/{request_id}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_leads_back_to_the_list_or_to_the_question_and_nowhere_else() {
        for (back, to) in [
            ("list", "/events/1/replies"),
            ("list?q=ray&calls=2", "/events/1/replies?q=ray&calls=2"),
            ("", "/events/1/replies/7"),
            ("//evil.example", "/events/1/replies/7"),
            ("list//evil.example", "/events/1/replies/7"),
            ("list/../../people", "/events/1/replies/7"),
            ("list?q=é", "/events/1/replies/7"),
            ("list?q=a b", "/"),
            ("list?q=a\r\nset-cookie: x", "/"),
        ] {
            assert_eq!(back_to(back, 1, 7), to, "{back}");
        }
    }
}
