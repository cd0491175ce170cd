//! What is still wanted, who could give it, and the mails that ask for it.

use super::book::Book;
use super::store::{self, NewPlea, Plea, PleaSaid};
use super::views::capital;
use super::{Draft, Room, Source, Thing, ThingState, collected_by, days_left, routes};
use crate::accounts::{Officer, SignedIn, Visit};
use crate::asks::{Sender, greeted};
use crate::calc::pairs::folded;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::gifts::{self, Credit, Gift, InName, Recognition, Returned, Stands, What};
use crate::guests::{self, Side};
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::{get, post};
use serde::Deserialize;
use std::collections::HashMap;
use std::fmt::Write;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/sourcing", get(look).post(ask))
        .route("/events/{id}/rooms/pleas/{plea}", post(answer))
}

/// Something a room still lacks.
pub(super) struct Need<'a> {
    /// What is wanted, or what has no like yet.
    pub thing: &'a Thing,
    pub is_like: bool,
    pub room: Room,
    pub quantity: u32,
}

/// The likes that are missing, then what is on a list as wanted.
pub(super) fn needs(book: &Book) -> Vec<Need<'_>> {
    let likes = book.orphans().map(|orphan| Need {
        thing: orphan.thing,
        is_like: true,
        room: orphan.thing.draft.room.other(),
        quantity: orphan.quantity,
    });
    let is_wanted = |thing: &&Thing| book.state(thing) == ThingState::Wanted && thing.draft.quantity > 0;
    let wanted = book.things.iter().filter(is_wanted).map(|thing| Need {
        thing,
        is_like: false,
        room: thing.draft.room,
        quantity: thing.draft.quantity,
    });
    likes.chain(wanted).collect()
}

impl Need<'_> {
    fn key(&self) -> String {
        format!("{}/{}", if self.is_like { "like" } else { "thing" }, self.thing.id)
    }

    fn what(&self) -> &str {
        &self.thing.draft.what
    }

    /// "2 × curtain".
    fn says(&self) -> String {
        Draft { quantity: self.quantity, ..self.thing.draft.clone() }.says()
    }

    /// "like the one in room A: Glow 2, steel, 60 cm (23.6 in)"; may be empty.
    fn described(&self) -> String {
        let described = self.thing.draft.described();
        let room = self.thing.draft.room;
        match (self.is_like, described.is_empty()) {
            (true, true) => format!("like the one in {room}"),
            (true, false) => format!("like the one in {room}: {described}"),
            (false, _) => described,
        }
    }

    fn is_about(&self, plea: &Plea) -> bool {
        (plea.new.thing_id, plea.new.is_like) == (Some(self.thing.id), self.is_like)
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
    title: String,
    beneath: String,
    href: String,
    asked: Vec<String>,
    is_chosen: bool,
}

struct Candidate {
    id: i64,
    name: String,
    why: String,
    reached: &'static str,
    is_chosen: bool,
}

struct PleaLine {
    id: i64,
    title: String,
    beneath: String,
    said: String,
    gift: Option<String>,
    is_open: bool,
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
    pleas: Vec<PleaLine>,
    form: AskForm,
    mistakes: Mistakes,
    previews: Vec<Preview>,
}

