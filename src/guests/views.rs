//! The guest pages and their lines.

use super::due;
use super::form::{GuestForm, NewForm};
use super::program::Slot;
use super::snapshot::{GuestRecord, GuestSnapshot, GuestStatus, Unplaced};
use super::{Details, GuestSettings, Level, Side};
use crate::asks::Unlisted;
use crate::calc::calendar::Calendar;
use crate::calc::precedence::Placed;
use crate::calc::program;
use crate::people::choosing::{Chooser, Line as Choice};
use crate::web::fold::Fold;
use crate::web::form::{self, Mistakes};
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use crate::web::words::Reader;
use askama::Template;
use time::{Date, Duration, OffsetDateTime};

/// One guest on one line.
#[derive(Debug)]
pub(super) struct Line {
    pub id: i64,
    pub name: String,
    pub place: String,
    /// Their answer for the other date; empty if there is none.
    pub other: String,
    pub deputy: String,
    pub sign: &'static str,
    pub status: &'static str,
    pub responsible: String,
    pub next: &'static str,
    pub due: String,
    pub due_on: Option<Date>,
    pub is_late: bool,
}

/// Guests with the same status, or those whose next step is late.
#[derive(Debug)]
pub(super) struct Group {
    /// Its name in `data-` marks.
    pub mark: &'static str,
    pub name: &'static str,
    /// Nothing is to be done about any of them soon.
    pub is_quiet: bool,
    pub lines: Vec<Line>,
}

/// A step that is due within this time is what to do next.
const SOON: Duration = Duration::days(14);
/// The group before all others.
const LATE: (&str, &str) = ("late", "Late");

/// How many guests have each status, for one date.
#[derive(Debug)]
pub(super) struct Pips {
    pub day: String,
    pub href: String,
    pub is_here: bool,
    pub done: usize,
    pub waiting: usize,
    pub open: usize,
}

impl Pips {
    pub fn of(snapshot: &GuestSnapshot, on: Date, (day, href, is_here): (String, String, bool)) -> Self {
        let many =
            |wanted: fn(GuestStatus) -> bool| snapshot.guests.iter().filter(|known| wanted(known.status(on))).count();
        Self {
            day,
            href,
            is_here,
            done: many(GuestStatus::is_expected),
            waiting: many(|status| matches!(status, GuestStatus::Maybe | GuestStatus::Waiting)),
            open: many(|status| status == GuestStatus::NotAsked),
        }
    }
}

fn with_title((name, title): (String, String)) -> String {
    [name, title].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}

/// "Nell Harrow, chief of staff"; empty without a deputy.
pub(super) fn deputy(known: &GuestRecord, on: Date) -> String {
    known.deputy(on).map(with_title).unwrap_or_default()
}

pub(super) fn line(
    snapshot: &GuestSnapshot,
    known: &GuestRecord,
    on: Date,
    calendar: &Calendar,
    now: OffsetDateTime,
) -> Line {
    let today = snapshot.event.today(now);
    let status = known.status(on);
    // Once the day has passed, nothing is next.
    let next = due::next(snapshot, known, on, calendar).filter(|_| today <= on);
    let details = &snapshot.event.details;
    let other = [Some(details.burn_on), details.rain_on].into_iter().flatten().find(|other| *other != on);
    let other = other
        .map(|other| format!("{}: {}", Reader::App.near_day(other, today), known.status(other).says().to_lowercase()));
    Line {
        id: known.guest.id,
        name: headed(known),
        place: subtitle(snapshot, known),
        other: other.unwrap_or_default(),
        deputy: deputy(known, on),
        sign: if next.is_some_and(|(_, day)| day < today) { "late" } else { status.sign() },
        status: status.says(),
        responsible: known.responsible.as_ref().map(|(_, name)| name.clone()).unwrap_or_default(),
        next: next.map_or("", |(step, _)| step.says()),
        due: next.map(|(_, day)| format!("by {}", Reader::App.near_day(day, today))).unwrap_or_default(),
        due_on: next.map(|(_, day)| day),
        is_late: next.is_some_and(|(_, day)| day < today),
    }
}

