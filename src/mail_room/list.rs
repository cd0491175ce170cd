//! The list of messages, and how email is going.

use super::views;
use super::views::Shown;
use super::visitor::{account, zone};
use crate::accounts::{self, Visit};
use crate::error::Result;
use crate::events::{self, Event};
use crate::mail::outbox::{self, Hold};
use crate::mail::{MailState, Plain, Trouble, goes_out_at, plainly};
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use crate::zone::Zone;
use askama::Template;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) const PATH: &str = "/mail";

/// Messages on one page.
const MOST: i64 = 60;

#[derive(Template)]
#[template(path = "mail_room/index.html")]
pub(super) struct Index {
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
pub(super) struct Wanted {
    state: String,
    skip: i64,
}

#[derive(Deserialize, Default)]
#[serde(default)]
pub(super) struct HoldForm {
    pub why: String,
}

pub(super) async fn view(
    app: &App,
    visit: &Visit,
    wanted: &Wanted,
    form: HoldForm,
    mistakes: Mistakes,
) -> Result<Index> {
    load(app, visit, None, wanted, form, mistakes).await
}

pub(super) async fn load(
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
