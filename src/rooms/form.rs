//! The form of an item.

use super::{Details, Hazard, Kind, Room, SOURCES, Size, Source, Thing, ThingState};
use crate::gifts::{Gift, Kind as GiftKind};
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

pub(super) const BOTH: &str = "both rooms";
/// The choices of room for a new item.
pub(super) const PLACES: [&str; 3] = [BOTH, Room::A.as_str(), Room::B.as_str()];
/// Offered so that whoever wants to borrow something reads why not.
const LOAN: &str = "loan";
pub(super) const OFFERED: [&str; SOURCES.len() + 1] =
    [SOURCES[0], SOURCES[1], SOURCES[2], SOURCES[3], SOURCES[4], LOAN];

const NO_LOAN: &str = "Nothing borrowed goes into a room that burns: heat, smoke and water reach everything in it, and \
                       owners expect their items back undamaged. Ask for a gift under Shopping and donations list, or \
                       buy it.";

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct ThingForm {
    pub room: String,
    pub kind: String,
    pub what: String,
    pub model: String,
    pub material: String,
    pub size: String,
    pub position: String,
    pub condition: String,
    pub quantity: String,
    pub source: String,
    pub gift: String,
    pub by_whom: String,
    pub state: String,
    pub hazard: Vec<String>,
    pub version: i64,
}

/// A field of the form, for showing two versions side by side.
pub(super) struct FormField {
    pub name: &'static str,
    pub label: &'static str,
    pub of: fn(&ThingForm) -> &String,
}

pub(super) const FORM: [FormField; 13] = [
    FormField { name: "room", label: "Room", of: |form| &form.room },
    FormField { name: "kind", label: "Kind", of: |form| &form.kind },
    FormField { name: "what", label: "Type", of: |form| &form.what },
    FormField { name: "model", label: "Model", of: |form| &form.model },
    FormField { name: "material", label: "Material", of: |form| &form.material },
    FormField { name: "size", label: "Size", of: |form| &form.size },
    FormField { name: "position", label: "Position", of: |form| &form.position },
    FormField { name: "condition", label: "Condition", of: |form| &form.condition },
    FormField { name: "quantity", label: "Quantity", of: |form| &form.quantity },
    FormField { name: "source", label: "Source", of: |form| &form.source },
    FormField { name: "gift", label: "Gift", of: |form| &form.gift },
    FormField { name: "by_whom", label: "Provided by", of: |form| &form.by_whom },
    FormField { name: "state", label: "Status", of: |form| &form.state },
];

impl ThingForm {
    pub fn fresh(room: &str, kind: &str) -> Self {
        let known = |text: &str, all: &[&str]| all.iter().find(|known| **known == text).unwrap_or(&all[0]).to_string();
        let text = str::to_owned;
        Self {
            room: known(room, &PLACES),
            kind: known(kind, &super::KINDS),
            quantity: text("1"),
            source: text(Source::Unknown.as_str()),
            state: text(ThingState::Wanted.as_str()),
            ..Self::default()
        }
    }

    pub fn of(thing: &Thing) -> Self {
        let details = &thing.details;
        Self {
            room: details.room.to_string(),
            kind: details.kind.to_string(),
            what: details.what.clone(),
            model: details.model.clone(),
            material: details.material.clone(),
            size: details.size.typed(),
            position: details.position.clone(),
            condition: details.condition.clone(),
            quantity: details.quantity.to_string(),
            source: details.source.to_string(),
            gift: details.gift_id.map(|id| id.to_string()).unwrap_or_default(),
            by_whom: details.by_whom.clone(),
            state: details.state.to_string(),
            hazard: details.hazards.iter().map(ToString::to_string).collect(),
            version: thing.version,
        }
    }

    /// What a field holds, by its name.
    pub fn value(&self, name: &str) -> String {
        match name {
            "hazard" => self.hazard.join(", "),
            name => FORM
                .into_iter()
                .find(|field| field.name == name)
                .map(|field| (field.of)(self).clone())
                .unwrap_or_default(),
        }
    }

    pub fn has(&self, hazard: &str) -> bool {
        self.hazard.iter().any(|ticked| ticked == hazard)
    }

    /// The rooms that were chosen; one room for an item that exists.
    pub fn rooms(&self) -> Result<Vec<Room>, String> {
        if self.room == BOTH { Ok(Room::ALL.to_vec()) } else { self.room.parse().map(|room| vec![room]) }
    }

