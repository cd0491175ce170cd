//! After the burn: whom to thank for what, in which words, and who has been thanked.

mod form;
mod history;
mod letters;
mod person_references;
mod routes;
mod store;
mod views;

use crate::asks::{self, Kind, Request, Said};
use crate::calc::calendar::Calendar;
use crate::closed_days;
use crate::countdown::{Call, CountdownItems, Due, Owner, Strand};
use crate::crew;
use crate::error::Result;
use crate::events::Event;
use crate::gifts::{self, Gift, GiftState};
use crate::guests::{self, GuestStatus};
use crate::loans::{self, Loan};
use crate::mail::MailState;
use crate::named::named;
use crate::people::{self, Person};
use crate::state::App;
use crate::web::words;
use axum::Router;
use sqlx::SqliteConnection;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::pin::Pin;
use time::{Date, Duration, OffsetDateTime};

pub use history::HISTORY;
pub use person_references::PERSON_REFERENCES;
pub use store::{Day, save_day, save_draft};

/// Whom to thank after an event.
pub fn router() -> Router<App> {
    routes::router()
}

/// Thank-you letters go out within this many calendar days after burn day: common
/// practice, no published source.
const WITHIN: Duration = Duration::days(7);

named! {
    /// How someone was thanked.
    Way, "Choose how they were thanked.", WAYS: [
        Mail = "mail",
        Letter = "letter",
        InPerson = "in person",
    ]
}

/// How the list describes work on the day.
const WORK: [&str; 2] = ["working on the crew", "helping"];

/// The suffix of a person's number that means their deputy.
const DEPUTY: &str = "-deputy";

/// Someone to thank: a person, or their deputy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Whom {
    pub person_id: i64,
    /// Their deputy is meant.
    pub is_deputy: bool,
}

impl Whom {
    #[must_use]
    pub fn person(id: i64) -> Self {
        Self { person_id: id, is_deputy: false }
    }

    /// "12", or "12-deputy" for their deputy.
    #[must_use]
    pub fn key(self) -> String {
        format!("{}{}", self.person_id, if self.is_deputy { DEPUTY } else { "" })
    }

    /// Reads a key.
    #[must_use]
    pub fn of_key(key: &str) -> Option<Self> {
        let person = key.strip_suffix(DEPUTY);
        Some(Self { person_id: person.unwrap_or(key).parse().ok()?, is_deputy: person.is_some() })
    }
}

/// Someone who comes in another's place.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Deputy {
    pub name: String,
    /// May be empty.
    pub title: String,
}

impl Deputy {
    /// "Nell Harrow, deputy clerk".
    fn says(&self) -> String {
        if self.title.is_empty() { self.name.clone() } else { format!("{}, {}", self.name, self.title) }
    }
}

/// A guest, as far as thanks go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invited {
    /// Which invitation it is.
    pub id: i64,
    pub person_id: i64,
    pub name: String,
    /// The answer that counts for burn day.
    pub said: Option<Said>,
    /// The deputy; an empty name if there is none.
    pub deputy: Deputy,
    pub spoke: bool,
    /// Whether they or their deputy checked in on the day; none if no one recorded it.
    pub is_here: Option<bool>,
}

impl Invited {
    /// Whether they or their deputy came. Check-in outweighs the answer.
    #[must_use]
    pub fn came(&self) -> bool {
        self.is_here.unwrap_or(matches!(self.said, Some(Said::Yes | Said::Deputy)))
    }
}

/// A loan, as far as thanks go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lent {
    pub id: i64,
    pub person_id: i64,
    pub what: String,
    /// It was returned.
    pub is_back: bool,
}

impl Lent {
    fn of(loan: &Loan) -> Self {
        let (person_id, what) = (loan.details.lender_id, loan.details.what.clone());
        Self { id: loan.id, person_id, what, is_back: loan.is_back() }
    }
}

