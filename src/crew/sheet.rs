//! Call sheets: what each person needs to know for the day, always up to date. They are
//! printed, emailed, and shown behind a private link.

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
use crate::web::words::{self, Reader};
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

/// The duties that every sheet names someone for.
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
    /// What happens if burn day is postponed.
    pub rain: String,
    /// Who is in charge, each a duty and a name.
    pub in_charge: Vec<(String, String)>,
    /// "You said yes", their answer in words.
    pub stands: String,
    pub is_reconfirmed: bool,
}

/// One position on it.
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
    /// Who else is in the position.
    pub with: String,
    /// The rule that was overridden, why, and by whom.
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
            ("Override", &self.all_the_same),
        ];
        lines.into_iter().filter(|(_, text)| !text.is_empty()).collect()
    }
}

impl Sheet {
    /// None for someone without a position.
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
                hours: post.details.hours.says_for(Reader::CallSheet),
                spot: post.details.spot.clone(),
                reports_to: post.details.reports_to.clone(),
                wear: post.details.wear.clone(),
                bring: post.details.bring.clone(),
                cautions: post.details.cautions.clone(),
                with: others.map(|other| other.person.details.name.as_str()).collect::<Vec<_>>().join(", "),
                all_the_same: decided
                    .map(|d| format!("{} {} ({})", d.rules.join(" "), d.reason, d.by))
                    .unwrap_or_default(),
            }
        };
        Some(Self {
            person_id: person.id,
            name: person.details.name.clone(),
            day: Reader::CallSheet.day(on),
            site: details.site.clone(),
            posts: posts.map(post).collect(),
            rain: rain_rule(book, first, today),
            in_charge: in_charge(book, on),
            stands: answered(standing, today),
            is_reconfirmed: book.reconfirmed(person.id),
        })
    }

    /// The same as lines of an email.
    #[must_use]
    pub fn facts(&self) -> Vec<(String, String)> {
        let mut facts = vec![("Day".to_owned(), self.day.clone())];
        if !self.site.is_empty() {
            facts.push(("Site".to_owned(), self.site.clone()));
        }
        for post in &self.posts {
            let standby = if post.is_standby { ", as an alternate" } else { "" };
            facts.push(("Position".to_owned(), format!("{}{standby}", post.name)));
            facts.extend(post.lines().into_iter().map(|(label, text)| (label.to_owned(), text.to_owned())));
        }
        facts.push(("If postponed".to_owned(), self.rain.clone()));
        facts.extend(self.in_charge.iter().cloned());
        facts
    }
}

/// Their own answer for burn day, in words.
fn answered(standing: Standing, today: Date) -> String {
    match standing {
        Standing::Confirmed => "You said yes".to_owned(),
        Standing::Maybe => "You said maybe".to_owned(),
        Standing::Declined => "You said no".to_owned(),
        Standing::Waiting => "You haven't answered yet".to_owned(),
        Standing::OtherDate(on) => format!("You said yes to {}", Reader::CallSheet.near_day(on, today)),
        Standing::NotAsked => "You haven't been asked yet".to_owned(),
    }
}

/// What happens if burn day is postponed.
fn rain_rule(book: &Book, first: &super::Assignment, today: Date) -> String {
    let Some(rain) = book.event.details.rain_on else {
        return "There is no rain date. We will tell you what happens next.".to_owned();
    };
    let day = Reader::CallSheet.near_day(rain, today);
    let said = match book.standing(first, rain) {
        Standing::Confirmed => "You said yes to that day too.",
        Standing::Declined => "You said no to that day.",
        Standing::Maybe => "You said maybe to that day.",
        Standing::Waiting => "You haven't answered for that day yet.",
        Standing::NotAsked | Standing::OtherDate(_) => "You haven't been asked about that day yet.",
    };
    format!("{day}, same hours. {said} We will let you know. If you aren't sure, call before you leave home.")
}

fn in_charge(book: &Book, on: Date) -> Vec<(String, String)> {
    let who = |duty: &Duty| {
        let posts = book.posts.iter().filter(|post| post.details.duty == *duty);
        let names: Vec<&str> = posts
            .flat_map(|post| book.at(post.id, on))
            .filter(|one| one.standing == Standing::Confirmed && !one.assignment.is_standby)
            .map(|one| one.person.details.name.as_str())
            .collect();
        (!names.is_empty()).then(|| (duty.label().to_owned(), names.join(", ")))
    };
    IN_CHARGE.iter().filter_map(who).collect()
}

/// By person: their lines, each a label and a text, and the number that the link is made
/// with.
pub type CallSheets = HashMap<i64, (Vec<(String, String)>, i64)>;

/// For reminders: everyone's call sheet and the number that its link is made with. Only
/// people with a position and a link are included.
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
    /// Only one is shown.
    one: bool,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    person: Option<i64>,
}

/// Everyone with a position, sorted by name, or just one of them.
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

/// Emails their current call sheet to everyone who said yes, or to one of them.
async fn send(
    State(app): State<App>,
    CrewKeeper(visit): CrewKeeper,
    Path(id): Path<i64>,
    Form(form): Form<SendForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = super::keeper::event(&app, id).await?;
    if event.today(now) > event.details.burn_on {
        return Err(Error::BadRequest("Burn day is over, so call sheets are no longer needed.".to_owned()));
    }
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let key = app.link_key.clone();
    let write =
        app.db.write(move |tx| Box::pin(async move { mail_all(tx, &event, form.person, (&sender, &key), now).await }));
    let said = match write.await? {
        0 => "No emails sent: everyone who said yes already has this call sheet or has no email.".to_owned(),
        many => format!("{} on the way.", words::count(many, "email is", "emails are")),
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
    let phone = words::phone(&sender.phone);
    let parts = Parts {
        hello: asks::greeted(person),
        lead: &lead,
        facts: &facts,
        press: Some(("See your current call sheet or change your answer", Opens::CallSheet.mark(link, 1))),
        from: &sender.name,
        phone: &phone,
        department: &sender.department,
        ..Parts::default()
    };
    // The same sheet is emailed only once.
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
