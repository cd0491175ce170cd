//! The pages of call sheets: everyone's in a list, one alone, and all of them to print.

use super::content::IN_CHARGE;
use super::sending::{mail_all, newest};
use super::store::{self, SentSheet};
use super::{Sheet, SheetPost, of_all};
use crate::accounts::SignedIn;
use crate::asks::{Said, Sender};
use crate::crew::editor::{CrewEditor, keeps_crew};
use crate::crew::page::{event, page, snapshot};
use crate::crew::reply_status::ReplyStatus;
use crate::crew::snapshot::{CrewSnapshot, is_ours};
use crate::error::{Error, Result};
use crate::mail::MailState;
use crate::people::Person;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
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
use std::collections::BTreeSet;
use time::{Date, OffsetDateTime};

pub(in crate::crew) fn router() -> Router<App> {
    Router::new().route("/events/{id}/burn-day/call-sheets", get(sheets).merge(post(send)))
}

#[derive(Template)]
#[template(path = "crew/sheets.html")]
struct Index {
    page: Page,
    event_id: i64,
    lines: Vec<Line>,
    missing: Vec<Missing>,
    keeps: bool,
}

/// Someone's call sheet in the list.
struct Line {
    person_id: i64,
    name: String,
    posts: String,
    call_time: String,
    /// What became of the email, as a mark.
    state: &'static str,
    says: String,
}

/// What is missing on call sheets.
struct Missing {
    /// The same as a mark.
    what: &'static str,
    says: String,
    /// What or whom it is about, each with the address of a page.
    names: Vec<(String, String)>,
}

#[derive(Template)]
#[template(path = "crew/sheet.html")]
struct Paper {
    page: Page,
    event_id: i64,
    sheets: Vec<Sheet>,
    keeps: bool,
    sender: Sender,
    /// Only one is shown.
    is_one: bool,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    person: Option<i64>,
    /// "all", to print them.
    who: String,
}

async fn sheets(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let (page, keeps) = (page(&app, &visit, &snapshot.event, "Call sheets").await?, keeps_crew(&visit.user));
    let sheets = of_all(&snapshot, wanted.person, now);
    if wanted.person.is_some() || wanted.who == "all" {
        let page = page.under(format!("/events/{id}/burn-day/call-sheets"), "Call sheets");
        let sender = Sender::named(app.db.read(), None).await?;
        return show(&Paper { page, event_id: id, sheets, keeps, sender, is_one: wanted.person.is_some() });
    }
    let sent = store::sent(&mut *app.db.read().acquire().await?, id).await?;
    let line = |sheet: &Sheet| {
        let theirs = sent.get(&sheet.person_id).map(Vec::as_slice).unwrap_or_default();
        Line::of(&snapshot, sheet, theirs, now)
    };
    let (lines, missing) = (sheets.iter().map(line).collect(), missing(&snapshot, &sheets));
    show(&Index { page, event_id: id, lines, missing, keeps })
}

impl Line {
    fn of(snapshot: &CrewSnapshot, sheet: &Sheet, sent: &[SentSheet], now: OffsetDateTime) -> Self {
        let listed = snapshot.people.get(&sheet.person_id).map(|person| person.details.listed());
        let name = |post: &SheetPost| {
            if post.is_standby { format!("{} (alternate)", post.name) } else { post.name.clone() }
        };
        let (state, says) = became(snapshot, sheet, sent, now);
        Self {
            person_id: sheet.person_id,
            name: listed.unwrap_or_default(),
            posts: sheet.posts.iter().map(name).collect::<Vec<_>>().join(", "),
            call_time: sheet.posts.first().map(|post| Reader::App.time(post.call_time)).unwrap_or_default(),
            state,
            says,
        }
    }
}

