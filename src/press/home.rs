//! The front page of Press: what is due, logging a contact, outlets, releases and press
//! tasks.

use super::editor::{PressEditor, event};
use super::lines::{self, ListLine, Split, StepLine, is_press};
use super::log::{self, Choices, DueLine, LogForm, open_follow_ups};
use super::outlet_status::{OutletStatus, PressSnapshot};
use super::outlets;
use super::papers::{self, PaperLine};
use super::timeline::{self, Against, Step};
use crate::accounts::{Private, SignedIn};
use crate::asks::{self, Unlisted};
use crate::closed_days;
use crate::countdown::{Call, CountdownItems, Due, ForTask, Need, Outlook, Owner, Ready, Strand};
use crate::error::Result;
use crate::events::{self, Event};
use crate::people;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;
use std::future::Future;
use std::pin::Pin;
use time::macros::time;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press", get(index)).route("/events/{id}/press/said-yes", post(add))
}

#[derive(Template)]
#[template(path = "press/index.html")]
struct Index {
    page: Page,
    event_id: i64,
    keeps: bool,
    due: Vec<DueLine>,
    lines: Split<ListLine>,
    outlets_known: usize,
    papers: Split<PaperLine>,
    steps: Split<StepLine>,
    conflicts: Vec<ConflictLine>,
    /// The subject, and the advice.
    advice: Vec<(&'static str, String)>,
    form: LogForm,
    mistakes: Mistakes,
    choices: Choices,
    action: String,
    /// Who said they will cover it and has no outlet, with the number of the outlet they
    /// seem to work for.
    unlisted: Vec<(Unlisted, i64)>,
    outlets: Vec<(i64, String)>,
}

/// A date that doesn't fit an outlet's schedule.
#[derive(Default)]
struct ConflictLine {
    says: String,
    /// The outlet's page.
    href: String,
    /// Of a follow-up: why its date is a bad one, and a better date.
    why: &'static str,
    on: String,
    instead: String,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let known = PressSnapshot::load(&app, &event).await?;
    let outlook = Outlook::load(&app, &event, now).await?;
    let calendar = closed_days::calendar(&app).await?;
    let mut db = app.db.read().acquire().await?;
    let people = people::everyone(&mut db).await?;
    let written = papers::of_event(&mut db, id).await?;
    drop(db);
    let facts = papers::known(&app, &event).await?;
    let today = event.today(now);
    let days = (today, today);
    let due = log::due(&known.entries, &known.contacts, &known.outlets, days, (&visit.user, &people));
    let steps = steps(&outlook);
    let burn_on = event.details.burn_on;
    let listed: Vec<_> = known.listed().map(|(_, outlet)| outlet).collect();
    let to_come: Vec<Step> = steps.iter().filter(|(_, is_open)| *is_open).map(|(step, _)| step.clone()).collect();
    let found = timeline::conflicts(&to_come, &listed, (&calendar, burn_on, today), |outlet| {
        known.entries.iter().any(|entry| entry.outlet_id == outlet && entry.sent.starts_with("news release"))
    });
    let page_of = |outlet: i64| format!("{}/press/outlets/{outlet}", event.href());
    let mut conflicts: Vec<_> = found
        .into_iter()
        .map(|(outlet, says)| ConflictLine { says, href: page_of(outlet), ..ConflictLine::default() })
        .collect();
    for (entry, on) in open_follow_ups(&known.entries).into_iter().filter(|(_, on)| *on >= today) {
        let Some(outlet) = known.outlet(entry.outlet_id) else { continue };
        let Some(against) = Against::of(outlet, on) else { continue };
        let sooner = timeline::instead(outlet, &calendar, on).filter(|sooner| *sooner >= today);
        let advice = sooner.map(|on| format!(" Try {}.", Reader::App.near_day(on, today))).unwrap_or_default();
        conflicts.push(ConflictLine {
            says: format!("Follow up with {}: {}.{advice}", entry.person, against.says(outlet, on, today)),
            href: page_of(outlet.id),
            why: against.as_str(),
            on: words::iso(on),
            instead: sooner.map(words::iso).unwrap_or_default(),
        });
    }
    let mut unlisted = unlisted(&app, &event, &known, now).await?;
    for (one, _) in &mut unlisted {
        one.note = visit.user.shown(Private::Notes, &one.note);
    }
    show(&Index {
        page: events::page(&app, &visit, Some(&event), now).await?.titled("Press"),
        event_id: id,
        keeps: visit.user.keeps_people(),
        due,
        lines: lines::outlets(&known, &event),
        outlets_known: known.outlets.len(),
        papers: lines::papers(&written, &known, &event, &facts),
        steps: lines::steps(&outlook, today),
        conflicts,
        advice: advice(&to_come, &event, today),
        form: LogForm::default(),
        mistakes: Mistakes::default(),
        choices: Choices::load(&app, id).await?,
        action: format!("/events/{id}/press/log"),
        unlisted,
        outlets: known.outlets.iter().map(|outlet| (outlet.id, outlet.details.name.clone())).collect(),
    })
}

/// Who said yes to covering the burn and is no contact at any outlet.
async fn unlisted(
    app: &App,
    event: &Event,
    known: &PressSnapshot,
    now: OffsetDateTime,
) -> Result<Vec<(Unlisted, i64)>> {
    let is_listed = |request: &asks::Request| {
        known.contacts.iter().any(|contact| contact.person_id == request.person_id)
            || known.entries.iter().any(|entry| entry.person_id == request.person_id)
    };
    let mut db = app.db.read().acquire().await?;
    let found = asks::unlisted(&mut db, event, asks::Kind::Coverage, is_listed, now).await?;
    let outlet = |one: &Unlisted| {
        let theirs = people::fold(&one.organization);
        let same = known.outlets.iter().find(|outlet| people::fold(&outlet.details.name) == theirs);
        same.map_or(0, |outlet| outlet.id)
    };
    Ok(found
        .into_iter()
        .map(|one| {
            let outlet = outlet(&one);
            (one, outlet)
        })
        .collect())
}

#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct AddForm {
    person: i64,
    outlet: i64,
}

