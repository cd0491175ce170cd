//! The bar at the top of every page: the places, the pages of each, and where a page
//! belongs. A page's address says all of it, so no page has to.

use super::Event;
use crate::accounts::User;
use crate::web::page::{Entry, Place, Up};

/// Who may open a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum For {
    Everyone,
    Officer,
    PeopleReader,
    PeopleKeeper,
}

use For::{Everyone, Officer, PeopleKeeper, PeopleReader};

/// A place: its name and its pages, each with an address and a name. The first page is
/// what the place opens on. Addresses with a tilde continue the event's.
struct Section {
    name: &'static str,
    pages: &'static [(&'static str, &'static str, For)],
}

/// What belongs to an event, in the order the work comes.
const PLACES: [Section; 8] = [
    Section {
        name: "Countdown",
        pages: &[
            ("~", "To do", Everyone),
            ("~/tasks", "All tasks", Everyone),
            ("~/lists", "Lists by person", Everyone),
            ("~/wall", "Wall plan", Everyone),
            ("~/permits", "Permits and notices", Everyone),
            ("~/move", "Change the date", Officer),
            ("~/edit", "Edit event", Officer),
            ("~/journal", "History", Everyone),
        ],
    },
    Section {
        name: "Guests",
        pages: &[
            ("~/guests", "Guest list", Everyone),
            ("~/guests/invite", "Invitations", Officer),
            ("~/guests/program", "Program", Everyone),
            ("~/guests/gifts", "Gifts", Everyone),
            ("~/guests/thanks", "Thanks", Everyone),
            ("~/guests/letters", "Letters", Everyone),
            ("~/guests/briefings", "Briefings", Everyone),
            ("/settings/guests", "Offices and levels", Everyone),
        ],
    },
    Section {
        name: "Press",
        pages: &[
            ("~/press", "Overview", Everyone),
            ("~/press/log", "Contact log", Everyone),
            ("~/press/releases", "Releases", Everyone),
            ("~/press/facts", "Facts and key messages", Everyone),
            ("~/press/outlets", "Outlets", Everyone),
            ("~/press/coverage", "Coverage", Everyone),
        ],
    },
    Section {
        name: "Crew",
        pages: &[
            ("~/crew", "Positions", Everyone),
            ("~/crew/proposal", "Staffing proposal", Everyone),
            ("~/crew/people", "Crew members", Everyone),
            ("~/crew/hours", "Hours on site", Everyone),
            ("/settings/qualifications", "Qualifications", Everyone),
        ],
    },
    Section { name: "Loans", pages: &[("~/loans", "All loans", Everyone), ("~/loans/labels", "Labels", Everyone)] },
    Section {
        name: "Rooms",
        pages: &[
            ("~/rooms", "Both rooms", Everyone),
            ("~/rooms/shopping", "Shopping and donations list", Everyone),
            ("~/rooms/build", "Building parts", Everyone),
            ("~/rooms/warnings", "Fuel warnings", Everyone),
            ("~/rooms/audit", "Pair audit", Everyone),
            ("~/rooms/plan", "Layouts", Everyone),
            ("~/rooms/fire", "The fire", Everyone),
            ("~/rooms/heat", "Heat and water", Everyone),
            ("~/rooms/site", "The site", Everyone),
            ("~/rooms/tolerance", "Size tolerance", Everyone),
        ],
    },
    Section {
        name: "Burn day",
        pages: &[
            ("~/burn-day", "Overview", Everyone),
            ("~/burn-day/talk", "The talk", Everyone),
            ("~/burn-day/guests", "Guest check-in", Everyone),
            ("~/burn-day/crew", "Crew check-in", Everyone),
            ("~/burn-day/press", "Media check-in", Everyone),
            ("~/burn-day/presenter", "Presenter's sheet", Everyone),
            ("~/burn-day/cards", "Cue cards", Everyone),
            ("~/burn-day/call-sheets", "Call sheets", Everyone),
            ("~/burn-day/contacts", "Contact list", PeopleReader),
        ],
    },
    Section {
        name: "Messages",
        pages: &[
            ("~/replies", "Replies", Everyone),
            ("~/scheduled", "Scheduled", Everyone),
            ("~/sent", "Sent", Officer),
        ],
    },
];

