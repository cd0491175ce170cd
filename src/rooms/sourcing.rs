//! The shopping and donations list: what is still needed, who could give it, and the emails
//! that ask for it.

use super::snapshot::RoomSnapshot;
use super::store::{self, DonationReply, DonationRequest, NewDonationRequest};
use super::{Details, Room, Thing, ThingState, collected_by, days_left, routes};
use crate::accounts::{Officer, Private, SignedIn, User, Visit};
use crate::asks::{self, Request, Sender, greeted};
use crate::calc::pairs::folded;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::{self, Event, LIVE_BURN};
use crate::gifts::{self, Gift, GiftStatus};
use crate::guests::{self, Side};
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::link::{self, LinkKey, Opens};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use std::collections::HashMap;
use std::fmt::Write;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/shopping", get(show_page).merge(post(ask)))
}

/// Something a room still needs.
pub(super) struct Need<'a> {
    /// The item that is needed, or the one that needs a match.
    pub thing: &'a Thing,
    pub is_like: bool,
    pub room: Room,
    pub quantity: u32,
}

/// The missing matches, then the items listed as needed.
pub(super) fn needs(snapshot: &RoomSnapshot) -> Vec<Need<'_>> {
    let likes = snapshot.orphans().map(|orphan| Need {
        thing: orphan.thing,
        is_like: true,
        room: orphan.thing.details.room.other(),
        quantity: orphan.quantity,
    });
    let is_wanted = |thing: &&Thing| snapshot.state(thing) == ThingState::Wanted && thing.details.quantity > 0;
    let wanted = snapshot.things.iter().filter(is_wanted).map(|thing| Need {
        thing,
        is_like: false,
        room: thing.details.room,
        quantity: thing.details.quantity,
    });
    likes.chain(wanted).collect()
}

impl Need<'_> {
    fn key(&self) -> String {
        format!("{}/{}", if self.is_like { "like" } else { "thing" }, self.thing.id)
    }

    fn what(&self) -> &str {
        &self.thing.details.what
    }

    /// "2 × curtain".
    fn says(&self) -> String {
        Details { quantity: self.quantity, ..self.thing.details.clone() }.says()
    }

    /// "like the one in room A: Glow 2, steel, 60 cm (23.6 in)"; may be empty.
    fn described(&self) -> String {
        let described = self.thing.details.described();
        let room = self.thing.details.room;
        match (self.is_like, described.is_empty()) {
            (true, true) => format!("like the one in {room}"),
            (true, false) => format!("like the one in {room}: {described}"),
            (false, _) => described,
        }
    }

    fn is_about(&self, donation: &DonationRequest) -> bool {
        (donation.new.thing_id, donation.new.is_like) == (Some(self.thing.id), self.is_like)
    }
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct AskForm {
    need: Vec<String>,
    who: Vec<i64>,
    words: String,
    act: String,
}

struct NeedLine {
    key: String,
    room: Room,
    title: String,
    beneath: String,
    href: String,
    asked: Vec<AskedLine>,
    is_chosen: bool,
}

/// Someone who was asked for it.
struct AskedLine {
    said: &'static str,
    on: Date,
    says: String,
}

struct Candidate {
    id: i64,
    name: String,
    /// Why they might give something, as marks and in words.
    marks: String,
    why: String,
    has_mail: bool,
    reached: &'static str,
    is_chosen: bool,
}

struct DonationLine {
    id: i64,
    title: String,
    beneath: String,
    said: DonationReply,
    gift: Option<String>,
    is_open: bool,
    offer: Option<OfferLine>,
    photo_id: Option<i64>,
    question: Option<i64>,
}

/// What they said and wrote on the page their link opens.
struct OfferLine {
    said: String,
    on: Date,
    says: String,
}

struct Preview {
    to: String,
    subject: String,
    text: String,
}

#[derive(Template)]
#[template(path = "rooms/sourcing.html")]
struct SourcingPage {
    page: Page,
    event_id: i64,
    days_left: String,
    needs: Vec<NeedLine>,
    candidates: Vec<Candidate>,
    donations: Vec<DonationLine>,
    form: AskForm,
    mistakes: Mistakes,
    previews: Vec<Preview>,
}

/// Someone who might give something, and why, as marks and in words.
struct Giver {
    person: Person,
    marks: Vec<&'static str>,
    why: String,
}

