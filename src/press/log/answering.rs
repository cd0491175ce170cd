//! Adds an entry to the log. What someone said about coming is an answer, too.

use super::{NewEntry, store};
use crate::accounts::Visit;
use crate::asks::{self, Confirm, Given, Kind, NewQuestion, Request, Sender};
use crate::countdown;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::press::facts;
use crate::press::outlets::Contact;
use crate::state::App;
use crate::web::link::LinkKey;
use time::OffsetDateTime;

/// Adds the entry. What they said about covering the burn is an answer too.
pub(super) async fn keep(
    app: &App,
    visit: &Visit,
    event: Event,
    new: NewEntry,
    contact: &Contact,
    now: OffsetDateTime,
) -> Result<bool> {
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let closings = countdown::closings(app.clone(), event.clone(), now).await?;
    let closes_at = closings.last(Kind::Coverage, &event, now);
    let (by, key, title) =
        (visit.user.account_id, app.link_key.clone(), format!("{}, {}", contact.name, contact.outlet));
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let added = store::add(tx, Some(by), &new, &title, now).await?;
            if added.is_some() && new.outcome.said().is_some() {
                answer(tx, by, (&event, closes_at), &new, (&sender, &key), now).await?;
            }
            Ok(added.is_some())
        })
    });
    write.await
}

/// Saves what someone said about coming as an answer for burn day.
async fn answer(
    tx: &mut Tx,
    by: i64,
    (event, closes_at): (&Event, OffsetDateTime),
    new: &NewEntry,
    (sender, key): (&Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<()> {
    let Some(said) = new.outcome.said() else { return Ok(()) };
    let id = question(tx, by, (event, closes_at), new, key, now).await?;
    let Some(request) = asks::of_request_in(tx, id).await? else { return Ok(()) };
    let burn_on = event.details.burn_on;
    let Some(ask) = request.live().find(|ask| ask.for_on == burn_on).map(|ask| ask.id) else { return Ok(()) };
    let given = Given { evidence: new.words.chars().take(200).collect(), ..Given::of(said, new.channel.way()) };
    asks::answer(tx, Actor::Account(by), (event, &request), (ask, &given), Confirm::InWriting(sender, key), now)
        .await?;
    Ok(())
}

/// The question about coverage that they answered: one they were asked, or a new one.
async fn question(
    tx: &mut Tx,
    by: i64,
    (event, closes_at): (&Event, OffsetDateTime),
    new: &NewEntry,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<i64> {
    let known = asks::of_event(tx, event.id).await?;
    let fits = |request: &&Request| {
        request.kind == Kind::Coverage && request.person_id == new.person_id && !request.is_withdrawn
    };
    let burn_on = event.details.burn_on;
    if let Some(request) = known.iter().rfind(fits) {
        if request.live().all(|ask| ask.for_on != burn_on) {
            asks::ask_again(tx, Actor::Account(by), event, request.id, closes_at, key, now).await?;
        }
        return Ok(request.id);
    }
    let question = NewQuestion {
        kind: Kind::Coverage,
        question: Kind::Coverage.question().to_owned(),
        facts: facts::coverage_facts(&facts::of_event(tx, event.id).await?),
        words: String::new(),
        closes_at,
        dates: vec![burn_on],
    };
    asks::ask(tx, by, event, new.person_id, &question, key, now).await
}
