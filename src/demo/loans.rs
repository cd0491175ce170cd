//! The demo's loans: a clock that isn't available on the rain date, a generator without a
//! backup, and a laser measure that came back without its charger.

mod things;

use super::letters::went_out;
use super::pictures::Pictures;
use crate::asks::{self, Confirm, Given, Said, Sender, Way};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::loans::checklist::{Accessory, Check, Checklist};
use crate::loans::condition::{Condition, Found, Looked};
use crate::loans::{self, Agreed, Details, Kind, Noted, Record, Span, Step, Trip};
use crate::people::{self, Channel, Person};
use crate::web::link::LinkKey;
use crate::web::money::Cents;
use crate::{countdown, mail};
use std::collections::BTreeMap;
use things::{COACH, THINGS, Thing};
use time::macros::time;
use time::{Date, Duration, OffsetDateTime};

struct Hands<'a> {
    account: i64,
    event: &'a Event,
    people: Vec<Person>,
    today: Date,
    now: OffsetDateTime,
}

impl Hands<'_> {
    fn at(&self, days: i64) -> OffsetDateTime {
        let on = self.today - Duration::days(days);
        self.event.details.zone.instant(on, time!(11:30)).unwrap_or(self.now).min(self.now)
    }

    fn person(&self, name: &str) -> Option<&Person> {
        self.people.iter().find(|person| person.details.name == name)
    }

    fn details(&self, thing: &Thing, task_id: Option<i64>, backup_id: Option<i64>) -> Option<Details> {
        let lender = self.person(thing.lender)?;
        let details = &self.event.details;
        let mut agreed = BTreeMap::new();
        let span = |on: Date| {
            Agreed::Free(Span {
                from_on: on - Duration::days(2),
                until_on: on + Duration::days(2),
                collect_on: None,
                return_on: None,
            })
        };
        if thing.agreed {
            agreed.insert(details.burn_on, span(details.burn_on));
        }
        if let (Some(on), Some(free)) = (details.rain_on, thing.rain) {
            agreed.insert(on, if free { span(on) } else { Agreed::NotFree });
        }
        let is_school = thing.lender == COACH;
        let place = if is_school { "Gym door, Alder Bend Middle School" } else { "their yard" };
        let trip = |at| Trip { place: place.to_owned(), at: Some(at), by: "Tomás Brandt".to_owned() };
        let mut details = Details {
            is_school,
            our_contact: thing.our_contact.to_owned(),
            agreed,
            collect: trip(time!(15:30)),
            bring: trip(time!(8:00)),
            value: (thing.value > 0).then(|| Cents::new(thing.value * 100)),
            insured: thing.insured,
            task_id,
            is_single: thing.is_single,
            backup_id,
            backup: thing.backup.to_owned(),
            stands: thing.stands.to_owned(),
            distance_ft: Some(thing.distance_ft),
            ..Details::of(thing.what, thing.kind, lender.id)
        };
        if !thing.counted.is_empty() {
            let count = |(name, count): &(&str, u32)| Accessory { name: (*name).to_owned(), count: *count };
            details.checklist.accessories = thing.counted.iter().map(count).collect();
        }
        match thing.kind {
            Kind::Clock => {
                "AB-0412".clone_into(&mut details.serial);
                "120 V, 3 A".clone_into(&mut details.power);
                "three-prong cord. Bring our 100 ft extension cord.".clone_into(&mut details.connector);
                "Ambrose Keyes shows Wren Ibarra on pickup day".clone_into(&mut details.training);
                "Utility 4, upright and strapped down. Two people carry it.".clone_into(&mut details.transport);
            }
            Kind::Sound => {
                "Odette Marsh".clone_into(&mut details.operator);
                "120 V, 8 A".clone_into(&mut details.power);
            }
            _ => {}
        }
        Some(details)
    }
}