/// Something to thank someone for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    /// Identifies it, so no one is thanked for it twice.
    pub key: String,
    /// Text for the list, such as "coming as our guest".
    pub says: String,
    /// Text for the letter, after "Thank you for".
    pub thanks: String,
    /// False for a gift that is only promised.
    pub is_due: bool,
}

/// Everything to thank someone for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Owed {
    pub whom: Whom,
    /// Set if the deputy is meant.
    pub deputy: Deputy,
    pub reasons: Vec<Reason>,
}

/// A record of thanks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thanked {
    pub id: i64,
    pub whom: Whom,
    /// The keys of what it was for.
    pub reasons: Vec<String>,
    pub way: Way,
    pub at: OffsetDateTime,
    pub by: Option<String>,
    /// The email and its state.
    pub mail: Option<(i64, MailState)>,
    pub is_taken_back: bool,
}

impl Thanked {
    /// It wasn't undone, and its email didn't fail.
    #[must_use]
    pub fn counts(&self) -> bool {
        let failed = [MailState::Failed, MailState::Cancelled, MailState::Expired];
        !self.is_taken_back && self.mail.is_none_or(|(_, state)| !failed.contains(&state))
    }
}

impl Owed {
    /// What they haven't been thanked for yet.
    #[must_use]
    pub fn open<'a>(&'a self, thanked: &[Thanked]) -> Vec<&'a Reason> {
        let done = |key: &String| {
            thanked.iter().any(|thanked| thanked.whom == self.whom && thanked.counts() && thanked.reasons.contains(key))
        };
        self.reasons.iter().filter(|reason| reason.is_due && !done(&reason.key)).collect()
    }
}

fn reason(key: String, says: &str, thanks: &str) -> Reason {
    Reason { key, says: says.to_owned(), thanks: thanks.to_owned(), is_due: true }
}

/// Whom to thank for what: guests who came or sent a deputy, and everyone who gave or
/// lent something, worked on the crew or helped. People with several reasons appear
/// once. The press is not thanked for its coverage.
#[must_use]
pub fn owed(burn_on: Date, guests: &[Invited], requests: &[Request], gifts: &[Gift], lent: &[Lent]) -> Vec<Owed> {
    let mut all: BTreeMap<Whom, Owed> = BTreeMap::new();
    let nobody = Deputy::default();
    let mut add = |whom: Whom, deputy: &Deputy, reason: Reason| {
        let owed = all.entry(whom).or_insert_with(|| Owed { whom, deputy: deputy.clone(), reasons: Vec::new() });
        owed.reasons.push(reason);
    };
    for guest in guests.iter().filter(|guest| guest.came()) {
        let (id, person) = (guest.id, Whom::person(guest.person_id));
        let whoever = if guest.deputy.name.is_empty() {
            add(person, &nobody, reason(format!("came/{id}"), "coming as our guest", "coming as our guest"));
            person
        } else {
            let deputy = Whom { is_deputy: true, ..person };
            let (sent, for_whom) =
                (format!("sending {}", guest.deputy.name), format!("coming in place of {}", guest.name));
            add(person, &nobody, reason(format!("sent/{id}"), &sent, &sent));
            add(deputy, &guest.deputy, reason(format!("came/{id}"), &for_whom, &for_whom));
            deputy
        };
        if guest.spoke {
            add(whoever, &guest.deputy, reason(format!("spoke/{id}"), "speaking", "your remarks to the audience"));
        }
    }
    for gift in gifts.iter().filter(|gift| gift.details.status.state() != GiftState::NotComing) {
        let (what, is_due) = (gift.details.what.says(), gift.is_received());
        let says = format!("{} {what}", if is_due { "giving" } else { "promised" });
        let reason = reason(format!("gift/{}", gift.id), &says, &format!("your gift of {what}"));
        add(Whom::person(gift.details.person_id), &nobody, Reason { is_due, ..reason });
    }
    for lent in lent {
        let says = format!("lending {}{}", lent.what, if lent.is_back { "" } else { " (not returned yet)" });
        let reason = reason(format!("loan/{}", lent.id), &says, &format!("lending us the {}", lent.what));
        add(Whom::person(lent.person_id), &nobody, Reason { is_due: lent.is_back, ..reason });
    }
    // Lenders thanked for each item aren't also thanked for lending something.
    let names_things = |request: &Request| lent.iter().any(|lent| lent.person_id == request.person_id);
    for request in requests.iter().filter(|request| request.kind != Kind::Loan || !names_things(request)) {
        let said_yes = request.stands_for(burn_on).is_some_and(|answer| answer.said == Said::Yes);
        let (says, thanks) = match request.kind {
            Kind::Loan => ("lending us something", "what you lent us"),
            Kind::Post => (WORK[0], "your work on the crew"),
            Kind::Help => (WORK[1], "your help"),
            // Gifts are handled above.
            Kind::Guest | Kind::Coverage | Kind::Item => continue,
        };
        if said_yes {
            add(Whom::person(request.person_id), &nobody, reason(format!("request/{}", request.id), says, thanks));
        }
    }
    all.into_values().collect()
}

