//! Asking people for the chosen items.

use super::givers::{Giver, givers};
use super::letter::{Asked, LAST, NEEDED, fact, letter};
use super::list_page::{AskForm, Preview, view};
use super::needs::{Need, needs};
use crate::accounts::{Officer, Visit};
use crate::asks::{self, Sender};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::mail;
use crate::people::Person;
use crate::rooms::collecting::collected_by;
use crate::rooms::page::snapshot;
use crate::rooms::snapshot::RoomSnapshot;
use crate::rooms::store::{self, DonationRequest, NewDonationRequest};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::link::{self, LinkKey};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::words;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use time::OffsetDateTime;

pub(super) async fn ask(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<AskForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let read = form.read(&snapshot, givers(&app, &snapshot).await?);
    let (people, written) = match read {
        Ok(read) => read,
        Err(mistakes) => {
            let page = view(&app, &visit, &snapshot, (form, mistakes), now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let asked = Asked { needs: form.need.clone(), people, sender, written };
    if form.act != "send" {
        return preview(&app, &visit, &snapshot, (form, &asked), now).await;
    }
    let (by, event, key) = (visit.user.account_id, snapshot.event, app.link_key.clone());
    let send = app.db.write(move |tx| Box::pin(async move { send(tx, by, &event, &asked, &key, now).await }));
    Ok(flash::redirect(&format!("/events/{id}/rooms/shopping"), &said(send.await?)))
}

impl AskForm {
    /// The people to write to, and what is written to them.
    fn read(&self, snapshot: &RoomSnapshot, everyone: Vec<Giver>) -> Result<(Vec<Person>, String), Mistakes> {
        let people = everyone.into_iter().map(|giver| giver.person);
        let chosen: Vec<Person> = people.filter(|person| self.who.contains(&person.id)).collect();
        let mut mistakes = Mistakes::default();
        if !needs(snapshot).iter().any(|need| self.need.contains(&need.key())) {
            mistakes.add("need", "Choose at least one item.");
        }
        if chosen.is_empty() {
            mistakes.add("who", "Choose who to ask.");
        } else if !chosen.iter().any(Person::has_mail) {
            mistakes.add("who", "None of these people has an email. Call them, then add what they give under Gifts.");
        }
        match mistakes.note("words", form::paragraph(&self.words, 1_000)) {
            Some(written) if mistakes.is_empty() => {
                Ok((chosen.into_iter().filter(Person::has_mail).collect(), written))
            }
            _ => Err(mistakes),
        }
    }
}

/// The page with the emails as they would go out.
async fn preview(
    app: &App,
    visit: &Visit,
    snapshot: &RoomSnapshot,
    (form, asked): (AskForm, &Asked),
    now: OffsetDateTime,
) -> Result<Response> {
    let mut page = view(app, visit, snapshot, (form, Mistakes::default()), now).await?;
    for person in &asked.people {
        let letter = letter(snapshot, asked, person, None, now)?;
        let to = format!("{} <{}>", letter.to.name, letter.to.address);
        let text = link::without_links(&letter.body.text, "[their own link]");
        page.previews.push(Preview { to, subject: letter.subject, text });
    }
    show(&page)
}

/// What to say about so many emails.
fn said(sent: usize) -> String {
    match sent {
        0 => "Nothing was sent. They were already asked for the same items today.".to_owned(),
        many => format!(
            "{} on the way. Replies by link show up below. Record any other reply below, too.",
            words::count(many, "email is", "emails are")
        ),
    }
}

/// Asks each of them for all the chosen items in one request. Returns how many emails are on
/// the way.
async fn send(tx: &mut Tx, by: i64, event: &Event, asked: &Asked, key: &LinkKey, now: OffsetDateTime) -> Result<usize> {
    let snapshot = RoomSnapshot::load(tx, event).await?;
    let needs = asked.chosen(&snapshot);
    let question = asks::NewQuestion {
        kind: asks::Kind::Item,
        question: asks::Kind::Item.question().to_owned(),
        facts: needs.iter().map(fact).collect(),
        words: [NEEDED, &asked.written, LAST].join("\n\n"),
        closes_at: closing(event, now),
        dates: vec![event.details.burn_on],
    };
    let mut sent = 0;
    for person in &asked.people {
        // At most once a day for the same items.
        if needs.iter().all(|need| is_asked_today(&snapshot, person, need, now)) {
            continue;
        }
        let request = asks::ask(tx, by, event, person.id, &question, key, now).await?;
        let made = asks::of_request_in(tx, request).await?;
        let letter = letter(&snapshot, asked, person, made.as_ref(), now)?;
        let mail_id = mail::queue(tx, &letter, now).await?;
        asks::note_sent(tx, Actor::Account(by), (event, request), &letter.dedup, now).await?;
        sent += usize::from(mail_id.is_some());
        for (line, need) in needs.iter().enumerate() {
            let donation = NewDonationRequest {
                person_id: person.id,
                thing_id: Some(need.thing.id),
                is_like: need.is_like,
                what: need.what().to_owned(),
                quantity: need.quantity,
            };
            let donation = store::add_donation_request(tx, by, event.id, (&donation, mail_id), now).await?;
            store::put_request(tx, donation, request, line).await?;
        }
    }
    Ok(sent)
}

fn is_asked_today(snapshot: &RoomSnapshot, person: &Person, need: &Need, now: OffsetDateTime) -> bool {
    let same = |donation: &&DonationRequest| donation.new.person_id == person.id && need.is_about(donation);
    snapshot
        .donations
        .iter()
        .filter(same)
        .any(|donation| donation.new.quantity == need.quantity && donation.at.date() == now.date())
}

/// How long a reply is of use: until the day the items must be here, or if that has passed,
/// as long as for other requests.
fn closing(event: &Event, now: OffsetDateTime) -> OffsetDateTime {
    let here = event.details.zone.instant(collected_by(event.details.burn_on), time::macros::time!(20:00));
    here.filter(|at| *at > now).unwrap_or_else(|| asks::Closings::default().last(asks::Kind::Item, event, now))
}