/// Adds them all, with what happened to each.
pub(super) async fn fill(
    tx: &mut Tx,
    (account, pictures): (i64, &Pictures),
    sender: &Sender,
    event: &Event,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<()> {
    let coach = people::Details {
        address_form: "Mr.".to_owned(),
        organization: "Alder Bend Middle School".to_owned(),
        mail: "a.keyes@example.org".to_owned(),
        phone: "555-0159".to_owned(),
        channel: Channel::Mail,
        ..people::Details::of_name(COACH)
    };
    let today = event.today(now);
    people::add(tx, Actor::Account(account), &coach, now - Duration::days(60)).await?;
    let people = people::everyone(tx).await?;
    let hands = Hands { account, event, people, today, now };
    let tasks = countdown::tasks_in(tx, event.id).await?;
    let (mut timers, mut school) = (None, Vec::new());
    for thing in &THINGS {
        let task = tasks.iter().find(|task| task.key.as_deref() == Some(thing.task)).map(|task| task.id);
        let backup = timers.filter(|_| thing.kind == Kind::Clock);
        let Some(details) = hands.details(thing, task, backup) else { continue };
        let id = loans::add(tx, Actor::Account(account), event.id, &details, hands.at(45)).await?;
        if thing.lender == COACH {
            school.push(id);
        }
        if thing.kind == Kind::Timers {
            timers = Some(id);
        }
        steps(tx, &hands, id, thing).await?;
        if thing.what == "laser measure" {
            there_and_back(tx, &hands, pictures, id).await?;
        }
    }
    ask_school(tx, &hands, &school, (sender, key)).await
}

async fn steps(tx: &mut Tx, hands: &Hands<'_>, id: i64, thing: &Thing) -> Result<()> {
    let Some(loan) = loans::find(tx, hands.event.id, id).await? else { return Ok(()) };
    let details = &hands.event.details;
    for (step, both, days) in thing.steps {
        let rain = details.rain_on.filter(|_| *both);
        let noted = Noted {
            step: *step,
            for_on: [Some(details.burn_on), rain].into_iter().flatten().collect(),
            on: hands.today - Duration::days(*days),
            who: if *step == Step::Asked { "Priya Okafor" } else { thing.lender }.to_owned(),
            note: if *step == Step::Confirmed { "signed agreement, in the loans folder" } else { "" }.to_owned(),
        };
        loans::note(tx, hands.account, &loan, &noted, hands.at(*days)).await?;
    }
    Ok(())
}

/// The school says yes for burn day and no for the rain date.
async fn ask_school(tx: &mut Tx, hands: &Hands<'_>, things: &[i64], (sender, key): (&Sender, &LinkKey)) -> Result<()> {
    let event = hands.event;
    let Some(person) = hands.person(COACH) else { return Ok(()) };
    let dates: Vec<Date> = [Some(event.details.burn_on), event.details.rain_on].into_iter().flatten().collect();
    let details = asks::NewQuestion {
        kind: asks::Kind::Loan,
        question: "Can you lend us the sports clock for the live burn?".to_owned(),
        facts: vec![("Item".to_owned(), "sports clock, serial number AB-0412".to_owned())],
        words: "We pick it up at the gym door and bring it back on the next school day.".to_owned(),
        closes_at: asks::Closings::default().last(asks::Kind::Loan, event, hands.now),
        dates,
    };
    let asked_at = hands.at(21);
    let Some(id) = loans::tie(tx, hands.account, event, (&details, things), key, asked_at).await? else {
        return Ok(());
    };
    let Some(request) = asks::of_request_in(tx, id).await? else { return Ok(()) };
    went_out(tx, &asks::asking(event, &request, person, sender, asked_at)?, None, asked_at).await?;
    for (place, said) in [Said::Yes, Said::No].into_iter().enumerate() {
        let at = hands.at(17);
        let Some(known) = asks::of_request_in(tx, id).await? else { continue };
        let Some(ask) = known.asks.get(place).map(|ask| ask.id) else { continue };
        let note = if said == Said::No { "We have a home game that day." } else { "" };
        let given = Given { note: note.to_owned(), ..Given::of(said, Way::Link) };
        asks::answer(tx, Actor::Link, (event, &known), (ask, &given), Confirm::InWriting(sender, key), at).await?;
        mail::note_past_of(tx, id, at + Duration::MINUTE).await?;
    }
    Ok(())
}

/// Picked up for the site plan and returned yesterday, without its charger.
async fn there_and_back(tx: &mut Tx, hands: &Hands<'_>, pictures: &Pictures, id: i64) -> Result<()> {
    for (is_return, days, chargers, found) in
        [(false, 36, 1, Found::Well), (true, 1, 0, Found::Otherwise("scratched on one side".to_owned()))]
    {
        let Some(loan) = loans::find(tx, hands.event.id, id).await? else { return Ok(()) };
        let Checklist { checks, accessories } = loan.details.checklist.clone();
        let looked = |(place, Check { part, well }): (usize, Check)| {
            let found = if place == 0 { found.clone() } else { Found::Well };
            Looked { part, well, found }
        };
        let counted = |it: Accessory| if it.name == "charger" { Accessory { count: chargers, ..it } } else { it };
        let (theirs, ours) = ("Gideon Astley".to_owned(), "Tomás Brandt".to_owned());
        let (given_by, taken_by) = if is_return { (ours, theirs) } else { (theirs, ours) };
        let record = Record {
            id: 0,
            step_id: 0,
            is_return,
            on: hands.today - Duration::days(days),
            at: time!(11:20),
            given_by,
            taken_by,
            condition: Condition {
                checks: checks.into_iter().enumerate().map(looked).collect(),
                accessories: accessories.into_iter().map(counted).collect(),
            },
            notes: String::new(),
            photos: Vec::new(),
        };
        let front = if is_return { "measure scratched" } else { "measure front" };
        let mut photos = Vec::new();
        for (side, name) in [front, "measure back", "measure left", "measure right"].into_iter().enumerate() {
            photos.push((side, pictures.of(name)?.clone()));
        }
        loans::add_record(tx, hands.account, &loan, (&record, &photos), hands.at(days)).await?;
    }
    Ok(())
}
