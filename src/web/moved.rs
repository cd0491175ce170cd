//! Addresses that pages had in earlier versions. Emails, bookmarks and printed sheets still
//! name them.

use axum::extract::Request;
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

/// The old beginning of an address and the new one. A star is any one part.
const MOVED: [(&str, &str); 17] = [
    ("/events/*/asks", "/events/*/replies"),
    ("/events/*/reminders", "/events/*/scheduled"),
    ("/events/*/guests/programme", "/events/*/guests/program"),
    ("/events/*/guests/day", "/events/*/burn-day/guests"),
    ("/events/*/guests/sheet", "/events/*/burn-day/presenter"),
    ("/events/*/guests/cards", "/events/*/burn-day/cards"),
    ("/events/*/guests/*/rang", "/events/*/guests/*/called"),
    ("/events/*/crew/day", "/events/*/burn-day/crew"),
    ("/events/*/crew/sheets", "/events/*/burn-day/call-sheets"),
    ("/events/*/crew/posts", "/events/*/crew/positions"),
    ("/events/*/press/day", "/events/*/burn-day/press"),
    ("/events/*/press/papers", "/events/*/press/releases"),
    ("/events/*/rooms/sourcing", "/events/*/rooms/shopping"),
    ("/events/*/rooms/things", "/events/*/rooms/items"),
    ("/events/*/loans/*/hand-over", "/events/*/loans/*/pickup"),
    ("/people/*/forget", "/people/*/erase"),
    ("/people/*/separate", "/people/*/undo-merge"),
];

/// Leads old addresses to the new ones. A form that was open during the upgrade is sent
/// there with all that was typed.
pub async fn lead(request: Request, next: Next) -> Response {
    let Some(mut to) = new_address(request.uri().path()) else { return next.run(request).await };
    if let Some(query) = request.uri().query() {
        to.push('?');
        to.push_str(query);
    }
    Redirect::permanent(&to).into_response()
}

/// Where a page with this address is now, if it was ever elsewhere.
fn new_address(path: &str) -> Option<String> {
    MOVED.iter().find_map(|(old, new)| with_start(path, old, new))
}

/// Where a page with this address was before.
pub(super) fn old_addresses(path: &str) -> Vec<String> {
    let all = MOVED.iter().filter_map(|(old, new)| with_start(path, new, old));
    all.filter(|old| new_address(old).as_deref() == Some(path)).collect()
}

/// The address with another beginning, if it has this one.
fn with_start(path: &str, from: &str, to: &str) -> Option<String> {
    let parts: Vec<&str> = path.split('/').collect();
    let from: Vec<&str> = from.split('/').collect();
    let fits = parts.len() >= from.len() && from.iter().zip(&parts).all(|(from, part)| *from == "*" || from == part);
    let mut stars = from.iter().zip(&parts).filter(|(from, _)| **from == "*").map(|(_, part)| *part);
    fits.then(|| {
        let to = to.split('/').map(|part| if part == "*" { stars.next().unwrap_or(part) } else { part });
        to.chain(parts[from.len()..].iter().copied()).collect::<Vec<_>>().join("/")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn old_addresses_lead_to_new_ones_and_no_further() {
        for (old, new) in [
            ("/events/7/asks", "/events/7/replies"),
            ("/events/7/asks/31/answers", "/events/7/replies/31/answers"),
            ("/events/7/guests/day", "/events/7/burn-day/guests"),
            ("/events/7/crew/day/3/in", "/events/7/burn-day/crew/3/in"),
            ("/events/7/loans/3/hand-over", "/events/7/loans/3/pickup"),
            ("/people/9/forget", "/people/9/erase"),
        ] {
            assert_eq!(new_address(old).as_deref(), Some(new));
            assert_eq!(old_addresses(new), [old]);
        }
        for (_, new) in MOVED {
            assert_eq!(new_address(&new.replace('*', "7")), None, "{new}");
        }
        for same in ["/events/7/guests/3", "/events/7", "/asks", "/events/7/asking", "/people/forget"] {
            assert_eq!(new_address(same), None);
            assert!(old_addresses(same).is_empty(), "{same}");
        }
    }
}
