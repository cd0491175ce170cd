//! The press facts in the order of their form, with their labels and their names in releases.

use super::Facts;

/// The field for the contact's email.
const MAIL: &str = "mail";

/// A fact with its name in forms, its label and what helps to type it.
pub(in crate::press) struct Field {
    pub name: &'static str,
    pub label: &'static str,
    pub help: &'static str,
    /// Its name in releases,
    pub mark: &'static str,
    /// and what they say in brackets while it isn't known.
    pub wanted: &'static str,
    pub of: fn(&Facts) -> &String,
    pub of_mut: fn(&mut Facts) -> &mut String,
}

impl Field {
    /// A fact as releases have it. The contact's email is kept in one place: People, if they
    /// have one there.
    pub fn printed<'a>(&self, facts: &'a Facts) -> &'a str {
        match &facts.in_people {
            Some(mail) if self.name == MAIL && !mail.is_empty() => mail,
            _ => (self.of)(facts),
        }
    }
}

/// All of them, in the order of the form.
pub(in crate::press) const FIELDS: [Field; 11] = [
    Field {
        name: "contact",
        label: "Contact",
        help: "Name and title of the person editors should call.",
        mark: "contact",
        wanted: "contact name and title",
        of: |facts| &facts.contact,
        of_mut: |facts| &mut facts.contact,
    },
    Field {
        name: "phone",
        label: "Contact phone",
        help: "A number someone answers on burn day.",
        mark: "contact phone",
        wanted: "contact phone",
        of: |facts| &facts.phone,
        of_mut: |facts| &mut facts.phone,
    },
    Field {
        name: MAIL,
        label: "Contact email",
        help: "Printed in releases. If the contact is in People with an email, that one is used.",
        mark: "contact email",
        wanted: "contact email",
        of: |facts| &facts.mail,
        of_mut: |facts| &mut facts.mail,
    },
    Field {
        name: "why",
        label: "Why it matters",
        help: "Why this is a story, in one sentence.",
        mark: "why",
        wanted: "why this is a story",
        of: |facts| &facts.why,
        of_mut: |facts| &mut facts.why,
    },
    Field {
        name: "area",
        label: "Media staging area",
        help: "Agree on it with the safety officer.",
        mark: "press area",
        wanted: "media staging area",
        of: |facts| &facts.area,
        of_mut: |facts| &mut facts.area,
    },
    Field {
        name: "arrival",
        label: "Arrival and parking",
        help: "From what time, by which gate, where to park.",
        mark: "arrival",
        wanted: "arrival time, gate and parking",
        of: |facts| &facts.arrival,
        of_mut: |facts| &mut facts.arrival,
    },
    Field {
        name: "interviews",
        label: "Interviews",
        help: "Who will talk, and when.",
        mark: "interviews",
        wanted: "who will talk, and when",
        of: |facts| &facts.interviews,
        of_mut: |facts| &mut facts.interviews,
    },
    Field {
        name: "visuals",
        label: "Visuals",
        help: "What there is to see, and at about which minute. Say “about”: fire keeps no schedule.",
        mark: "what to film",
        wanted: "what there is to see, and at about which minute",
        of: |facts| &facts.visuals,
        of_mut: |facts| &mut facts.visuals,
    },
    Field {
        name: "decision",
        label: "Rain date decision",
        help: "A sentence: when you decide, and the one place where you post it.",
        mark: "decision",
        wanted: "when and where the decision will be posted",
        of: |facts| &facts.decision,
        of_mut: |facts| &mut facts.decision,
    },
    Field {
        name: "clothing",
        label: "Clothing",
        help: "Closed shoes, no loose synthetics, and so on.",
        mark: "clothing",
        wanted: "what to wear",
        of: |facts| &facts.clothing,
        of_mut: |facts| &mut facts.clothing,
    },
    Field {
        name: "power",
        label: "Power and vehicles",
        help: "Power outlets, live trucks, where cables can run.",
        mark: "power",
        wanted: "power and live trucks",
        of: |facts| &facts.power,
        of_mut: |facts| &mut facts.power,
    },
];