/// What belongs to the department. These are reached from the top right corner.
const BESIDE: [Section; 4] = [
    Section { name: "Your account", pages: &[("/you", "Your account", Everyone)] },
    Section { name: "Events", pages: &[("/events", "Events", Everyone), ("/events/new", "Plan a burn", Officer)] },
    Section {
        name: "People",
        pages: &[
            ("/people", "People", PeopleReader),
            ("/people/duplicates", "Possible duplicates", PeopleReader),
            ("/people/import", "Import", PeopleKeeper),
        ],
    },
    Section {
        name: "Settings",
        pages: &[
            ("/settings", "Settings", Everyone),
            ("/settings/department", "Department", Officer),
            ("/settings/accounts", "Accounts", Officer),
            ("/settings/closed-days", "Closed days", Everyone),
            ("/settings/guests", "Offices and levels", Everyone),
            ("/settings/qualifications", "Qualifications", Everyone),
            ("/mail", "Email", Officer),
            ("/journal", "History", Everyone),
        ],
    },
];

/// Where a page belongs.
#[derive(Debug, Default)]
pub(super) struct Bar {
    pub places: Vec<Place>,
    pub beside: Vec<Place>,
    /// The name of the place, and its pages.
    pub here: &'static str,
    pub pages: Vec<Entry>,
    /// The page above this one; none if this one is in the row of pages.
    pub up: Option<Up>,
}

impl For {
    fn fits(self, user: &User) -> bool {
        match self {
            Everyone => true,
            Officer => user.is_officer(),
            PeopleReader => user.sees_people(),
            PeopleKeeper => user.keeps_people(),
        }
    }
}

impl Section {
    /// Its pages that someone may open: address and name.
    fn entries<'a>(
        &'a self,
        event: Option<&'a str>,
        user: &'a User,
    ) -> impl Iterator<Item = (String, &'static str)> + 'a {
        let open = self.pages.iter().filter(|(.., to)| to.fits(user));
        open.filter_map(move |(address, name, _)| Some((full(address, event)?, *name)))
    }
}

fn full(address: &str, event: Option<&str>) -> Option<String> {
    match address.strip_prefix('~') {
        None => Some(address.to_owned()),
        Some(rest) => event.map(|event| format!("{event}{rest}")),
    }
}

/// Is this page that one, or below it?
fn is_below(path: &str, page: &str) -> bool {
    path.strip_prefix(page).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

impl Bar {
    /// The bar of a page with this address. `due` holds the addresses of what needs someone.
    pub fn of(user: &User, event: Option<&Event>, path: &str, due: &[String]) -> Self {
        let event = event.map(Event::href);
        let event = event.as_deref();
        let nearest = |path: &str, sections: &'static [Section]| {
            let pages = sections.iter().flat_map(|section| section.pages.iter().map(move |page| (section, page)));
            let fitting = pages.filter(|(section, page)| page.0.starts_with('~') || !is_place(section));
            let full = fitting.filter_map(|(section, page)| Some((section, full(page.0, event)?)));
            full.filter(|(_, page)| is_below(path, page)).max_by_key(|(_, page)| page.len())
        };
        // An event's pages are below the list of events, too: the longer address counts.
        let here = [nearest(path, &PLACES), nearest(path, &BESIDE)].into_iter().flatten();
        let Some((section, page)) = here.max_by_key(|(_, page)| page.len()) else {
            return Self { places: places(user, event, "", &[]), beside: beside(user, ""), ..Self::default() };
        };
        let entries: Vec<(String, &str)> = section.entries(event, user).collect();
        let up = entries.iter().find(|(href, _)| *href == page && *href != path);
        let mut counts = [0; PLACES.len()];
        for address in due {
            let address = address.split(['?', '#']).next().unwrap_or_default();
            let place = nearest(address, &PLACES).and_then(|(section, _)| position(section));
            counts[place.unwrap_or_default()] += 1;
        }
        // The countdown lists all of it anyway.
        counts[0] = 0;
        Self {
            places: places(user, event, section.name, &counts),
            beside: beside(user, section.name),
            here: section.name,
            up: up.map(|(href, name)| Up { href: href.clone(), name: (*name).to_owned() }),
            pages: entries
                .into_iter()
                .map(|(href, name)| Entry { is_here: href == page, is_above: href != path, name, href })
                .collect(),
        }
    }
}

