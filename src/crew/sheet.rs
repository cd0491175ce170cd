//! Call sheets: what each one needs to know for the day, always as it stands
//! now; printed, mailed, and behind a private link.

use super::book::{Book, Standing};
use super::home::{book, page};
use super::keeper::{CrewKeeper, keeps_crew};
use super::store;
use crate::accounts::SignedIn;
use crate::asks::{self, Sender};
use crate::calc::duties::Duty;
use crate::db::Tx;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::mail::{self, Letter, Mailbox, Parts};
use crate::people::Person;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::link::{LinkKey, Opens};
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use sha2::{Digest, Sha256};
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::{Date, Duration, OffsetDateTime};

/// Whose names stand on every sheet.
const IN_CHARGE: [Duty; 3] = [Duty::IncidentCommander, Duty::SafetyOfficer, Duty::BurnBoss];

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew/sheets", get(sheets).merge(post(send)))
}

/// What one person needs to know for burn day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    pub person_id: i64,
    pub name: String,
    pub day: String,
    pub site: String,
    pub posts: Vec<SheetPost>,
    /// What happens when it is called off.
    pub rain: String,
    /// Who is in charge: duty and name.
    pub in_charge: Vec<(String, String)>,
    /// "said yes", in words.
    pub stands: String,
    pub is_reconfirmed: bool,
}

/// One post on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetPost {
    pub name: String,
    pub is_standby: bool,
    pub hours: String,
    pub spot: String,
    pub reports_to: String,
    pub wear: String,
    pub bring: String,
    pub cautions: String,
    /// Who else is there.
    pub with: String,
    /// Against a rule, why and by whom.
    pub all_the_same: String,
}

impl SheetPost {
    /// Lines of a label and a text.
    #[must_use]
    pub fn lines(&self) -> Vec<(&'static str, &str)> {
        let lines = [
            ("Hours", self.hours.as_str()),
            ("Where", &self.spot),
            ("Reports to", &self.reports_to),
            ("Wear", &self.wear),
            ("Bring", &self.bring),
            ("Instructions", &self.cautions),
            ("With you", &self.with),
            ("Decided", &self.all_the_same),
        ];
        lines.into_iter().filter(|(_, text)| !text.is_empty()).collect()
    }
}

impl Sheet {
    /// None for somebody without a post.
    #[must_use]
    pub fn of(book: &Book, person: &Person, now: OffsetDateTime) -> Option<Self> {
        let (details, today) = (&book.event.details, book.event.today(now));
        let on = details.burn_on;
        let theirs = book.posts_of(person.id);
        let (first, _) = theirs.first()?;
        let standing = book.standing(first, on);
        let posts = theirs.iter().filter(|(one, _)| book.standing(one, on) != Standing::Declined);
        let post = |(one, post): &(&super::Assignment, &super::Post)| {
            let here = book.at(post.id, on);
            let others = here.iter().filter(|other| {
                other.person.id != person.id && other.standing == Standing::Confirmed && !other.assignment.is_standby
            });
            let decided = one.all_the_same.as_ref();
            SheetPost {
                name: post.details.name.clone(),
                is_standby: one.is_standby,
                hours: post.details.hours.says(),
                spot: post.details.spot.clone(),
                reports_to: post.details.reports_to.clone(),
                wear: post.details.wear.clone(),
                bring: post.details.bring.clone(),
                cautions: post.details.cautions.clone(),
                with: others.map(|other| other.person.details.name.as_str()).collect::<Vec<_>>().join(", "),
                all_the_same: decided
                    .map(|d| format!("{} {}, {}", d.rules.join(" "), d.reason, d.by))
                    .unwrap_or_default(),
            }
        };
        Some(Self {
            person_id: person.id,
            name: person.details.name.clone(),
            day: words::day(on),
            site: details.site.clone(),
            posts: posts.map(post).collect(),
            rain: rain_rule(book, first, today),
            in_charge: in_charge(book, on),
            stands: standing.says(today),
            is_reconfirmed: book.reconfirmed(person.id),
        })
    }

    /// The same as lines of a mail.
    #[must_use]
    pub fn facts(&self) -> Vec<(String, String)> {
        let mut facts = vec![("Day".to_owned(), self.day.clone())];
        if !self.site.is_empty() {
            facts.push(("Site".to_owned(), self.site.clone()));
        }
        for post in &self.posts {
            let standby = if post.is_standby { ", as an alternate" } else { "" };
            facts.push(("Post".to_owned(), format!("{}{standby}", post.name)));
            facts.extend(post.lines().into_iter().map(|(label, text)| (label.to_owned(), text.to_owned())));
        }
        facts.push(("If it is called off".to_owned(), self.rain.clone()));
        facts.extend(self.in_charge.iter().cloned());
        facts
    }
}

/// What happens when burn day is called off.
fn rain_rule(book: &Book, first: &super::Assignment, today: Date) -> String {
    let Some(rain) = book.event.details.rain_on else {
        return "There is no rain date; you will hear from us.".to_owned();
    };
    let day = words::near_day(rain, today);
    let said = match book.standing(first, rain) {
        Standing::Confirmed => "you said yes to that day too",
        Standing::Declined => "you said no to that day",
        Standing::Maybe => "you said maybe to that day",
        Standing::Waiting => "you have not answered for that day yet",
        Standing::NotAsked | Standing::OtherDate(_) => "you were not asked about that day yet",
    };
    format!("{day}, same hours; {said}. You hear it by mail. If unsure, ring before you set off.")
}

