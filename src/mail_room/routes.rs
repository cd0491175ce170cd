use super::views::{self, Shown};
use crate::accounts::{self, Officer, Visit};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::mail::outbox::{self, Hold};
use crate::mail::{Kind, Letter, MailState, Mailbox, Parts, Plain, Trouble, body, goes_out_at, plainly, queue};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::link::short_id;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use crate::zone::Zone;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::{Duration, OffsetDateTime};

const PATH: &str = "/mail";

pub(super) fn router() -> Router<App> {
    Router::new()
        .route(PATH, get(index))
        .route("/events/{id}/sent", get(sent))
        .route("/mail/hold", post(hold))
        .route("/mail/release", post(release))
        .route("/mail/test", post(test))
}

/// Messages on one page.
const MOST: i64 = 60;

#[derive(Template)]
#[template(path = "mail_room/index.html")]
struct Index {
    page: Page,
    /// Its address.
    here: String,
    /// Is it about one event's messages?
    of_event: bool,
    transport: TransportLine,
    hold: HoldLine,
    trouble: Option<TroubleLine>,
    jumped: Option<String>,
    /// Until when only urgent email goes out; empty by day.
    night_until: String,
    tabs: Vec<Tab>,
    /// Of the messages that are shown.
    state: &'static str,
    /// How long the oldest message has been due; empty if none is.
    oldest: String,
    oldest_minutes: i64,
    lines: Vec<Shown>,
    /// Where more of them are; empty on the last page.
    further: String,
    nothing: &'static str,
    mail: String,
    form: HoldForm,
    mistakes: Mistakes,
}

struct TransportLine {
    stays_here: bool,
    to: String,
    from: String,
}

struct HoldLine {
    held: bool,
    why: String,
    /// "Priya Okafor put it on hold Wed, Nov 25, 09:00".
    since: String,
}

struct TroubleLine {
    words: Plain,
    since: String,
    again: String,
}