/// Everybody who could give something: whoever gave something of the kind,
/// other givers, then sponsors.
async fn candidates(app: &App, book: &Book) -> Result<Vec<(Person, String)>> {
    let events = events::list(app.db.read()).await?;
    let mut db = app.db.read().acquire().await?;
    let mut gifts: Vec<Gift> = Vec::new();
    for event in &events {
        gifts.extend(gifts::of_event(&mut db, event.id).await?);
    }
    let guests = guests::of_event(&mut db, book.event.id).await?;
    let sponsors = guests.iter().filter(|guest| guest.details.side == Side::Sponsor).map(|guest| guest.person_id);
    let people: HashMap<i64, Person> =
        people::everyone(&mut db).await?.into_iter().map(|person| (person.id, person)).collect();
    drop(db);
    let wanted: Vec<String> = needs(book).iter().map(|need| folded(need.what())).collect();
    let mut found: Vec<(u8, i64, String)> = Vec::new();
    for gift in gifts.iter().filter(|gift| gift.draft.stands != Stands::NotComing) {
        let what = gift.draft.what.says();
        let is_such = wanted.iter().any(|wanted| folded(&what).contains(wanted.as_str()));
        let verb = if gift.is_received() { "gave" } else { "promised" };
        found.push((u8::from(!is_such), gift.draft.person_id, format!("{verb} {what}")));
    }
    found.extend(sponsors.map(|person_id| (2, person_id, "sponsor of this burn".to_owned())));
    found.sort_by_key(|(rank, person_id, _)| (*rank, people.get(person_id).map(|person| &person.details.name)));
    let mut all: Vec<(Person, String)> = Vec::new();
    for (_, person_id, why) in found {
        match (all.iter_mut().find(|(person, _)| person.id == person_id), people.get(&person_id)) {
            (Some((_, known)), _) if !known.contains(&why) => {
                let _ = write!(known, "; {why}");
            }
            (None, Some(person)) => all.push((person.clone(), why)),
            _ => {}
        }
    }
    Ok(all)
}

const WORDS: &str = "It need not be new, but both rooms must be alike. We collect it.";

