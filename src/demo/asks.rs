//! The demo's questions to people, and their replies.

mod rounds;

use super::answers::given;
use super::letters::went_out;
use crate::asks::{self, Confirm, Kind, NewQuestion, Sender, Way};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::mail;
use crate::people::{self, Person};
use crate::press::coverage_facts;
use crate::web::link::LinkKey;
use rounds::ROUNDS;
use time::macros::time;
use time::{Date, Duration, OffsetDateTime};

/// Words that tell what kind of organization the demo's people belong to.
const OWN: &str = "Alder Bend Fire District";
const NEWSROOMS: [&str; 3] = ["Radio", "Gazette", "Television"];
const LENDERS: [&str; 6] = ["Hardware", "Furniture", "Second Hand", "Lumber", "Sprinkler", "Fairground"];
/// People who grant permits aren't invited as guests.
const AUTHORITIES: [&str; 2] = ["Air Office", "Building Office"];

/// What someone is asked for. Some aren't asked for anything.
fn kind(person: &Person) -> Option<Kind> {
    let (office, organization) = (person.details.office.as_str(), person.details.organization.as_str());
    // Crew members are asked about their positions elsewhere.
    if super::crew::is_of_it(&person.details.name) {
        return None;
    }
    let is_one_of = |words: &[&str]| words.iter().any(|word| organization.contains(word));
    // A name with the surname first duplicates another row.
    let is_double = person.details.name.contains(',');
    if organization == OWN {
        Some(Kind::Post)
    } else if is_double || is_one_of(&AUTHORITIES) || !office.is_empty() {
        None
    } else if is_one_of(&NEWSROOMS) {
        Some(Kind::Coverage)
    } else if is_one_of(&LENDERS) {
        Some(Kind::Loan)
    } else if organization.is_empty() {
        Some(Kind::Post)
    } else {
        Some(Kind::Help)
    }
}

/// Asks everyone in the demo except its own education officer.
pub(super) async fn fill(
    tx: &mut Tx,
    by: (i64, i64),
    sender: &Sender,
    event: &Event,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<()> {
    let (account, officer) = by;
    let everyone = people::everyone(tx).await?;
    for round in &ROUNDS {
        let dates: Vec<Date> = [Some(event.details.burn_on), event.details.rain_on.filter(|_| round.both_dates)]
            .into_iter()
            .flatten()
            .collect();
        let question = NewQuestion {
            kind: round.kind,
            question: round.question.to_owned(),
            facts: if round.kind == Kind::Coverage {
                coverage_facts(&super::press::facts())
            } else {
                round.facts.iter().map(|(label, text)| ((*label).to_owned(), (*text).to_owned())).collect()
            },
            words: String::new(),
            closes_at: asks::Closings::default().last(round.kind, event, now),
            dates,
        };
        let at = |days: i64| {
            let on = event.today(now) - Duration::days(days);
            event.details.zone.instant(on, time!(10:20)).unwrap_or(now).min(now)
        };
        let asked = everyone.iter().filter(|person| person.id != officer && kind(person) == Some(round.kind));
        for (place, person) in asked.enumerate() {
            let asked_at = at(round.asked);
            let id = asks::ask(tx, account, event, person.id, &question, key, asked_at).await?;
            let Some(request) = asks::of_request_in(tx, id).await? else { continue };
            let refused = refusal(person);
            if person.has_mail() {
                let letter = asks::asking(event, &request, person, sender, asked_at)?;
                went_out(tx, &letter, refused, asked_at).await?;
            }
            if refused.is_some() {
                continue;
            }
            let Some((first, second, way)) = round.turns[place % round.turns.len()] else { continue };
            let days = (round.asked - 2 - i64::try_from(place % 5).unwrap_or(0)).max(1);
            for (ask, said) in request.asks.iter().zip([Some(first), second]) {
                let Some(said) = said else { continue };
                let given = given(said, way);
                let actor = if way == Way::Link { Actor::Link } else { Actor::Account(account) };
                let Some(known) = asks::of_request_in(tx, id).await? else { continue };
                let word = if way == Way::Link { Confirm::InWriting(sender, key) } else { Confirm::Not };
                asks::answer(tx, actor, (event, &known), (ask.id, &given), word, at(days)).await?;
                mail::note_past_of(tx, id, at(days)).await?;
            }
        }
    }
    waits(tx, account, sender, event, &everyone, key, now).await
}

/// A question that goes out tomorrow morning.
async fn waits(
    tx: &mut Tx,
    account: i64,
    sender: &Sender,
    event: &Event,
    everyone: &[Person],
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<()> {
    let Some(person) = everyone.iter().find(|person| person.details.name == "Rosalind Achterberg") else {
        return Ok(());
    };
    let question = NewQuestion {
        kind: Kind::Help,
        question: "Can you walk the burn site with us on the morning of the burn?".to_owned(),
        facts: vec![("Where".to_owned(), event.details.site.clone())],
        words: "Any time that morning works for us.".to_owned(),
        closes_at: asks::Closings::default().last(Kind::Help, event, now),
        dates: vec![event.details.burn_on],
    };
    let id = asks::ask(tx, account, event, person.id, &question, key, now).await?;
    let Some(request) = asks::of_request_in(tx, id).await? else { return Ok(()) };
    let tomorrow = event.details.zone.instant(event.today(now) + Duration::DAY, time!(9:00)).unwrap_or(now);
    let letter = asks::asking(event, &request, person, sender, tomorrow)?;
    mail::queue(tx, &letter, now).await?;
    Ok(())
}

/// One email in the demo no longer exists.
fn refusal(person: &Person) -> Option<&'static str> {
    let gone = person.details.mail.starts_with("piers@");
    gone.then_some("550 5.1.1 no such mailbox here")
}