/// Office and jurisdiction, or a sponsor's contact and level.
pub(super) fn subtitle(snapshot: &GuestSnapshot, known: &GuestRecord) -> String {
    let details = &known.person.details;
    let mut parts = Vec::new();
    if known.called() != details.name {
        parts.push(details.name.clone());
    } else if !known.place().is_empty() {
        parts.push(known.place());
    }
    match known.guest.details.side {
        Side::Official => {}
        Side::Sponsor => parts.push(format!("sponsor, {}", snapshot.sponsor_level(known).unwrap_or("no level yet"))),
        Side::Partner => parts.push("partner".to_owned()),
    }
    parts.join(" · ")
}

/// Everyone: first those whose next step is late, then by status for a date, and last those
/// about whom nothing is to be done soon. Each group is in order of introduction.
pub(super) fn groups(snapshot: &GuestSnapshot, on: Date, calendar: &Calendar, now: OffsetDateTime) -> Vec<Group> {
    let until = snapshot.event.today(now) + SOON;
    let in_order = |status: Option<GuestStatus>| -> Vec<Line> {
        let order = snapshot.order(on, |known| status.is_none_or(|wanted| known.status(on) == wanted));
        let lines = order.iter().map(|placed| line(snapshot, &snapshot.guests[placed.of], on, calendar, now));
        lines.filter(|line| line.is_late == status.is_none()).collect()
    };
    let (mark, name) = LATE;
    let mut groups = vec![Group { mark, name, is_quiet: false, lines: in_order(None) }];
    groups.extend(GuestStatus::ALL.into_iter().map(|status| {
        let lines = in_order(Some(status));
        let is_soon = |line: &Line| line.due_on.is_some_and(|due| due <= until);
        let is_settled = status.is_expected() || status == GuestStatus::StaysAway;
        let is_quiet = is_settled && !lines.iter().any(is_soon);
        Group { mark: status.as_str(), name: status.says(), is_quiet, lines }
    }));
    groups.retain(|group| !group.lines.is_empty());
    groups.sort_by_key(|group| group.is_quiet);
    groups
}

impl Unplaced {
    /// "“Fire Commissioner” isn't on your list of offices. The closest is Commissioner."
    pub fn says(&self) -> String {
        let what = match self.office.as_str() {
            "" => "The contact record has no office.".to_owned(),
            office => format!("“{office}” isn't on your list of offices."),
        };
        let names: Vec<&str> = self.nearest.iter().map(|office| office.name.as_str()).collect();
        match names.as_slice() {
            [] => what,
            [one] => format!("{what} The closest is {one}."),
            many => format!("{what} It could be {}.", many.join(" or ")),
        }
    }
}

/// Officials whose office isn't on the list.
pub(super) fn unplaced(snapshot: &GuestSnapshot) -> Vec<(i64, String, String)> {
    let line = |known: &GuestRecord| Some((known.guest.id, known.addressed(), snapshot.unplaced(known)?.says()));
    snapshot.guests.iter().filter_map(line).collect()
}

/// How long someone speaks: "2 min, about 260 words"; empty if they don't.
pub(super) fn speaks(seconds: u32, rate: u32) -> String {
    if seconds == 0 {
        return String::new();
    }
    format!("{}, about {} words", program::says(seconds), program::words(seconds, rate))
}

/// The line with the arrival time. It is stored with the invitation, where calendar
/// entries read the time back.
const ARRIVE: &str = "Arrive";

/// The same lines with the arrival time in the reader's style.
pub(super) fn shown_to(reader: Reader, mut facts: Vec<(String, String)>) -> Vec<(String, String)> {
    for (label, text) in &mut facts {
        if label.as_str() == ARRIVE
            && let Ok(at) = form::time_of_day(text)
        {
            *text = reader.time(at);
        }
    }
    facts
}