/// Makes someone who said yes elsewhere a contact at an outlet, and adds the outlet to the
/// list.
async fn add(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<AddForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let known = PressSnapshot::load(&app, &event).await?;
    let here = format!("/events/{id}/press");
    let said = unlisted(&app, &event, &known, now).await?.into_iter().find(|(one, _)| one.person_id == form.person);
    let (Some((person, _)), Some(outlet)) = (said, known.outlet(form.outlet).cloned()) else {
        return Ok(flash::redirect(&here, "Nothing was saved. Choose an outlet from the list."));
    };
    let is_listed = known.listings.iter().any(|listing| listing.outlet_id == outlet.id);
    let said = format!("{} is now a contact at {}.", person.name, outlet.details.name);
    let actor = visit.user.actor();
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let place = (outlet.id, outlet.details.name.as_str());
            outlets::add_contact(tx, actor, place, (person.person_id, &person.name), "", now).await?;
            // Whoever is responsible for a listed outlet stays responsible.
            if !is_listed {
                outlets::list_outlet(tx, actor, id, place, None, now).await?;
            }
            Ok(())
        })
    });
    write.await?;
    Ok(flash::redirect(&here, &said))
}

/// The press tasks of the plan, and whether each is still open.
fn steps(outlook: &Outlook) -> Vec<(Step, bool)> {
    let rows = outlook.rows().filter(|(task, _)| is_press(task));
    let step = |(task, row): (&crate::countdown::Task, &crate::calc::plan::Row)| {
        let key = task.key.clone().unwrap_or_default();
        (Step { key, title: task.details.title.clone(), due: row.due }, task.is_open())
    };
    rows.map(step).collect()
}

/// Better dates for what we tell outlets. They are only advice.
fn advice(steps: &[Step], event: &Event, today: Date) -> Vec<(&'static str, String)> {
    let ahead = steps.iter().filter(|step| step.due >= today && timeline::tells(&step.key));
    let off: Vec<String> = ahead
        .filter(|step| !timeline::is_best(step.due))
        .map(|step| format!("“{}” on {}", step.title, Reader::App.near_day(step.due, today)))
        .collect();
    let mut advice = Vec::new();
    if !off.is_empty() {
        let hours = Reader::App.times(time!(9:00), time!(12:00));
        let says =
            format!("Newsrooms are easiest to reach Tuesday to Thursday, {hours}. Outside that: {}.", off.join("; "));
        advice.push(("steps", says));
    }
    if event.details.burn_on >= today && !timeline::is_best(event.details.burn_on) {
        let says = format!(
            "Burn day is a {}. That is good for families, but newsrooms have few people. Offer a weekday preview or your \
             own pictures.",
            event.details.burn_on.weekday()
        );
        advice.push(("burn day", says));
    }
    advice
}

