//! The places in the bar, the pages of each, and who may open them.

use crate::accounts::User;

/// Who may open a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum For {
    Everyone,
    Officer,
    PeopleReader,
    PeopleKeeper,
}

use For::{Everyone, Officer, PeopleKeeper, PeopleReader};

/// A place: its name and its pages, each with an address and a name. The first page is
/// what the place opens on. Addresses with a tilde continue the event's.
pub(super) struct Section {
    pub name: &'static str,
    pub pages: &'static [(&'static str, &'static str, For)],
}

/// What belongs to an event, in the order the work comes.
pub(super) const PLACES: [Section; 8] = [
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
            ("~/burn-day/gates", "Gates", Everyone),
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
pub(super) const BESIDE: [Section; 4] = [
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
    pub fn entries<'a>(
        &'a self,
        event: Option<&'a str>,
        user: &'a User,
    ) -> impl Iterator<Item = (String, &'static str)> + 'a {
        let open = self.pages.iter().filter(|(.., to)| to.fits(user));
        open.filter_map(move |(address, name, _)| Some((full(address, event)?, *name)))
    }
}

pub(super) fn full(address: &str, event: Option<&str>) -> Option<String> {
    match address.strip_prefix('~') {
        None => Some(address.to_owned()),
        Some(rest) => event.map(|event| format!("{event}{rest}")),
    }
}