/// What an office needs to know in advance, from the guest's settings and the event.
pub(super) fn facts(snapshot: &GuestSnapshot, known: &GuestRecord) -> Vec<(String, String)> {
    let details = &known.guest.details;
    let event = &snapshot.event.details;
    let arrives = if details.arrives.is_empty() {
        Reader::App.time(event.burn_time - Duration::minutes(30))
    } else {
        details.arrives.clone()
    };
    let named = if details.side == Side::Official { "introduce" } else { "thank" };
    let named = format!("The presenter will {named} you.");
    let part = match (snapshot.program.slot(snapshot, known), details.side) {
        (Slot::Speaks(seconds), _) => {
            format!("{named} Then you have {} to speak.", speaks(seconds, snapshot.settings.rate))
        }
        (Slot::LeftOut, _) => format!("{named} There is no time for remarks."),
        (Slot::None, Side::Official) => format!("{named} You don't need to speak."),
        (Slot::None, _) => named,
    };
    let name = [known.addressed(), known.place()].into_iter().filter(|text| !text.is_empty());
    let all = [
        ("For", name.collect::<Vec<_>>().join(", ")),
        (ARRIVE, arrives),
        ("Your part", part),
        ("Microphone", details.microphone.clone()),
        ("Met by", details.met_by.clone()),
        ("Seat", details.seat.clone()),
        ("Parking", details.parking.clone()),
        ("Wear", details.clothing.clone()),
        ("Press", details.press.clone()),
        ("Invited with you", details.also_comes.clone()),
    ];
    let known = all.into_iter().filter(|(_, text)| !text.is_empty());
    known.map(|(label, text)| (label.to_owned(), text)).collect()
}

/// The other officials who are coming.
pub(super) fn others(snapshot: &GuestSnapshot, known: &GuestRecord, on: Date) -> Vec<String> {
    let wanted = |other: &GuestRecord| {
        other.guest.id != known.guest.id && other.guest.details.side == Side::Official && other.status(on).is_expected()
    };
    snapshot.order(on, wanted).iter().map(|placed| introduced(&snapshot.guests[placed.of], on)).collect()
}

/// "The Honorable Marguerite Vance, Mayor, City of Alder Bend", "Nell Harrow,
/// chief of staff, on behalf of The Honorable Yusra Halloran, State senator,
/// District 12".
pub(super) fn introduced(known: &GuestRecord, on: Date) -> String {
    let mut name = vec![known.addressed(), known.place()];
    if known.called() != known.person.details.name {
        name = vec![known.called().to_owned()];
    }
    name.retain(|part| !part.is_empty());
    let name = name.join(", ");
    let deputy = deputy(known, on);
    if deputy.is_empty() { name } else { format!("{deputy}, on behalf of {name}") }
}

/// How the order treats an official's jurisdiction; empty for other guests.
pub(super) fn home(snapshot: &GuestSnapshot, known: &GuestRecord) -> &'static str {
    match (known.guest.details.side, snapshot.is_own(known)) {
        (Side::Official, true) if snapshot.office(known).is_some_and(|office| office.is_host) => "host",
        (Side::Official, true) => "own",
        (Side::Official, false) => "visiting",
        (Side::Sponsor | Side::Partner, _) => "",
    }
}

/// A guest's place in the order, as numbers.
#[derive(Debug, Default)]
pub(super) struct Order {
    pub place: usize,
    /// The place the rules alone would give.
    pub by_rule: usize,
    /// The office's place on the department's list; 0 if it isn't there.
    pub rank: usize,
}

impl Order {
    pub fn of(snapshot: &GuestSnapshot, known: &GuestRecord, placed: &Placed) -> Self {
        let offices = &snapshot.settings.offices;
        let rank = snapshot.office(known).and_then(|office| offices.iter().position(|other| other.id == office.id));
        Self { place: placed.place, by_rule: placed.by_rule, rank: rank.map_or(0, |rank| rank + 1) }
    }
}

/// A guest's status for one date.
#[derive(Debug)]
pub(super) struct Stand {
    pub label: String,
    pub says: String,
    /// The date, and its state for marks.
    pub on: String,
    pub state: &'static str,
}