    /// What was typed, checked; for room A if both were chosen.
    pub fn read(&self, gifts: &[Gift]) -> Result<Details, Mistakes> {
        let mut mistakes = Mistakes::default();
        let room = mistakes.note("room", self.rooms()).and_then(|rooms| rooms.first().copied());
        let kind = mistakes.note("kind", self.kind.parse::<Kind>());
        let what = mistakes.note("what", form::line(&self.what, 60));
        let mut line = |name, text: &str, most| mistakes.note(name, form::optional_line(text, most));
        let model = line("model", &self.model, 80);
        let material = line("material", &self.material, 80);
        let position = line("position", &self.position, 120);
        let condition = line("condition", &self.condition, 80);
        let by_whom = line("by_whom", &self.by_whom, 100);
        let size = mistakes.note("size", Size::read(&self.size));
        let quantity = mistakes.note("quantity", form::number(&self.quantity, 0, 999));
        let source = self.source(&mut mistakes);
        let gift_id = self.gift(source, gifts, &mut mistakes);
        let state = mistakes.note("state", self.state.parse::<ThingState>());
        let hazards: Result<Vec<Hazard>, String> = self.hazard.iter().map(|text| text.parse()).collect();
        let hazards = mistakes.note("hazard", hazards);
        let details = (|| {
            Some(Details {
                room: room?,
                kind: kind?,
                what: what?,
                model: model?,
                material: material?,
                size: size?,
                position: position?,
                condition: condition?,
                quantity: quantity?,
                source: source?,
                gift_id,
                by_whom: by_whom?,
                state: state?,
                hazards: hazards?,
            })
        })();
        details.filter(|_| mistakes.is_empty()).ok_or(mistakes)
    }

    fn source(&self, mistakes: &mut Mistakes) -> Option<Source> {
        let read = if self.source == LOAN { Err(NO_LOAN.to_owned()) } else { self.source.parse() };
        mistakes.note("source", read)
    }

    fn gift(&self, source: Option<Source>, gifts: &[Gift], mistakes: &mut Mistakes) -> Option<i64> {
        if self.gift.trim().is_empty() {
            return None;
        }
        let known = gifts.iter().find(|gift| gift.id.to_string() == self.gift && is_a_thing(gift));
        if known.is_none() {
            mistakes.add("gift", "Choose a gift from the list.");
        } else if source.is_some_and(|source| source != Source::Gift) {
            mistakes.add("gift", "Clear this, or choose “gift” as the source.");
        }
        known.map(|gift| gift.id)
    }
}

pub(super) fn is_a_thing(gift: &Gift) -> bool {
    gift.details.what.kind() == GiftKind::Goods
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_reads_back_as_it_was_typed() {
        let full = ThingForm {
            room: "room B".to_owned(),
            kind: "building part".to_owned(),
            what: "wall stud".to_owned(),
            model: "Bend 2".to_owned(),
            material: "pine".to_owned(),
            size: "1.5 × 3.5 × 96 in".to_owned(),
            position: "back wall".to_owned(),
            condition: "new".to_owned(),
            quantity: "22".to_owned(),
            source: "built".to_owned(),
            by_whom: "Tomás Brandt".to_owned(),
            state: "here".to_owned(),
            hazard: vec!["treated or painted wood".to_owned()],
            gift: String::new(),
            version: 0,
        };
        let details = full.read(&[]).unwrap();
        let again = ThingForm::of(&Thing { id: 1, event_id: 1, details: details.clone(), photo_id: None, version: 0 });
        for field in FORM {
            assert_eq!((field.of)(&again), (field.of)(&full), "{}", field.name);
        }
        assert_eq!(again.read(&[]), Ok(details));
    }

    #[test]
    fn a_loan_is_refused_with_why() {
        let form = ThingForm { what: "clock".to_owned(), source: "loan".to_owned(), ..ThingForm::fresh("", "") };
        let mistakes = form.read(&[]).unwrap_err();
        assert_eq!(mistakes.count(), 1);
        assert_eq!(mistakes.of("source"), NO_LOAN);
        assert!(OFFERED.contains(&"loan") && SOURCES.iter().all(|source| OFFERED.contains(source)));
    }
}