fn in_charge(book: &Book, on: Date) -> Vec<(String, String)> {
    let who = |duty: &Duty| {
        let posts = book.posts.iter().filter(|post| post.details.duty == *duty);
        let names: Vec<&str> = posts
            .flat_map(|post| book.at(post.id, on))
            .filter(|one| one.standing == Standing::Confirmed && !one.assignment.is_standby)
            .map(|one| one.person.details.name.as_str())
            .collect();
        let label = duty.as_str();
        let label = format!("{}{}", label[..1].to_uppercase(), &label[1..]);
        (!names.is_empty()).then(|| (label, names.join(", ")))
    };
    IN_CHARGE.iter().filter_map(who).collect()
}

/// Lines of a label and a text, and the number that the link is made with, by
/// person.
pub type CallSheets = HashMap<i64, (Vec<(String, String)>, i64)>;

/// For reminders: the lines of everybody's call sheet, and the number that the
/// link to it is made with, by person. Those alone who have a post and a link.
///
/// # Errors
/// The store's.
pub async fn call_sheets(db: &mut SqliteConnection, event: &Event, now: OffsetDateTime) -> Result<CallSheets> {
    let book = Book::load(&mut *db, event).await?;
    let links = store::links(db, event.id).await?;
    let one = |(person_id, link): (&i64, &i64)| {
        let sheet = Sheet::of(&book, book.people.get(person_id)?, now)?;
        Some((*person_id, (sheet.facts(), *link)))
    };
    Ok(links.iter().filter_map(one).collect())
}

#[derive(Template)]
#[template(path = "crew/sheets.html")]
struct Sheets {
    page: Page,
    event_id: i64,
    sheets: Vec<Sheet>,
    keeps: bool,
    sender: Sender,
    /// One alone is shown.
    one: bool,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    person: Option<i64>,
}

/// Everybody with a post, by name, or one of them.
fn of_all(book: &Book, person: Option<i64>, now: OffsetDateTime) -> Vec<Sheet> {
    let mut people: Vec<&Person> = book.people.values().collect();
    people.sort_by(|a, b| (&a.details.name, a.id).cmp(&(&b.details.name, b.id)));
    let chosen = people.into_iter().filter(|one| person.is_none_or(|id| one.id == id));
    chosen.filter_map(|person| Sheet::of(book, person, now)).filter(|sheet| !sheet.posts.is_empty()).collect()
}

async fn sheets(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let now = app.clock.now();
    let book = book(&app, id).await?;
    let sender = Sender::named(app.db.read(), None).await?;
    show(&Sheets {
        page: page(&app, &visit, &book.event, "Call sheets").await?,
        event_id: id,
        sheets: of_all(&book, wanted.person, now),
        keeps: keeps_crew(&visit.user),
        sender,
        one: wanted.person.is_some(),
    })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct SendForm {
    person: Option<i64>,
}

/// Mails the call sheets that those who said yes have now, to all or one.
async fn send(
    State(app): State<App>,
    CrewKeeper(visit): CrewKeeper,
    Path(id): Path<i64>,
    Form(form): Form<SendForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = super::keeper::event(&app, id).await?;
    if event.today(now) > event.details.burn_on {
        return Err(Error::BadRequest("Burn day is over: nobody needs a call sheet any more.".to_owned()));
    }
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let key = app.link_key.clone();
    let write =
        app.db.write(move |tx| Box::pin(async move { mail_all(tx, &event, form.person, (&sender, &key), now).await }));
    let said = match write.await? {
        0 => "No mail goes out: whoever said yes has this call sheet already, or no mail reaches them.".to_owned(),
        many => format!("{} mailed.", words::count(many, "call sheet is", "call sheets are")),
    };
    Ok(flash::redirect(&format!("/events/{id}/crew/sheets"), &said))
}

async fn mail_all(
    tx: &mut Tx,
    event: &Event,
    person: Option<i64>,
    (sender, key): (&Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<usize> {
    let book = Book::load(tx, event).await?;
    let mut written = 0;
    for sheet in of_all(&book, person, now) {
        let reached = book.people.get(&sheet.person_id).filter(|person| person.has_mail());
        let Some(person) = reached.filter(|person| book.has_said_yes(person.id, event.details.burn_on)) else {
            continue;
        };
        let link = store::add_link(tx, (event.id, person.id), key).await?;
        let letter = letter(event, (&sheet, person), (sender, link), now)?;
        written += usize::from(mail::queue(tx, &letter, now).await?.is_some());
    }
    Ok(written)
}

fn letter(
    event: &Event,
    (sheet, person): (&Sheet, &Person),
    (sender, link): (&Sender, i64),
    now: OffsetDateTime,
) -> Result<Letter> {
    let (facts, lead) = (sheet.facts(), format!("Here is your call sheet for {}.", sheet.day));
    let parts = Parts {
        hello: asks::greeted(person),
        lead: &lead,
        facts: &facts,
        press: Some(("See it as it stands, say that you are coming", Opens::CallSheet.mark(link, 1))),
        from: &sender.name,
        phone: &sender.phone,
        department: &sender.department,
        ..Parts::default()
    };
    // The same sheet is mailed once.
    let told = serde_json::to_string(&facts)?;
    let until = event.details.zone.instant(event.details.burn_on, event.details.burn_time);
    Ok(Letter {
        kind: mail::Kind::Notice,
        event_id: Some(event.id),
        person_id: Some(person.id),
        request_id: None,
        facts_revision: Some(event.facts_revision),
        dedup: format!("call-sheet/{}/{}/{}", event.id, person.id, short_hash(&told)),
        to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject: format!("Your call sheet for {}", sheet.day),
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: now,
        not_after: until.unwrap_or(now + Duration::DAY).max(now + Duration::HOUR),
    })
}

/// Tells two texts apart.
fn short_hash(text: &str) -> String {
    let digest = Sha256::digest(text.as_bytes());
    let first: [u8; 8] = std::array::from_fn(|place| digest[place]);
    format!("{:016x}", u64::from_be_bytes(first))
}
