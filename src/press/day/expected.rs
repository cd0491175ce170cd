//! Who is expected on burn day, and who can escort them.

use super::PressVisit;
use crate::asks::{Kind, Request, Said};
use crate::events::Event;
use crate::people::{Name, Person};
use crate::press::outlets::Contact;

/// Someone expected, by their answer or because they were added by hand.
pub(super) struct Expected {
    pub person_id: i64,
    pub name: String,
    pub says: String,
}

/// Those who said they would come on burn day, and those added by hand.
pub(super) fn expected(requests: &[Request], visits: &[PressVisit], people: &[Person], event: &Event) -> Vec<Expected> {
    let mut all: Vec<Expected> = Vec::new();
    for request in requests.iter().filter(|request| request.kind == Kind::Coverage) {
        let Some(answer) = request.stands_for(event.details.burn_on) else { continue };
        let comes = matches!(answer.said, Said::Yes | Said::Deputy | Said::Maybe);
        let person = people.iter().find(|person| person.id == request.person_id);
        let (true, Some(person)) = (comes, person) else { continue };
        if all.iter().all(|known| known.person_id != person.id) {
            let says = if answer.said == Said::Yes { "coming".to_owned() } else { answer.says() };
            all.push(Expected { person_id: person.id, name: person.details.name.clone(), says });
        }
    }
    for visit in visits {
        if all.iter().all(|known| known.person_id != visit.person_id) {
            let says = if visit.by_hand { "added here" } else { "no longer expected" };
            let says = says.to_owned();
            all.push(Expected { person_id: visit.person_id, name: visit.person.clone(), says });
        }
    }
    all.sort_by_cached_key(|one| {
        let person = people.iter().find(|person| person.id == one.person_id);
        (person.is_none(), person.map(Person::listing), one.person_id)
    });
    all
}

/// Who can escort them: people who are no contact at an outlet and hold no office.
pub(super) fn able(people: &[Person], contacts: &[Contact]) -> Vec<Name> {
    let is_press = |person: &Person| contacts.iter().any(|contact| contact.person_id == person.id);
    let able = people.iter().filter(|person| !is_press(person) && person.details.office.is_empty());
    able.map(|person| Name { id: person.id, name: person.details.name.clone() }).collect()
}