/// Everyone who might give something: people who gave such items before, other givers, then
/// sponsors.
async fn candidates(app: &App, snapshot: &RoomSnapshot) -> Result<Vec<Giver>> {
    let events = events::list(app.db.read()).await?;
    let mut db = app.db.read().acquire().await?;
    let mut gifts: Vec<Gift> = Vec::new();
    for event in &events {
        gifts.extend(gifts::of_event(&mut db, event.id).await?);
    }
    let guests = guests::of_event(&mut db, snapshot.event.id).await?;
    let sponsors = guests.iter().filter(|guest| guest.details.side == Side::Sponsor).map(|guest| guest.person_id);
    let people: HashMap<i64, Person> =
        people::everyone(&mut db).await?.into_iter().map(|person| (person.id, person)).collect();
    drop(db);
    let wanted: Vec<String> = needs(snapshot).iter().map(|need| folded(need.what())).collect();
    let mut found: Vec<(u8, i64, &'static str, String)> = Vec::new();
    for gift in gifts.iter().filter(|gift| gift.details.status != GiftStatus::NotComing) {
        let what = gift.details.what.says();
        let is_such = wanted.iter().any(|wanted| folded(&what).contains(wanted.as_str()));
        let verb = if gift.is_received() { "gave" } else { "promised" };
        let mark = gift.details.status.state().as_str();
        found.push((u8::from(!is_such), gift.details.person_id, mark, format!("{verb} {what}")));
    }
    found.extend(sponsors.map(|person_id| (2, person_id, "sponsor", "sponsor of this event".to_owned())));
    found.sort_by_cached_key(|(rank, person_id, ..)| (*rank, people.get(person_id).map(Person::listing)));
    let mut all: Vec<Giver> = Vec::new();
    for (_, person_id, mark, why) in found {
        match (all.iter_mut().find(|known| known.person.id == person_id), people.get(&person_id)) {
            (Some(known), _) if !known.why.contains(&why) => {
                known.marks.push(mark);
                let _ = write!(known.why, "; {why}");
            }
            (None, Some(person)) => all.push(Giver { person: person.clone(), marks: vec![mark], why }),
            _ => {}
        }
    }
    Ok(all)
}

const WORDS: &str = "Items don't have to be new, but the two rooms must match. We will pick them up.";

async fn show_page(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    let form = AskForm { words: WORDS.to_owned(), ..AskForm::default() };
    show(&view(&app, &visit, &snapshot, (form, Mistakes::default()), now).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    snapshot: &RoomSnapshot,
    (form, mistakes): (AskForm, Mistakes),
    now: OffsetDateTime,
) -> Result<SourcingPage> {
    let today = snapshot.today(now);
    let offers = asks::offers(&mut *app.db.read().acquire().await?, snapshot.event.id).await?;
    let date = |at: OffsetDateTime| snapshot.event.details.zone.wall(at).date();
    let day = |at: OffsetDateTime| Reader::App.near_day(date(at), today);
    let asked = |donation: &DonationRequest| AskedLine {
        said: donation.said.as_str(),
        on: date(donation.at),
        says: match donation.said {
            DonationReply::No => format!("{} said no", donation.person),
            _ => format!("{} asked on {}", donation.person, day(donation.at)),
        },
    };
    let need = |need: &Need| NeedLine {
        key: need.key(),
        room: need.room,
        title: format!("{}, {}", words::capital(&need.says()), need.room),
        beneath: need.described(),
        href: need.thing.href(),
        asked: snapshot.donations.iter().filter(|donation| need.is_about(donation)).map(asked).collect(),
        is_chosen: form.need.contains(&need.key()),
    };
    // The newest comes first.
    let offer_of = |donation: &DonationRequest| {
        let (request, _) = donation.asked_with?;
        offers.iter().find(|offer| offer.request_id == request)
    };
    let offer_line = |offer: &asks::Made| OfferLine {
        said: offer.said.clone(),
        on: date(offer.at),
        says: offer_says(offer, &visit.user, &day(offer.at)),
    };
    let donation = |donation: &DonationRequest| DonationLine {
        id: donation.id,
        title: format!("{} × {}", donation.new.quantity, donation.new.what),
        beneath: format!("{}, asked on {}", donation.person, day(donation.at)),
        said: donation.said,
        gift: donation.gift_id.and_then(|id| snapshot.gifts.get(&id)).map(Gift::href),
        is_open: donation.said == DonationReply::Asked,
        offer: offer_of(donation).map(offer_line),
        photo_id: offer_of(donation).and_then(|offer| offer.photo_id),
        question: donation.asked_with.map(|(request, _)| request),
    };
    let candidate = |Giver { person, marks, why }: Giver| Candidate {
        id: person.id,
        name: if person.place().is_empty() {
            person.details.name.clone()
        } else {
            format!("{} · {}", person.details.name, person.place())
        },
        marks: marks.join(" "),
        why,
        has_mail: person.has_mail(),
        reached: if person.has_mail() { "" } else { "no email: call" },
        is_chosen: form.who.contains(&person.id),
    };
    Ok(SourcingPage {
        page: routes::page(app, visit, &snapshot.event, "Shopping and donations list", now).await?,
        event_id: snapshot.event.id,
        days_left: days_left(snapshot.event.details.burn_on, today),
        needs: needs(snapshot).iter().map(need).collect(),
        candidates: candidates(app, snapshot).await?.into_iter().map(candidate).collect(),
        donations: snapshot.donations.iter().map(donation).collect(),
        form,
        mistakes,
        previews: Vec::new(),
    })
}

/// "Replied yes by link on Wed, Nov 25: a brass lamp · Pickup: Saturday".
fn offer_says(offer: &asks::Made, user: &User, day: &str) -> String {
    let mut says = format!("Replied {} by link on {day}", offer.said);
    let (what, fetch) = (user.shown(Private::Notes, &offer.what), user.shown(Private::Notes, &offer.fetch));
    if !what.is_empty() {
        let _ = write!(says, ": {what}");
    }
    if !fetch.is_empty() {
        let _ = write!(says, " · Pickup: {fetch}");
    }
    says
}

async fn ask(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<AskForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    let everyone = candidates(&app, &snapshot).await?;
    let chosen: Vec<Person> =
        everyone.into_iter().map(|giver| giver.person).filter(|person| form.who.contains(&person.id)).collect();
    let (mut mistakes, written) = (Mistakes::default(), form::paragraph(&form.words, 1_000));
    if !needs(&snapshot).iter().any(|need| form.need.contains(&need.key())) {
        mistakes.add("need", "Choose at least one item.");
    }
    if chosen.is_empty() {
        mistakes.add("who", "Choose who to ask.");
    } else if !chosen.iter().any(Person::has_mail) {
        mistakes.add("who", "None of these people has an email. Call them, then add what they give under Gifts.");
    }
    let Some(written) = mistakes.note("words", written).filter(|_| mistakes.is_empty()) else {
        let page = view(&app, &visit, &snapshot, (form, mistakes), now).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let reached: Vec<Person> = chosen.into_iter().filter(Person::has_mail).collect();
    if form.act != "send" {
        let mut page = view(&app, &visit, &snapshot, (form.clone(), mistakes), now).await?;
        for person in &reached {
            let letter = letter(&snapshot, &form.need, (person, &sender, None), &written, now)?;
            let to = format!("{} <{}>", letter.to.name, letter.to.address);
            let text = link::without_links(&letter.body.text, "[their own link]");
            page.previews.push(Preview { to, subject: letter.subject, text });
        }
        return show(&page);
    }
    let (by, event, key) = (visit.user.account_id, snapshot.event, app.link_key.clone());
    let send = app.db.write(move |tx| {
        Box::pin(async move { send(tx, by, &event, &form.need, (&reached, &sender, &key), &written, now).await })
    });
    let said = match send.await? {
        0 => "Nothing was sent. They were already asked for the same items today.".to_owned(),
        many => format!(
            "{} on the way. Replies by link show up below. Record any other reply below, too.",
            words::count(many, "email is", "emails are")
        ),
    };
    Ok(flash::redirect(&format!("/events/{id}/rooms/shopping"), &said))
}

/// Asks each of them for all the chosen items in one request.
async fn send(
    tx: &mut Tx,
    by: i64,
    event: &Event,
    chosen: &[String],
    (people, sender, key): (&[Person], &Sender, &LinkKey),
    written: &str,
    now: OffsetDateTime,
) -> Result<usize> {
    let snapshot = RoomSnapshot::load(tx, event).await?;
    let needs: Vec<Need> = needs(&snapshot).into_iter().filter(|need| chosen.contains(&need.key())).collect();
    let mut sent = 0;
    for person in people {
        let is_asked = |need: &Need| {
            let same = |donation: &&DonationRequest| donation.new.person_id == person.id && need.is_about(donation);
            snapshot
                .donations
                .iter()
                .filter(same)
                .any(|donation| donation.new.quantity == need.quantity && donation.at.date() == now.date())
        };
        // At most once a day for the same items.
        if needs.iter().all(is_asked) {
            continue;
        }
        let question = asks::NewQuestion {
            kind: asks::Kind::Item,
            question: asks::Kind::Item.question().to_owned(),
            facts: needs.iter().map(fact).collect(),
            words: [NEEDED, written, LAST].join("\n\n"),
            closes_at: closing(event, now),
            dates: vec![event.details.burn_on],
        };
        let request = asks::ask(tx, by, event, person.id, &question, key, now).await?;
        let asked = asks::of_request_in(tx, request).await?;
        let letter = letter(&snapshot, chosen, (person, sender, asked.as_ref()), written, now)?;
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

/// How long a reply is of use: until the day the items must be here, or if that has passed,
/// as long as for other requests.
fn closing(event: &Event, now: OffsetDateTime) -> OffsetDateTime {
    let here = event.details.zone.instant(collected_by(event.details.burn_on), time::macros::time!(20:00));
    here.filter(|at| *at > now).unwrap_or_else(|| asks::Closings::default().last(asks::Kind::Item, event, now))
}

/// What is needed, for someone who knows nothing about the rooms.
fn fact(need: &Need) -> (String, String) {
    let described = need.described();
    let described = if described.is_empty() { String::new() } else { format!(", {described}") };
    (words::capital(need.what()), format!("{} for {}{described}", need.quantity, need.room))
}

fn lead(event: &Event, sender: &Sender) -> String {
    format!(
        "{} will hold a live burn on {}. {LIVE_BURN} {NEEDED}",
        sender.department,
        Reader::Public.day(event.details.burn_on)
    )
}

const NEEDED: &str =
    "Everything else in the rooms must match. We still need the items listed here. Can you give any of them?";

const LAST: &str = "Whatever you give will burn or get wet, so you won't get it back.";

/// One email to one person about everything we ask for.
fn letter(
    snapshot: &RoomSnapshot,
    chosen: &[String],
    (person, sender, request): (&Person, &Sender, Option<&Request>),
    written: &str,
    now: OffsetDateTime,
) -> Result<Letter> {
    let event = &snapshot.event;
    let on = Reader::Public.day(event.details.burn_on);
    let needs: Vec<Need> = needs(snapshot).into_iter().filter(|need| chosen.contains(&need.key())).collect();
    let facts: Vec<(String, String)> = needs.iter().map(fact).collect();
    let lead = lead(event, sender);
    let last = format!(
        "{LAST} Please use “Answer” to tell us what you can give and when we can pick it up, or that you can't."
    );
    let words: Vec<String> =
        [written, &last].into_iter().filter(|words| !words.is_empty()).map(str::to_owned).collect();
    let dear = person.details.dear_official();
    let parts = Parts {
        hello: greeted(person),
        dear: &dear,
        title: if dear.is_empty() { "" } else { &sender.title },
        lead: &lead,
        facts: &facts,
        words: &words,
        press: Some((
            "Answer",
            Opens::Question.mark(request.map_or(0, |asked| asked.id), request.map_or(1, |asked| asked.link_number)),
        )),
        from: &sender.name,
        phone: &sender.phone,
        department: &sender.department,
        ..Parts::default()
    };
    let keys: Vec<String> = needs.iter().map(|need| format!("{}x{}", need.key(), need.quantity)).collect();
    Ok(Letter {
        kind: Kind::Ask,
        event_id: Some(event.id),
        person_id: Some(person.id),
        request_id: request.map(|asked| asked.id),
        facts_revision: Some(event.facts_revision),
        dedup: format!("donation-request/{}/{}/{}/{}", event.id, person.id, keys.join("+"), words::iso(now.date())),
        to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject: format!("Can you give something for the live burn on {on}?"),
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: now,
        not_after: now + time::Duration::days(14),
    })
}