/// The questions, without those about work on the day if the person didn't sign in. If
/// no one signed in, their answers count.
fn worked(mut requests: Vec<Request>, signed_in: &BTreeSet<i64>) -> Vec<Request> {
    let is_work = |request: &Request| matches!(request.kind, Kind::Post | Kind::Help);
    requests.retain(|request| !is_work(request) || signed_in.is_empty() || signed_in.contains(&request.person_id));
    requests
}

/// People who signed in on the day without having said yes to anything are thanked too.
fn thank_for_work(owed: &mut Vec<Owed>, event_id: i64, signed_in: &BTreeSet<i64>) {
    for id in signed_in {
        let whom = Whom::person(*id);
        let worked = reason(format!("day/{event_id}/{id}"), "working on the day", "your work on the day");
        match owed.iter_mut().find(|owed| owed.whom == whom) {
            Some(known) if known.reasons.iter().any(|reason| WORK.contains(&reason.says.as_str())) => {}
            Some(known) => known.reasons.push(worked),
            None => owed.push(Owed { whom, deputy: Deputy::default(), reasons: vec![worked] }),
        }
    }
}

/// The guests by their answers for burn day.
fn invited(burn_on: Date, requests: &[Request], names: &HashMap<i64, Person>) -> Vec<Invited> {
    let guests = requests.iter().filter(|request| request.kind == Kind::Guest && !request.is_withdrawn);
    let deputy = |answer: &asks::Answer| Deputy { name: answer.deputy.clone(), title: answer.deputy_title.clone() };
    let guest = |request: &Request| {
        let stands = request.stands_for(burn_on);
        Invited {
            id: request.id,
            person_id: request.person_id,
            name: names.get(&request.person_id).map(|person| person.details.in_full()).unwrap_or_default(),
            said: stands.map(|answer| answer.said),
            deputy: stands.map(deputy).unwrap_or_default(),
            spoke: false,
            is_here: None,
        }
    };
    guests.map(guest).collect()
}

/// The guests by their status and check-in, and people who were asked to come as a guest
/// but aren't on the list.
async fn attended(
    db: &mut SqliteConnection,
    event: &Event,
    requests: &[Request],
    people: &HashMap<i64, Person>,
) -> Result<Vec<Invited>> {
    let known = guests::of_event(db, event.id).await?;
    let guest = |attending: guests::Attending| {
        let minutes = known.iter().find(|guest| guest.id == attending.guest_id).is_some_and(|g| g.details.seconds > 0);
        let said = match attending.status {
            GuestStatus::Comes => Some(Said::Yes),
            GuestStatus::SendsDeputy => Some(Said::Deputy),
            GuestStatus::Maybe => Some(Said::Maybe),
            GuestStatus::StaysAway => Some(Said::No),
            GuestStatus::Waiting | GuestStatus::NotAsked => None,
        };
        let name = people.get(&attending.person_id).map_or(attending.name, |person| person.details.in_full());
        let deputy = attending.deputy.map(|(name, title)| Deputy { name, title });
        Invited {
            id: attending.guest_id,
            person_id: attending.person_id,
            name,
            said,
            deputy: deputy.unwrap_or_default(),
            // Minutes on the program only show that a speech was planned.
            spoke: minutes && attending.is_here == Some(true),
            is_here: attending.is_here,
        }
    };
    let mut all: Vec<Invited> = guests::attending(db, event).await?.into_iter().map(guest).collect();
    let others: Vec<Invited> = invited(event.details.burn_on, requests, people)
        .into_iter()
        .filter(|invited| !known.iter().any(|guest| guest.person_id == invited.person_id))
        // Their numbers are those of questions, not guests.
        .map(|invited| Invited { id: -invited.id, ..invited })
        .collect();
    all.extend(others);
    Ok(all)
}

