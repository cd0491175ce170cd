//! Whom to thank for what.

use super::attended::attended;
use super::{Deputy, Invited, Owed, Reason, Whom};
use crate::asks::{self, Kind, Request, Said};
use crate::crew;
use crate::error::Result;
use crate::events::Event;
use crate::gifts::{self, Gift, GiftState};
use crate::loans::{self, Loan};
use crate::people::{self, Person};
use sqlx::SqliteConnection;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use time::Date;

/// How the list describes work on the day.
pub(super) const WORK: [&str; 2] = ["working on the crew", "helping"];

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

/// Everyone to thank after an event, with the people by number.
pub(super) async fn all_owed(db: &mut SqliteConnection, event: &Event) -> Result<(Vec<Owed>, HashMap<i64, Person>)> {
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
