//! The demo's permits and notices. Agencies, rules, numbers, and conditions are all made up,
//! and the notes of each say so.

use crate::calc::calendar::Basis;
use crate::calc::notice::{self, Counted};
use crate::countdown;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::permit_records::{self, DatesOnIt, Details, Learned, Permit, Rule, Sending};
use anyhow::anyhow;
use time::{Date, Duration, OffsetDateTime};

const INVENTED: &str = "Made up for the demo. Ask your own authority.";

fn learned(today: Date, days: i64) -> Learned {
    Learned { by: "Priya Okafor".to_owned(), on: Some(today - Duration::days(days)) }
}

async fn known(tx: &mut Tx, event_id: i64, key: &str) -> Result<Permit> {
    let all = permit_records::of_event(tx, event_id).await?;
    let found = all.into_iter().find(|permit| permit.key.as_deref() == Some(key));
    found.ok_or_else(|| Error::Internal(anyhow!("no usual record {key}")))
}

async fn put(tx: &mut Tx, officer: Actor, permit: &Permit, details: Details, at: OffsetDateTime) -> Result<()> {
    let details = Details { notes: INVENTED.to_owned(), ..details };
    let saved = permit_records::save(tx, officer, permit.full_id(), &details, permit.version, at).await?;
    saved.map_err(|why| Error::Internal(anyhow!("{}: {why:?}", details.title)))
}

/// The notice rule that limits the burn day. It is known before the plan is adjusted to it.
pub(super) async fn learn(tx: &mut Tx, officer: Actor, event_id: i64, today: Date, at: OffsetDateTime) -> Result<()> {
    let permit = known(tx, event_id, "dispatch-notice").await?;
    let rule = notice::Rule { days: 10, basis: Basis::Working, counted: Counted::Sent, delivery: 0 };
    let details = Details {
        authority: "Alder County Dispatch".to_owned(),
        phone: "555-0161".to_owned(),
        rule: Rule::Days { rule, dates: DatesOnIt::Both, learned: learned(today, 80) },
        ..permit.details.clone()
    };
    put(tx, officer, &permit, details, at).await
}

/// What was filed with the tasks that are done: a notice without the rain date, a permit that
/// expires before it, and a written answer. Nobody has asked about the rest.
pub(super) async fn fill(
    tx: &mut Tx,
    (officer, safety_officer): (i64, i64),
    event: &Event,
    today: Date,
    now: OffsetDateTime,
) -> Result<()> {
    let burn_on = event.details.burn_on;
    let both: Vec<Date> = std::iter::once(burn_on).chain(event.details.rain_on).collect();
    let actor = Actor::Account(officer);

    let air = known(tx, event.id, "air-notice").await?;
    let rule = notice::Rule { days: 10, basis: Basis::Working, counted: Counted::Received, delivery: 3 };
    let details = Details {
        authority: "Alder Valley Air Office".to_owned(),
        phone: "555-0162".to_owned(),
        rule: Rule::Days { rule, dates: DatesOnIt::Both, learned: learned(today, 70) },
        ..air.details.clone()
    };
    put(tx, actor, &air, details, now).await?;
    sent(tx, actor, event, &air, (vec![burn_on], Some(4)), now).await?;

    let gathering = known(tx, event.id, "event-permit").await?;
    let rule = notice::Rule { days: 20, basis: Basis::Calendar, counted: Counted::Sent, delivery: 0 };
    let sent_on = sent(tx, actor, event, &gathering, (both, Some(2)), now).await?;
    let details = Details {
        authority: "City of Alder Bend, city clerk".to_owned(),
        phone: "555-0163".to_owned(),
        mail: "clerk@example.org".to_owned(),
        number: "SE-0418".to_owned(),
        rule: Rule::Days { rule, dates: DatesOnIt::Both, learned: learned(today, 90) },
        granted_on: Some((sent_on + Duration::days(9)).min(today)),
        expires_on: Some(burn_on + Duration::days(3)),
        conditions: "Keep the north lane open for fire engines.\nNo more than 400 people on the lot.\nAmplified sound \
                     ends at noon."
            .to_owned(),
        ..gathering.details.clone()
    };
    put(tx, actor, &gathering, details, now).await?;
    let gathering = known(tx, event.id, "event-permit").await?;
    let on = Some(today - Duration::days(1));
    let which = gathering.full_id();
    let read = permit_records::read_back(tx, safety_officer, which, on, gathering.version, now).await?;
    read.map_err(|why| Error::Internal(anyhow!("read back: {why:?}")))?;

    let asbestos = known(tx, event.id, "asbestos-answer").await?;
    let asked_on = sent(tx, actor, event, &asbestos, (Vec::new(), None), now).await?;
    let details = Details {
        authority: "Alder Valley Air Office".to_owned(),
        phone: "555-0162".to_owned(),
        rule: Rule::None(learned(today, 70)),
        granted_on: Some((asked_on + Duration::days(12)).min(today)),
        conditions: "Use new materials only. Keep the receipts on file.".to_owned(),
        ..asbestos.details.clone()
    };
    put(tx, actor, &asbestos, details, now).await
}

/// Records a filing on the day its task was done, received this many days later.
async fn sent(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    permit: &Permit,
    (names, took): (Vec<Date>, Option<i64>),
    now: OffsetDateTime,
) -> Result<Date> {
    let tasks = countdown::tasks_in(tx, event.id).await?;
    let task = tasks.iter().find(|task| Some(task.id) == permit.details.task_id);
    let sent_on = task.and_then(|task| task.done_on);
    let sent_on = sent_on.ok_or_else(|| Error::Internal(anyhow!("{} has not gone out", permit.details.title)))?;
    let received_on = took.map(|days| sent_on + Duration::days(days));
    let (site, burn_time) = (event.details.site.clone(), event.details.burn_time);
    let sending = Sending { id: 0, names, sent_on, received_on, site, burn_time };
    let added = permit_records::add_sending(tx, actor, permit.full_id(), &sending, now).await?;
    added.map_err(|why| Error::Internal(anyhow!("{}: {why:?}", permit.details.title)))?;
    Ok(sent_on)
}