fn position(section: &Section) -> Option<usize> {
    PLACES.iter().position(|place| place.name == section.name)
}

fn is_place(section: &Section) -> bool {
    position(section).is_some()
}

fn places(user: &User, event: Option<&str>, here: &str, counts: &[usize]) -> Vec<Place> {
    let shown = PLACES.iter().enumerate().filter_map(|(number, section)| {
        let (href, _) = section.entries(event, user).next()?;
        let count = counts.get(number).copied().unwrap_or_default();
        Some(Place { name: section.name, href, is_here: section.name == here, count })
    });
    if event.is_none() { Vec::new() } else { shown.collect() }
}

fn beside(user: &User, here: &str) -> Vec<Place> {
    let shown = BESIDE.iter().filter_map(|section| {
        let (href, _) = section.entries(None, user).next()?;
        Some(Place { name: section.name, href, is_here: section.name == here, count: 0 })
    });
    shown.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::accounts::{Department, Role};

    fn user(role: Role) -> User {
        User { account_id: 1, person_id: 1, name: "Priya Okafor".to_owned(), role, department: Department::default() }
    }

    fn bar(role: Role, path: &str, due: &[&str]) -> Bar {
        let due: Vec<String> = due.iter().map(|&href| href.to_owned()).collect();
        Bar::of(&user(role), Some(&crate::events::tests::event(7)), path, &due)
    }

    #[test]
    fn an_address_says_where_a_page_belongs() {
        for (path, place, page, up) in [
            ("/events/7", "Countdown", "To do", None),
            ("/events/7/tasks", "Countdown", "All tasks", None),
            ("/events/7/tasks/12/edit", "Countdown", "All tasks", Some("/events/7/tasks")),
            ("/events/7/guests/3", "Guests", "Guest list", Some("/events/7/guests")),
            ("/events/7/guests/gifts/3", "Guests", "Gifts", Some("/events/7/guests/gifts")),
            ("/events/7/burn-day/guests", "Burn day", "Guest check-in", None),
            ("/events/7/replies/new", "Messages", "Replies", Some("/events/7/replies")),
            ("/events", "Events", "Events", None),
            ("/events/new", "Events", "Plan a burn", None),
            ("/people/5/edit", "People", "People", Some("/people")),
            ("/settings/qualifications", "Settings", "Qualifications", None),
            ("/mail/9", "Settings", "Email", Some("/mail")),
        ] {
            let bar = bar(Role::EducationOfficer, path, &[]);
            let page_here = bar.pages.iter().find(|page| page.is_here).map(|page| page.name);
            assert_eq!((bar.here, page_here), (place, Some(page)), "{path}");
            assert_eq!(bar.up.map(|up| up.href).as_deref(), up, "{path}");
            let marked = bar.places.iter().chain(&bar.beside).filter(|place| place.is_here).count();
            assert_eq!(marked, 1, "{path}");
        }
        // Event 70 isn't event 7.
        assert_eq!(bar(Role::EducationOfficer, "/events/70", &[]).here, "Events");
    }

    #[test]
    fn nobody_is_sent_where_they_may_not_go() {
        let names = |role, path| bar(role, path, &[]).pages.iter().map(|page| page.name).collect::<Vec<_>>();
        assert_eq!(names(Role::Reader, "/events/7/replies"), ["Replies", "Scheduled"]);
        assert_eq!(names(Role::EducationOfficer, "/events/7/replies"), ["Replies", "Scheduled", "Sent"]);
        assert!(!names(Role::Timekeeper, "/events/7").contains(&"Change the date"));
        assert!(!bar(Role::Reader, "/events/7", &[]).beside.iter().any(|place| place.name == "People"));
        assert!(bar(Role::CrewLead, "/events/7", &[]).beside.iter().any(|place| place.name == "People"));
    }

    #[test]
    fn what_is_due_is_counted_at_its_place() {
        let due =
            ["/events/7/guests/4#called", "/events/7/guests/thanks", "/events/7/replies#tell", "/events/7/permits/2"];
        let bar = bar(Role::EducationOfficer, "/people", &due);
        let counts: Vec<(&str, usize)> =
            bar.places.iter().filter(|place| place.count > 0).map(|place| (place.name, place.count)).collect();
        assert_eq!(counts, [("Guests", 2), ("Messages", 1)]);
    }
}
