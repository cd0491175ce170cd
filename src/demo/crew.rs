//! The demo's crew: every position is filled, and one pump operator's certificate expires
//! between burn day and the rain date.

mod members;

use super::letters::went_out;
use crate::asks::{self, Confirm, Given, Kind, NewQuestion, Said, Sender, Way};
use crate::crew::{self, Kept, Placed, Placing, Post, Qualification};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::people::{self, Channel, Details, Person};
use crate::web::link::LinkKey;
use anyhow::anyhow;
use members::{KNOWN, NEW, SHORT, UNCHECKED};
use std::collections::HashMap;
use time::macros::time;
use time::{Date, Duration, OffsetDateTime};

/// Does someone already in the directory have a position?
pub(super) fn is_of_it(name: &str) -> bool {
    KNOWN.iter().any(|(known, ..)| *known == name)
}

/// How many days ago the crew was asked.
const ASKED: i64 = 23;

/// Adds positions, people, qualifications, questions, and replies.
pub(super) async fn fill(
    tx: &mut Tx,
    (by, checker): (i64, i64),
    sender: &Sender,
    event: &Event,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<()> {
    let at = |days: i64| {
        let on = event.today(now) - Duration::days(days);
        event.details.zone.instant(on, time!(11:15)).unwrap_or(now).min(now)
    };
    let officer = Actor::Account(by);
    crew::from_template(tx, officer, event, 5, at(ASKED + 20)).await?;
    let snapshot = crew::CrewSnapshot::load(tx, event).await?;
    let mut people: HashMap<String, Person> =
        people::everyone(tx).await?.into_iter().map(|person| (person.details.name.clone(), person)).collect();
    for (name, phone, ..) in NEW {
        let person = add(tx, officer, name, phone, at(ASKED + 18)).await?;
        people.insert(name.to_owned(), person);
    }
    let all = NEW.iter().map(|(name, _, duty, skill)| (*name, *duty, *skill)).chain(KNOWN);
    for (place, (name, duty, skill)) in all.enumerate() {
        let Some(person) = people.get(name) else { continue };
        qualify(tx, (officer, checker), event, (&snapshot.qualifications, person), skill, at(ASKED + 15)).await?;
        let Some(post) = snapshot.posts.iter().find(|post| post.details.duty.as_str() == duty) else { continue };
        put(tx, officer, event, (post, person.id), at(ASKED + 10)).await?;
        let way = if place % 3 == 2 { Way::Phone } else { Way::Link };
        let said = at(ASKED - 2 - i64::try_from(place % 7).unwrap_or(0));
        ask(tx, by, (sender, key), (event, person), &Answered { asked: at(ASKED), said, way }, now).await?;
    }
    Ok(())
}

async fn add(tx: &mut Tx, officer: Actor, name: &str, phone: &str, at: OffsetDateTime) -> Result<Person> {
    let first = name.split(' ').next().unwrap_or(name).to_lowercase();
    let details = Details {
        mail: format!("{first}.{phone}@example.org"),
        phone: format!("555-01{phone}"),
        channel: Channel::Mail,
        ..Details::of_name(name)
    };
    let id = people::add(tx, officer, &details, at).await?;
    Ok(people::find(tx, id).await?.ok_or_else(|| anyhow!("{name} was not added"))?)
}

/// Records someone's qualification, and that the safety officer checked it.
async fn qualify(
    tx: &mut Tx,
    (officer, checker): (Actor, i64),
    event: &Event,
    (known, person): (&[Qualification], &Person),
    skill: &str,
    at: OffsetDateTime,
) -> Result<()> {
    let Some(one) = known.iter().find(|one| one.name == skill) else { return Ok(()) };
    let is_short = person.details.name == SHORT;
    let ends =
        if is_short { event.details.burn_on + Duration::days(3) } else { event.details.burn_on + Duration::days(400) };
    let kept = Kept {
        qualification_id: one.id,
        evidence: format!("certificate {}, copy on file", 4_000 + person.id),
        issued_by: "Alder County training office".to_owned(),
        expires_on: Some(ends),
    };
    let id = crew::hold(tx, officer, person.id, &kept, at).await?;
    if UNCHECKED.contains(&person.details.name.as_str()) {
        return Ok(());
    }
    let snapshot = crew::CrewSnapshot::load(tx, event).await?;
    if let Some(held) = snapshot.holdings.iter().find(|held| Some(held.id) == id) {
        crew::check(tx, checker, held, at + Duration::DAY).await?;
    }
    Ok(())
}

async fn put(
    tx: &mut Tx,
    officer: Actor,
    event: &Event,
    (post, person_id): (&Post, i64),
    at: OffsetDateTime,
) -> Result<()> {
    let placing = Placing { post_id: post.id, person_id, is_standby: false, reason: String::new() };
    match crew::place(tx, officer, event, &placing, at).await? {
        Placed::Done { .. } => Ok(()),
        other => Err(anyhow!("{}: {other:?}", post.details.name).into()),
    }
}

/// When someone was asked, and when and how they said yes.
struct Answered {
    asked: OffsetDateTime,
    said: OffsetDateTime,
    way: Way,
}

/// Asks someone about their position for both dates, and records a yes.
async fn ask(
    tx: &mut Tx,
    by: i64,
    (sender, key): (&Sender, &LinkKey),
    (event, person): (&Event, &Person),
    when: &Answered,
    now: OffsetDateTime,
) -> Result<()> {
    let Answered { asked, said, way } = *when;
    let dates: Vec<Date> = [Some(event.details.burn_on), event.details.rain_on].into_iter().flatten().collect();
    let question = NewQuestion {
        kind: Kind::Post,
        question: Kind::Post.question().to_owned(),
        facts: Vec::new(),
        words: "If you can be there for only part of the time, tell us when you reply.".to_owned(),
        closes_at: asks::Closings::default().last(asks::Kind::Post, event, now),
        dates,
    };
    let actor = if way == Way::Link { Actor::Link } else { Actor::Account(by) };
    for id in crew::ask_without_mail(tx, by, event, (&question, person.id), key, asked).await? {
        let Some(request) = asks::of_request_in(tx, id).await? else { continue };
        if person.has_mail() {
            let letter = asks::asking(event, &request, person, sender, asked)?;
            went_out(tx, &letter, None, asked).await?;
        }
        for ask in &request.asks {
            let evidence = if way == Way::Link { "" } else { "called and spoke to them" };
            let given = Given { evidence: evidence.to_owned(), ..Given::of(Said::Yes, way) };
            let Some(known) = asks::of_request_in(tx, id).await? else { continue };
            asks::answer(tx, actor, (event, &known), (ask.id, &given), Confirm::Not, said).await?;
        }
    }
    Ok(())
}
