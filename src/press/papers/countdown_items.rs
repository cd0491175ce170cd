//! What releases put in the countdown, and which of them a change of the event makes wrong.

use super::changes::changes_say;
use super::check::check;
use super::corrections::{Outdated, outdated};
use super::holders;
use super::line::PaperLine;
use super::paper::Paper;
use super::paper_facts::PaperFacts;
use super::snapshot::known;
use super::store;
use crate::countdown::{Call, Due, ForTask, MoveLine, Need, Outlook, Owner};
use crate::error::Result;
use crate::events::{Details, Event};
use crate::press::facts;
use crate::state::App;
use crate::web::words;
use sqlx::SqliteConnection;
use time::{Date, OffsetDateTime};

/// Releases to finish or approve, by the day they are due, and those that are out of date,
/// today. And each release, for its task.
pub(in crate::press) async fn due(app: &App, event: &Event, now: OffsetDateTime) -> Result<(Vec<Due>, Vec<Need>)> {
    let papers = store::of_event(&mut *app.db.read().acquire().await?, event.id).await?;
    if papers.is_empty() {
        return Ok((Vec::new(), Vec::new()));
    }
    let facts = known(app, event).await?;
    let mut due = corrections_due(app, event, (&facts, &papers), event.today(now)).await?;
    let outlook = Outlook::load(app, event, now).await?;
    let is_to_finish = |paper: &&Paper| !paper.is_approved(event, &facts) && paper.outdated(event, &facts).is_empty();
    due.extend(papers.iter().filter(is_to_finish).filter_map(|paper| to_finish(paper, &facts, &outlook)));
    let needs = papers.iter().map(|paper| {
        let PaperLine { title, stands, .. } = PaperLine::of(paper, event, &facts);
        Need { task: ForTask::Key(paper.kind.task()), title, state: stands, href: paper.href() }
    });
    Ok((due, needs.collect()))
}

/// A release to finish or approve, while its task is open.
fn to_finish(paper: &Paper, facts: &PaperFacts, outlook: &Outlook) -> Option<Due> {
    let task = outlook.rows().find(|(task, _)| task.key.as_deref() == Some(paper.kind.task()));
    let (_, row) = task.filter(|(task, _)| task.is_open())?;
    let check = check(paper.kind, &paper.draft, facts);
    let (title, beneath, owner) = if check.is_clean() {
        let title = format!("Approve the {}", paper.kind.label());
        (title, format!("{} edited it last and can't approve it", paper.editor), Owner::EducationOfficer)
    } else {
        let title = format!("Finish the {} for approval", paper.kind.label());
        (title, lower(&check.says()), Owner::InformationOfficer)
    };
    Some(Due { owner, ..line(paper, (title, beneath), row.due) })
}

/// A line about a release in the countdown.
fn line(paper: &Paper, (title, beneath): (String, String), on: Date) -> Due {
    Due {
        title,
        beneath,
        said: String::new(),
        href: paper.href(),
        person: None,
        owner: Owner::InformationOfficer,
        on,
        call: Call::NoOne,
        is_problem: false,
    }
}

/// With a small first letter.
fn lower(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// Approved versions that are out of date, and who needs a correction.
async fn corrections_due(
    app: &App,
    event: &Event,
    (facts, papers): (&PaperFacts, &[Paper]),
    today: Date,
) -> Result<Vec<Due>> {
    let holders = holders::of_event(&mut *app.db.read().acquire().await?, event.id).await?;
    let due = papers.iter().filter_map(|paper| {
        let (changes, have) = (paper.outdated(event, facts), outdated(&holders, paper, event, facts));
        let label = paper.kind.label();
        let contacts = words::count(have.len(), "contact", "contacts");
        let says = if !changes.is_empty() {
            let then = if have.is_empty() {
                "no one has it yet".to_owned()
            } else {
                format!("then send {contacts} a correction")
            };
            let title = format!("The {label} is out of date: {}", changes_say(&changes));
            (title, format!("have it approved again; {then}"))
        } else if !have.is_empty() {
            let name = |Outdated { holder, .. }: &Outdated| format!("{}, {}", holder.person, holder.outlet);
            let names: Vec<String> = have.iter().map(name).collect();
            (format!("Send the {label} correction to {contacts}"), names.join("; "))
        } else {
            return None;
        };
        Some(line(paper, says, today))
    });
    Ok(due.collect())
}

/// The releases that a change of the event makes wrong: approved or already sent.
pub(in crate::press) async fn moves(
    db: &mut SqliteConnection,
    event: &Event,
    to: &Details,
    (department, at): (&str, OffsetDateTime),
) -> Result<Vec<MoveLine>> {
    let known = facts::of_event(db, event.id).await?;
    let now = PaperFacts::of(&event.details, department, &known, at);
    let then = PaperFacts::of(to, department, &known, at);
    let moved = Event {
        details: to.clone(),
        date_revision: event.date_revision + i64::from(to.burn_on != event.details.burn_on),
        ..event.clone()
    };
    let holders = holders::of_event(db, event.id).await?;
    let mut lines = Vec::new();
    for paper in store::of_event(db, event.id).await? {
        for version in &paper.versions {
            let changes = version.changes(&moved, &then);
            let have = holders.iter().filter(|holder| holder.version_id == version.id).count();
            let is_newest = paper.newest().is_some_and(|newest| newest.id == version.id);
            // What is wrong already is on the list of corrections.
            if changes.is_empty() || changes == version.changes(event, &now) || (have == 0 && !is_newest) {
                continue;
            }
            let beneath = match have {
                0 => "No one has it yet. Have it approved again.".to_owned(),
                _ => format!("{} it and will need a correction.", words::count(have, "contact has", "contacts have")),
            };
            lines.push(MoveLine {
                what: format!("The {} will be out of date: {}", version.called(), changes_say(&changes)),
                beneath,
                href: paper.href(),
                is_open: false,
            });
        }
    }
    Ok(lines)
}