async fn look(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let book = routes::book(&app, id).await?;
    let form = AskForm { words: WORDS.to_owned(), ..AskForm::default() };
    show(&view(&app, &visit, &book, (form, Mistakes::default()), now).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    book: &Book,
    (form, mistakes): (AskForm, Mistakes),
    now: OffsetDateTime,
) -> Result<SourcingPage> {
    let today = book.today(now);
    let day = |at: OffsetDateTime| words::near_day(book.event.details.zone.wall(at).date(), today);
    let need = |need: &Need| NeedLine {
        key: need.key(),
        title: format!("{}, {}", capital(&need.says()), need.room),
        beneath: need.described(),
        href: need.thing.href(),
        asked: book
            .pleas
            .iter()
            .filter(|plea| need.is_about(plea))
            .map(|plea| match plea.said {
                PleaSaid::No => format!("{} said no", plea.person),
                _ => format!("{} asked {}", plea.person, day(plea.at)),
            })
            .collect(),
        is_chosen: form.need.contains(&need.key()),
    };
    let plea = |plea: &Plea| PleaLine {
        id: plea.id,
        title: format!("{} × {}", plea.new.quantity, plea.new.what),
        beneath: format!("{}, asked {}", plea.person, day(plea.at)),
        said: plea.said.to_string(),
        gift: plea.gift_id.and_then(|id| book.gifts.get(&id)).map(Gift::href),
        is_open: plea.said == PleaSaid::Asked,
    };
    let candidate = |(person, why): (Person, String)| Candidate {
        id: person.id,
        name: if person.place().is_empty() {
            person.details.name.clone()
        } else {
            format!("{} · {}", person.details.name, person.place())
        },
        why,
        reached: if person.has_mail() { "" } else { "no mail reaches them: ring" },
        is_chosen: form.who.contains(&person.id),
    };
    Ok(SourcingPage {
        page: routes::page(app, visit, &book.event, "Still wanted", now).await?,
        event_id: book.event.id,
        days_left: days_left(book.event.details.burn_on, today),
        needs: needs(book).iter().map(need).collect(),
        candidates: candidates(app, book).await?.into_iter().map(candidate).collect(),
        pleas: book.pleas.iter().map(plea).collect(),
        form,
        mistakes,
        previews: Vec::new(),
    })
}

async fn ask(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<AskForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let book = routes::book(&app, id).await?;
    let everyone = candidates(&app, &book).await?;
    let chosen: Vec<Person> =
        everyone.into_iter().map(|(person, _)| person).filter(|person| form.who.contains(&person.id)).collect();
    let (mut mistakes, written) = (Mistakes::default(), form::paragraph(&form.words, 1_000));
    if !needs(&book).iter().any(|need| form.need.contains(&need.key())) {
        mistakes.add("need", "Tick at least one thing that is wanted.");
    }
    if chosen.is_empty() {
        mistakes.add("who", "Tick whom to ask.");
    } else if !chosen.iter().any(Person::has_mail) {
        mistakes.add("who", "No mail reaches any of these. Ring them, and add what they give under Gifts.");
    }
    let Some(written) = mistakes.note("words", written).filter(|_| mistakes.is_empty()) else {
        let page = view(&app, &visit, &book, (form, mistakes), now).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let reached: Vec<Person> = chosen.into_iter().filter(Person::has_mail).collect();
    if form.act != "send" {
        let mut page = view(&app, &visit, &book, (form.clone(), mistakes), now).await?;
        for person in &reached {
            let letter = letter(&book, &form.need, (person, &sender), &written, now)?;
            let to = format!("{} <{}>", letter.to.name, letter.to.address);
            page.previews.push(Preview { to, subject: letter.subject, text: letter.body.text });
        }
        return show(&page);
    }
    let (by, event) = (visit.user.account_id, book.event);
    let send = app.db.write(move |tx| {
        Box::pin(async move { send(tx, by, &event, &form.need, (&reached, &sender), &written, now).await })
    });
    let said = match send.await? {
        0 => "Nobody was asked: they were asked for the same today.".to_owned(),
        many => format!("{} out. What they say is noted below.", words::count(many, "mail goes", "mails go")),
    };
    Ok(flash::redirect(&format!("/events/{id}/rooms/sourcing"), &said))
}

async fn send(
    tx: &mut Tx,
    by: i64,
    event: &Event,
    chosen: &[String],
    (people, sender): (&[Person], &Sender),
    written: &str,
    now: OffsetDateTime,
) -> Result<usize> {
    let book = Book::load(tx, event).await?;
    let mut sent = 0;
    for person in people {
        let letter = letter(&book, chosen, (person, sender), written, now)?;
        let Some(mail_id) = mail::queue(tx, &letter, now).await? else { continue };
        sent += 1;
        for need in needs(&book).iter().filter(|need| chosen.contains(&need.key())) {
            let plea = NewPlea {
                person_id: person.id,
                thing_id: Some(need.thing.id),
                is_like: need.is_like,
                what: need.what().to_owned(),
                quantity: need.quantity,
            };
            store::add_plea(tx, by, event.id, (&plea, Some(mail_id)), now).await?;
        }
    }
    Ok(sent)
}

/// One mail to one person about all that is asked for.
fn letter(
    book: &Book,
    chosen: &[String],
    (person, sender): (&Person, &Sender),
    written: &str,
    now: OffsetDateTime,
) -> Result<Letter> {
    let event = &book.event;
    let on = words::day(event.details.burn_on);
    let needs: Vec<Need> = needs(book).into_iter().filter(|need| chosen.contains(&need.key())).collect();
    let fact = |need: &Need| {
        let described = need.described();
        let described = if described.is_empty() { String::new() } else { format!(", {described}") };
        (capital(need.what()), format!("{} for {}{described}", need.quantity, need.room))
    };
    let facts: Vec<(String, String)> = needs.iter().map(fact).collect();
    let lead = format!(
        "{} burns two furnished rooms in front of the public on {on}: one has a fire sprinkler, the other none, and in \
         all else they must be alike. This is still missing. Could you give some of it?",
        sender.department
    );
    let last = "What is given burns or gets wet, and nothing comes back. If you can help, answer this mail or ring.";
    let words: Vec<String> = [written, last].into_iter().filter(|words| !words.is_empty()).map(str::to_owned).collect();
    let parts = Parts {
        hello: greeted(person),
        lead: &lead,
        facts: &facts,
        words: &words,
        from: &sender.name,
        phone: &sender.phone,
        department: &sender.department,
        ..Parts::default()
    };
    let keys: Vec<String> = needs.iter().map(|need| format!("{}x{}", need.key(), need.quantity)).collect();
    Ok(Letter {
        kind: Kind::Notice,
        event_id: Some(event.id),
        person_id: Some(person.id),
        request_id: None,
        facts_revision: Some(event.facts_revision),
        dedup: format!("plea/{}/{}/{}/{}", event.id, person.id, keys.join("+"), words::iso(now.date())),
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

#[derive(Deserialize, Default)]
#[serde(default)]
struct SaidForm {
    said: String,
}

/// What somebody said who was asked. A promise becomes a gift, and the thing
/// comes from it.
async fn answer(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, plea)): Path<(i64, i64)>,
    Form(form): Form<SaidForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let book = routes::book(&app, id).await?;
    if !book.pleas.iter().any(|known| known.id == plea) {
        return Err(Error::NotFound);
    }
    let said = form.said.parse().ok().filter(|said| *said != PleaSaid::Asked);
    let said = said.ok_or_else(|| Error::BadRequest("Press one of the two buttons.".to_owned()))?;
    let (actor, event) = (visit.user.actor(), book.event);
    let write = app.db.write(move |tx| Box::pin(async move { note(tx, actor, &event, (plea, said), now).await }));
    let told = match (write.await?, said) {
        (false, _) => "Nothing was changed: the answer was noted already.",
        (true, PleaSaid::Promised) => "The promise is noted under Gifts, and the thing comes from it.",
        (true, _) => "It is noted that they can't give it.",
    };
    Ok(flash::redirect(&format!("/events/{id}/rooms/sourcing"), told))
}

async fn note(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (plea, said): (i64, PleaSaid),
    now: OffsetDateTime,
) -> Result<bool> {
    let book = Book::load(tx, event).await?;
    let known = book.pleas.iter().find(|known| known.id == plea && known.said == PleaSaid::Asked);
    let Some(plea) = known else { return Ok(false) };
    let mut gift_id = None;
    if said == PleaSaid::Promised {
        let person = people::find(tx, plea.new.person_id).await?.ok_or(Error::NotFound)?;
        let id = gifts::add(tx, actor, event.id, &gift(event, plea, &person, event.today(now)), now).await?;
        gift_id = Some(id);
        if let Some(thing) = plea.new.thing_id.and_then(|id| book.find(id)) {
            let (quantity, source, by_whom) = (plea.new.quantity, Source::Gift, giver(&person));
            let coming = |draft: Draft| Draft { source, gift_id, by_whom, state: ThingState::Promised, ..draft };
            if plea.new.is_like {
                let like = coming(Draft { quantity, ..thing.draft.like() });
                store::add(tx, actor, event.id, &like, now).await?;
            } else {
                let draft = coming(thing.draft.clone());
                store::save(tx, actor, (event.id, thing.id), &draft, thing.version, now).await?;
            }
        }
    }
    store::answer_plea(tx, actor, (event.id, plea), (said, gift_id), now).await
}

fn giver(person: &Person) -> String {
    let details = &person.details;
    if details.organisation.is_empty() { details.name.clone() } else { details.organisation.clone() }
}

/// The promise, as Gifts keeps it.
fn gift(event: &Event, plea: &Plea, person: &Person, today: Date) -> gifts::Draft {
    let by = collected_by(event.details.burn_on);
    gifts::Draft {
        person_id: person.id,
        in_name: if person.details.organisation.is_empty() { InName::Person } else { InName::Organisation },
        what: What::Goods { description: plea.new.what.clone(), quantity: plea.new.quantity.to_string(), value: None },
        promised_on: today,
        promised_by: Some(if by < today { event.details.burn_on.max(today) } else { by }),
        stands: Stands::Promised,
        returned: Returned::Unsaid,
        credit: Credit {
            recognition: Recognition::Open,
            credited_as: String::new(),
            agreed_by: String::new(),
            agreed_on: None,
            logo: String::new(),
        },
        notes: String::new(),
    }
}