struct Tab {
    state: &'static str,
    says: &'static str,
    number: i64,
    is_here: bool,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    state: String,
    skip: i64,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct HoldForm {
    why: String,
}

async fn index(State(app): State<App>, Officer(visit): Officer, Query(wanted): Query<Wanted>) -> Result<Response> {
    show(&view(&app, &visit, &wanted, HoldForm::default(), Mistakes::default()).await?)
}

/// The messages of one event.
async fn sent(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    show(&load(&app, &visit, Some(&event), &wanted, HoldForm::default(), Mistakes::default()).await?)
}

async fn view(app: &App, visit: &Visit, wanted: &Wanted, form: HoldForm, mistakes: Mistakes) -> Result<Index> {
    load(app, visit, None, wanted, form, mistakes).await
}

async fn load(
    app: &App,
    visit: &Visit,
    event: Option<&Event>,
    wanted: &Wanted,
    form: HoldForm,
    mistakes: Mistakes,
) -> Result<Index> {
    let now = app.clock.now();
    let title = if event.is_some() { "Sent" } else { "Email" };
    let page = events::page(app, visit, event, now).await?.titled(title);
    let zone = zone(visit)?;
    let usual = if event.is_some() { MailState::Sent } else { MailState::Waiting };
    let state = wanted.state.parse().ok().filter(|state| *state != MailState::Sending).unwrap_or(usual);
    let skip = wanted.skip.max(0);
    let (here, event_id) =
        (event.map_or_else(|| PATH.to_owned(), |event| format!("{}/sent", event.href())), event.map(|event| event.id));
    let lines = outbox::list(app.db.read(), event_id, state, skip, MOST).await?;
    let is_full = i64::try_from(lines.len()).is_ok_and(|number| number == MOST);
    let further = format!("{here}?state={}&skip={}", state.as_str(), skip + MOST);
    let stays_here = app.mailer.stays_here();
    let oldest = outbox::oldest_due(app.db.read(), now).await?;
    Ok(Index {
        page,
        transport: TransportLine { stays_here, to: app.mailer.goes_to(), from: app.mailer.from().to_string() },
        hold: hold_line(app, &zone, now).await?,
        trouble: app.mailer.trouble(now).map(|trouble| TroubleLine::of(&trouble, &zone, now)),
        jumped: app.mailer.jumped(),
        night_until: goes_out_at(&zone, now).map(|at| Reader::App.time(at)).unwrap_or_default(),
        tabs: tabs(&outbox::counts(app.db.read(), event_id).await?, state, stays_here),
        of_event: event.is_some(),
        here,
        state: state.as_str(),
        oldest_minutes: oldest.map_or(0, |from| (now - from).whole_minutes()),
        oldest: oldest.map(|from| views::span(from, now)).unwrap_or_default(),
        lines: lines.into_iter().map(|line| Shown::of(line, &zone, now)).collect(),
        further: if is_full { further } else { String::new() },
        nothing: views::nothing(state),
        mail: account(app, visit).await?.mail,
        form,
        mistakes,
    })
}

pub(super) fn zone(visit: &Visit) -> Result<Zone> {
    Zone::named(&visit.user.department.zone).ok_or(Error::NotFound)
}

async fn account(app: &App, visit: &Visit) -> Result<accounts::Account> {
    accounts::find(app.db.read(), visit.user.account_id).await?.ok_or(Error::NotFound)
}

fn tabs(counts: &[(MailState, i64)], here: MailState, stays_here: bool) -> Vec<Tab> {
    let shown = MailState::ALL.into_iter().filter(|state| *state != MailState::Sending);
    shown
        .map(|state| Tab {
            state: state.as_str(),
            says: views::state(state, stays_here),
            number: counts.iter().filter(|(of, _)| *of == state).map(|(_, number)| number).sum(),
            is_here: state == here,
        })
        .collect()
}

async fn hold_line(app: &App, zone: &Zone, now: OffsetDateTime) -> Result<HoldLine> {
    let hold = outbox::hold(app.db.read()).await?;
    let by = match hold.by {
        Some(account) => accounts::find(app.db.read(), account).await?,
        None => None,
    };
    Ok(HoldLine::of(hold, by.as_ref().map_or("Burnday", |account| &account.name), zone, now))
}

impl HoldLine {
    fn of(hold: Hold, who: &str, zone: &Zone, now: OffsetDateTime) -> Self {
        let when = hold.since.map(|at| format!(" {}", Reader::App.near_moment(zone.wall(at), zone.wall(now).date())));
        Self { held: hold.held, since: format!("{who} put it on hold{}", when.unwrap_or_default()), why: hold.why }
    }
}

impl TroubleLine {
    fn of(trouble: &Trouble, zone: &Zone, now: OffsetDateTime) -> Self {
        let seconds = (trouble.until - now).whole_seconds().max(1);
        Self {
            words: plainly(&trouble.words),
            since: Reader::App.near_moment(zone.wall(trouble.since), zone.wall(now).date()),
            again: words::count(usize::try_from(seconds).unwrap_or(1), "second", "seconds"),
        }
    }
}

async fn hold(State(app): State<App>, Officer(visit): Officer, Form(form): Form<HoldForm>) -> Result<Response> {
    let now = app.clock.now();
    let mut mistakes = Mistakes::default();
    let Some(why) = mistakes.note("why", form::line(&form.why, 200)) else {
        let page = view(&app, &visit, &Wanted::default(), form, mistakes).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let actor = visit.user.actor();
    let held = app.db.write(move |tx| Box::pin(async move { outbox::hold_all(tx, actor, &why, now).await })).await?;
    let said = if held {
        "All email is on hold. A message that is being sent right now may still go out."
    } else {
        "All email was already on hold."
    };
    Ok(flash::redirect(PATH, said))
}

async fn release(State(app): State<App>, Officer(visit): Officer, Form(form): Form<HoldForm>) -> Result<Response> {
    let now = app.clock.now();
    let mut mistakes = Mistakes::default();
    let Some(why) = mistakes.note("why", form::optional_line(&form.why, 200)) else {
        let page = view(&app, &visit, &Wanted::default(), form, mistakes).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let actor = visit.user.actor();
    let let_go = app.db.write(move |tx| Box::pin(async move { outbox::release(tx, actor, &why, now).await })).await?;
    let said = if let_go { "Email goes out again." } else { "Email wasn't on hold." };
    Ok(flash::redirect(PATH, said))
}

async fn test(State(app): State<App>, Officer(visit): Officer) -> Result<Response> {
    let now = app.clock.now();
    let account = account(&app, &visit).await?;
    let letter = test_letter(&visit, &account, now)?;
    let (actor, to) = (visit.user.actor(), letter.to.address.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if let Some(id) = queue(tx, &letter, now).await? {
                outbox::note_test(tx, actor, id, &letter.subject, now);
            }
            Ok(())
        })
    });
    write.await?;
    Ok(flash::redirect(PATH, &format!("A test is on its way to {to}. Reload this page to see whether it went out.")))
}

fn test_letter(visit: &Visit, account: &accounts::Account, now: OffsetDateTime) -> Result<Letter> {
    let department = &visit.user.department;
    let words = ["If you can read this, email from Burnday reaches you. If it went to your junk folder, ask whoever \
                  runs your email server to set up SPF and DKIM."
        .to_owned()];
    let parts = Parts {
        hello: &account.name,
        lead: "This is a test email",
        words: &words,
        from: &account.name,
        phone: &department.phone,
        department: &department.name,
        foot: "You sent this to yourself from the Email page in Burnday.",
        ..Parts::default()
    };
    let me = Mailbox { name: account.name.clone(), address: account.mail.clone() };
    Ok(Letter {
        kind: Kind::Test,
        event_id: None,
        person_id: None,
        request_id: None,
        facts_revision: None,
        dedup: format!("test {} {} {}", account.id, now.unix_timestamp(), short_id()),
        reply_to: me.clone(),
        to: me,
        subject: format!("Test email from {}", department.name),
        body: body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: true,
        due_at: now,
        not_after: now + Duration::DAY,
    })
}