/// Everyone to thank after an event, with the people by number.
async fn all_owed(db: &mut SqliteConnection, event: &Event) -> Result<(Vec<Owed>, HashMap<i64, Person>)> {
    let requests = asks::of_event(db, event.id).await?;
    let gifts = gifts::of_event(db, event.id).await?;
    let people: HashMap<i64, Person> =
        people::everyone(db).await?.into_iter().map(|person| (person.id, person)).collect();
    let guests = attended(db, event, &requests, &people).await?;
    let signed_in = crew::signed_in(db, event).await?;
    let lent: Vec<Lent> = loans::lent(db, event.id).await?.iter().map(Lent::of).collect();
    let mut owed = owed(event.details.burn_on, &guests, &worked(requests, &signed_in), &gifts, &lent);
    thank_for_work(&mut owed, event.id, &signed_in);
    // People whose data was erased can't be thanked.
    owed.retain(|owed| people.contains_key(&owed.whom.person_id));
    Ok((owed, people))
}

/// When thanks can start.
#[must_use]
pub fn begins_at(event: &Event) -> OffsetDateTime {
    event.details.starts_at()
}

/// The date by which everyone should be thanked. Like every deadline after the burn it
/// moves forward from a closed day.
#[must_use]
pub fn due_on(burn_on: Date, calendar: &Calendar) -> Date {
    calendar.after(burn_on + WITHIN, 0)
}

/// What the countdown shows for thanks: one line, once the burn starts.
#[must_use]
pub fn countdown_items(
    app: App,
    event: Event,
    now: OffsetDateTime,
) -> Pin<Box<dyn Future<Output = Result<CountdownItems>> + Send>> {
    Box::pin(async move {
        if now < begins_at(&event) {
            return Ok(CountdownItems::default());
        }
        let calendar = closed_days::calendar(&app).await?;
        let mut db = app.db.read().acquire().await?;
        let (owed, _) = all_owed(&mut db, &event).await?;
        let thanked = store::thanked(&mut db, event.id).await?;
        let (open, due) = count(&owed, &thanked);
        let line = Due {
            title: format!("Thank {}", words::count(open, "person", "people")),
            beneath: format!("{} of {} thanked", due - open, words::count(due, "person", "people")),
            said: String::new(),
            href: format!("{}/guests/thanks", event.href()),
            person: None,
            owner: Owner::EducationOfficer,
            on: due_on(event.details.burn_on, &calendar),
            call: Call::NoOne,
            is_problem: false,
        };
        let due = Some(line).filter(|_| open > 0).into_iter().collect();
        Ok(CountdownItems { strand: Some(Strand::Afterwards), due, ..CountdownItems::default() })
    })
}

/// How many people are still to be thanked, and how many in all.
fn count(owed: &[Owed], thanked: &[Thanked]) -> (usize, usize) {
    let due = owed.iter().filter(|owed| owed.reasons.iter().any(|reason| reason.is_due));
    let open = owed.iter().filter(|owed| !owed.open(thanked).is_empty());
    (open.count(), due.count())
}

#[cfg(test)]
mod tests;