/// The name on a guest's line.
pub(super) fn headed(known: &GuestRecord) -> String {
    if known.called() == known.person.details.name { known.addressed() } else { known.called().to_owned() }
}

#[derive(Template)]
#[template(path = "guests/index.html")]
pub(super) struct Index {
    pub page: Page,
    pub event_id: i64,
    /// People who said yes and aren't on the list, and what they would be added as.
    pub unlisted: Vec<(Unlisted, Side)>,
    pub day: String,
    pub dates: Vec<Pips>,
    pub groups: Vec<Group>,
    /// Officials whose office isn't on the list: number, name, explanation.
    pub unplaced: Vec<(i64, String, String)>,
    /// The department's location isn't set.
    pub lacks_home: bool,
    pub total: usize,
    pub to_invite: usize,
}

#[derive(Template)]
#[template(path = "guests/new.html")]
pub(super) struct NewPage {
    pub page: Page,
    pub event_id: i64,
    pub settings: GuestSettings,
    pub candidates: Vec<(i64, String)>,
    pub chooser: Chooser,
    pub form: NewForm,
    /// The part for someone new, and the people they may be.
    pub part: Fold,
    pub known: Vec<Choice>,
    pub mistakes: Mistakes,
}

#[derive(Template)]
#[template(path = "guests/edit.html")]
pub(super) struct Edit {
    pub page: Page,
    pub event_id: i64,
    pub id: i64,
    pub person_id: i64,
    pub name: String,
    pub place: String,
    /// The answer by jurisdiction.
    pub by_jurisdiction: &'static str,
    pub settings: GuestSettings,
    pub candidates: Vec<(i64, String)>,
    pub form: GuestForm,
    pub mistakes: Mistakes,
}

impl Edit {
    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = GuestForm::of(&Details::of(Side::Official, Level::Local), 0);
        let (value, usual) = (|name: &str| self.form.value(name).to_owned(), |name: &str| usual.value(name).to_owned());
        Fold::compared(names, value, usual, &self.mistakes, false)
    }
}

#[derive(Template)]
#[template(path = "guests/guest.html")]
pub(super) struct GuestPage {
    pub page: Page,
    pub event_id: i64,
    pub id: i64,
    pub person_id: i64,
    pub request_id: i64,
    pub name: String,
    pub place: String,
    pub said: String,
    pub deputy: String,
    /// How to reach the deputy, for those allowed to see it.
    pub deputy_reached: String,
    /// Each date with the status, and since when.
    pub stands: Vec<Stand>,
    /// They answered for a date that has changed.
    pub is_stale: bool,
    pub next: String,
    /// The same for `data-` marks: the step and the date.
    pub step: &'static str,
    pub due_on: String,
    pub is_late: bool,
    pub responsible: String,
    pub phone: String,
    /// What to arrange for them, for those allowed to see it.
    pub needs: String,
    pub facts: Vec<(String, String)>,
    /// How many seconds the program leaves them to speak; none if they don't speak.
    pub speaks: Option<u32>,
    pub own: String,
    /// The same for `data-` marks: where, and how it was decided.
    pub home: &'static str,
    pub told_by: &'static str,
    pub since: String,
    pub why: String,
    pub order: Order,
    pub unplaced: Option<Unplaced>,
    pub is_by_hand: bool,
    pub place_number: String,
    pub place_reason: String,
    pub mistakes: Mistakes,
    pub can_ring: bool,
    pub can_invite: bool,
    pub may_work: bool,
    pub history: Vec<HistoryLine>,
}

/// A guest's place among everyone expected, counting them in even if they aren't.
pub(super) fn placed(snapshot: &GuestSnapshot, known: &GuestRecord, on: Date) -> Option<Placed> {
    let id = known.guest.id;
    let order = snapshot.order(on, |other| other.guest.id == id || other.is_counted_on(on));
    order.into_iter().find(|placed| snapshot.guests[placed.of].guest.id == id)
}