/// What became of the email with someone's sheet: as a mark and in words.
fn became(snapshot: &CrewSnapshot, sheet: &Sheet, sent: &[SentSheet], now: OffsetDateTime) -> (&'static str, String) {
    let (zone, today) = (&snapshot.event.details.zone, snapshot.event.today(now));
    let day = |one: &SentSheet| Reader::App.near_day(zone.wall(one.at).date(), today);
    if let Some(last) = newest(sent) {
        return match (last.is(sheet), last.state) {
            (true, MailState::Waiting | MailState::Sending) => ("waiting", "email on its way".to_owned()),
            (true, MailState::Uncertain) => ("uncertain", format!("may have been emailed {}", day(last))),
            (true, _) => ("sent", format!("emailed {}", day(last))),
            (false, MailState::Waiting | MailState::Sending) => {
                ("changed", "changed since the email that is on its way".to_owned())
            }
            (false, _) => ("changed", format!("changed since it was emailed {}", day(last))),
        };
    }
    if let Some(last) = sent.last().filter(|last| last.state == MailState::Failed) {
        return ("failed", format!("email failed {}", day(last)));
    }
    let has_mail = snapshot.people.get(&sheet.person_id).is_some_and(Person::has_mail);
    if !snapshot.has_said_yes(sheet.person_id, snapshot.event.details.burn_on) {
        ("no-yes", "not emailed: hasn't said yes".to_owned())
    } else if has_mail {
        ("not-sent", "not emailed yet".to_owned())
    } else {
        ("no-email", "no email: print it".to_owned())
    }
}

/// What people should find on their sheets and won't.
fn missing(snapshot: &CrewSnapshot, sheets: &[Sheet]) -> Vec<Missing> {
    let here = format!("/events/{}/crew", snapshot.event.id);
    let sheets_at = format!("/events/{}/burn-day/call-sheets", snapshot.event.id);
    let on = snapshot.event.details.burn_on;
    let mut found = Vec::new();
    let mut note = |what: &'static str, says: String, names: Vec<(String, String)>| {
        if !names.is_empty() {
            found.push(Missing { what, says, names });
        }
    };
    let people = without_position(snapshot, on);
    let need = words::count(people.len(), "person said yes and needs", "people said yes and need");
    let names = people.into_iter().map(|one| (format!("{here}/people/{}", one.id), one.details.name.clone()));
    note("call-time", format!("{need} a position before you can send them a call sheet"), names.collect());

    let nowhere: Vec<_> = snapshot
        .posts
        .iter()
        .filter(|post| post.details.spot.is_empty() && snapshot.assigned.iter().any(|one| one.post_id == post.id))
        .map(|post| (format!("{here}/positions/{}", post.id), post.details.name.clone()))
        .collect();
    let has = words::count(nowhere.len(), "position has", "positions have");
    note("place", format!("{has} no location yet"), nowhere);

    let in_charge = snapshot.posts.iter().filter(|post| IN_CHARGE.contains(&post.details.duty));
    let no_one = in_charge.filter(|post| {
        let there = snapshot.at(post.id, on);
        !there.iter().any(|one| one.status == ReplyStatus::Confirmed && !one.assignment.is_standby)
    });
    let no_one: Vec<_> =
        no_one.map(|post| (format!("{here}/positions/{}", post.id), post.details.name.clone())).collect();
    let has = words::count(no_one.len(), "role has", "roles have");
    note("in-charge", format!("{has} no name on the call sheets yet"), no_one);

    let unreached = sheets.iter().filter(|sheet| {
        let person = snapshot.people.get(&sheet.person_id);
        snapshot.has_said_yes(sheet.person_id, on) && person.is_some_and(|person| !person.has_mail())
    });
    let unreached: Vec<_> =
        unreached.map(|sheet| (format!("{sheets_at}?person={}", sheet.person_id), sheet.name.clone())).collect();
    let has = words::count(unreached.len(), "person has", "people have");
    note("email", format!("{has} no email. Print their call sheets"), unreached);
    found
}

/// The people who said yes to a question about the crew and have no position, sorted by
/// surname.
fn without_position(snapshot: &CrewSnapshot, on: Date) -> Vec<&Person> {
    let said_yes = snapshot.requests.iter().filter(|request| {
        let answer = request.stands_for(on);
        is_ours(request) && answer.is_some_and(|answer| answer.said == Said::Yes)
    });
    let free = said_yes.filter(|request| snapshot.posts_of(request.person_id).is_empty());
    let ids: BTreeSet<i64> = free.map(|request| request.person_id).collect();
    let mut people: Vec<&Person> = ids.iter().filter_map(|id| snapshot.people.get(id)).collect();
    people.sort_by_cached_key(|person| person.listing());
    people
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct SendForm {
    person: Option<i64>,
}

/// Emails their current call sheet to everyone who said yes, or to one of them.
async fn send(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path(id): Path<i64>,
    Form(form): Form<SendForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
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
    Ok(flash::redirect(&format!("/events/{id}/burn-day/call-sheets"), &said))
}