/// What Press shows in the countdown: a pip for each outlet on the list, and follow-ups and
/// releases that are due.
#[must_use]
pub fn countdown_items(
    app: App,
    event: Event,
    now: OffsetDateTime,
) -> Pin<Box<dyn Future<Output = Result<CountdownItems>> + Send>> {
    Box::pin(async move {
        let known = PressSnapshot::load(&app, &event).await?;
        let stands: Vec<OutletStatus> = known.listed().map(|(_, outlet)| known.status(outlet.id, &event)).collect();
        let many = |wanted: &[OutletStatus]| stands.iter().filter(|status| wanted.contains(status)).count();
        let href = format!("/events/{}/press", event.id);
        let ready = Ready {
            name: Strand::Press.as_str(),
            href: href.clone(),
            done: many(&[OutletStatus::Comes, OutletStatus::Ran]),
            waiting: many(&[OutletStatus::Approached, OutletStatus::Replied, OutletStatus::Perhaps]),
            open: many(&[OutletStatus::Open]),
            what: "outlets coming",
            rain: None,
        };
        let owner = |entry: &log::Entry| {
            let listing = known.listings.iter().find(|listing| listing.outlet_id == entry.outlet_id)?;
            listing.owner_id.zip(listing.owner.clone())
        };
        let follow_ups = open_follow_ups(&known.entries).into_iter().map(|(entry, on)| Due {
            title: format!("Follow up with {}, {}", entry.person, entry.outlet),
            beneath: "then log the contact in Press".to_owned(),
            said: String::new(),
            href: href.clone(),
            person: entry.follow_up_by.clone().or_else(|| owner(entry)),
            owner: Owner::InformationOfficer,
            on,
            call: Call::People(vec![entry.person_id]),
            is_problem: false,
        });
        let mut due: Vec<Due> = follow_ups.collect();
        let (papers, needs) = papers_due(&app, &event, now).await?;
        due.extend(papers);
        Ok(CountdownItems { strand: Some(Strand::Press), ready: vec![ready], due, needs, ..CountdownItems::default() })
    })
}

/// Releases to finish or approve, by the day they are due, and those that are out of date,
/// today. And each release, for its task.
async fn papers_due(app: &App, event: &Event, now: OffsetDateTime) -> Result<(Vec<Due>, Vec<Need>)> {
    let mut db = app.db.read().acquire().await?;
    let papers = papers::of_event(&mut db, event.id).await?;
    drop(db);
    if papers.is_empty() {
        return Ok((Vec::new(), Vec::new()));
    }
    let facts = papers::known(app, event).await?;
    let mut db = app.db.read().acquire().await?;
    let mut due = papers::corrections_due(&mut db, event, (&facts, &papers), event.today(now)).await?;
    drop(db);
    let outlook = Outlook::load(app, event, now).await?;
    let href = |paper: &papers::Paper| format!("/events/{}/press/releases/{}", event.id, paper.id);
    let is_true = |paper: &&papers::Paper| paper.outdated(event, &facts).is_empty();
    for paper in papers.iter().filter(|paper| !paper.is_approved(event, &facts)).filter(is_true) {
        let task = outlook.rows().find(|(task, _)| task.key.as_deref() == Some(paper.kind.task()));
        let Some((_, row)) = task.filter(|(task, _)| task.is_open()) else { continue };
        let check = papers::check(paper.kind, &paper.draft, &facts);
        let (title, beneath, owner) = if check.is_clean() {
            let title = format!("Approve the {}", paper.kind.label());
            (title, format!("{} edited it last and can't approve it", paper.editor), Owner::EducationOfficer)
        } else {
            let title = format!("Finish the {} for approval", paper.kind.label());
            (title, lower(&check.says()), Owner::InformationOfficer)
        };
        let (href, call) = (href(paper), Call::NoOne);
        due.push(Due {
            title,
            beneath,
            said: String::new(),
            href,
            person: None,
            owner,
            on: row.due,
            call,
            is_problem: false,
        });
    }
    let needs = papers.iter().map(|paper| {
        let PaperLine { title, stands, .. } = papers::line(paper, event, &facts);
        Need { task: ForTask::Key(paper.kind.task()), title, state: stands, href: href(paper) }
    });
    Ok((due, needs.collect()))
}

/// With a small first letter.
fn lower(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}
