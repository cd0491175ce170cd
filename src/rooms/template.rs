//! A living room to start from.

use super::{Details, Kind, Room};
use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    what: String,
    #[serde(default)]
    kind: String,
    #[serde(default = "one")]
    quantity: u32,
    #[serde(default)]
    position: String,
}

fn one() -> u32 {
    1
}

#[derive(Deserialize)]
struct File {
    thing: Vec<Entry>,
}

static THINGS: LazyLock<Vec<Details>> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("template.toml")).expect("the template is checked by a test");
    let details = |entry: Entry| {
        let kind = entry.kind.parse().unwrap_or(Kind::Furnishing);
        let position = entry.position;
        Details { position, quantity: entry.quantity, ..Details::of(Room::A, kind, &entry.what) }
    };
    file.thing.into_iter().map(details).collect()
});

/// The items both rooms start from, one after the other.
pub(super) fn things() -> impl Iterator<Item = Details> {
    THINGS.iter().flat_map(|details| Room::ALL.map(|room| Details { room, ..details.clone() }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::pairs::folded;

    #[test]
    fn the_template_is_a_room_twice_and_names_each_thing_once() {
        let mut names: Vec<String> = THINGS.iter().map(|details| folded(&details.what)).collect();
        assert!((15..30).contains(&names.len()));
        names.sort();
        names.dedup();
        assert_eq!(names.len(), THINGS.len());
        assert_eq!(things().count(), 2 * THINGS.len());
        assert!(THINGS.iter().all(|details| (details.quantity == 0) == (details.kind == Kind::Part)));
        let kinds = include_str!("template.toml").matches("\nkind = \"building part\"").count();
        assert_eq!(kinds, THINGS.iter().filter(|details| details.kind == Kind::Part).count());
    }
}
