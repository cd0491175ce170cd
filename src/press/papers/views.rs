//! A release on its page and in lists.

use super::before_sending::{self, TickOffer};
use super::check::{self, Check};
use super::corrections::Corrections;
use super::marks::{self, Change, Fact, PaperFacts, changes_say};
use super::readings::{AskForm, ReadingsView};
use super::refusals::Refusal;
use super::routes::PaperForm;
use super::{Filled, Layout, Paper, PaperKind, dateline, embargo_says, holders, store};
use crate::accounts::{self, Role, Visit};
use crate::calc::reading::Reading;
use crate::db::journal;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::press::editor::event;
use crate::press::facts;
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use askama::Template;
use time::Date;

/// The highest reading grade we advise.
const ADVISED_GRADE: f64 = 9.0;

/// A release in a list.
#[derive(Debug)]
pub(in crate::press) struct PaperLine {
    pub id: i64,
    pub title: String,
    pub headline: String,
    /// "out of date", "approved", "draft", "changed" or "complete".
    pub state: &'static str,
    pub stands: String,
    pub sign: &'static str,
    /// Who read the newest version; empty without one.
    pub read: &'static str,
}

/// The status of a release in one line.
pub(in crate::press) fn line(paper: &Paper, event: &Event, facts: &PaperFacts) -> PaperLine {
    let check = check::check(paper.kind, &paper.draft, facts);
    let lacking = check.missing.len() + check.wrong.len();
    let changes = paper.outdated(event, facts);
    let newest = paper.newest();
    let (state, stands, sign) = match newest {
        Some(version) if !changes.is_empty() => {
            let stands = format!("v{} approved, but out of date: {}", version.number, changes_say(&changes));
            ("out of date", stands, "late")
        }
        Some(version) if paper.is_approved(event, facts) => {
            ("approved", format!("v{} {}", version.number, version.read.says()), "done")
        }
        _ if lacking > 0 => {
            let lacks = words::count(lacking, "item missing or wrong", "items missing or wrong");
            ("draft", format!("draft, {lacks}"), "todo")
        }
        Some(version) => ("changed", format!("changed after v{}, waiting for approval", version.number), "waiting"),
        None => ("complete", "waiting for approval".to_owned(), "waiting"),
    };
    PaperLine {
        id: paper.id,
        title: sentence(paper.kind),
        headline: facts.fill(&paper.draft.headline),
        state,
        stands,
        sign,
        read: newest.map_or("", |version| version.read.as_str()),
    }
}

pub(super) fn sentence(kind: PaperKind) -> String {
    let name = kind.label();
    name[..1].to_uppercase() + &name[1..]
}

/// A release of this event, with the facts it refers to.
pub(super) async fn found(app: &App, event_id: i64, id: i64) -> Result<(Event, PaperFacts, Paper)> {
    let event = event(app, event_id).await?;
    let facts = known(app, &event).await?;
    let paper = store::find(&mut *app.db.read().acquire().await?, event_id, id).await?;
    Ok((event, facts, paper.ok_or(Error::NotFound)?))
}

/// What a release can say about an event.
pub(in crate::press) async fn known(app: &App, event: &Event) -> Result<PaperFacts> {
    let department = accounts::department(app.db.read()).await?.unwrap_or_default().name;
    let facts = facts::of_event(&mut *app.db.read().acquire().await?, event.id).await?;
    Ok(PaperFacts::of(&event.details, &department, &facts, app.clock.now()))
}

/// Does nobody else have an account that can approve releases?
pub(super) async fn is_alone(app: &App, visit: &Visit) -> Result<bool> {
    let accounts = accounts::list_in(&mut *app.db.read().acquire().await?).await?;
    let keeps = |role| matches!(role, Role::EducationOfficer | Role::InformationOfficer);
    let another = |account: &accounts::Account| {
        account.id != visit.user.account_id && account.joined && !account.disabled && keeps(account.role)
    };
    Ok(!accounts.iter().any(another))
}

#[derive(Template)]
#[template(path = "press/paper.html")]
pub(super) struct PaperPage {
    pub page: Page,
    pub event_id: i64,
    pub paper: Paper,
    pub title: String,
    pub keeps: bool,
    pub edited: String,
    pub check: Check,
    pub is_approved: bool,
    /// What has changed since the newest version was approved.
    pub outdated: Vec<Change>,
    /// Words of an earlier version's place that are still in the text.
    pub old_places: Vec<String>,
    /// The date in its dateline, if that isn't today; else empty.
    pub old_dateline: String,
    /// Neither People nor the press facts have the contact's email.
    pub lacks_mail: bool,
    /// Whoever reads the page edited it last.
    pub is_own: bool,
    /// Nobody else has an account that can approve it.
    pub is_alone: bool,
    /// Who read the newest version; empty without one.
    pub read: &'static str,
    pub unread: String,
    pub length: String,
    pub grade: String,
    pub advice: &'static str,
    pub filled: Filled,
    pub marks: Vec<Fact>,
    pub versions: Vec<VersionLine>,
    pub corrections: Corrections,
    pub readings: ReadingsView,
    pub offer: Option<TickOffer>,
    pub form: PaperForm,
    pub mistakes: Mistakes,
    pub refused: Option<Refusal>,
    /// Whom they tried to ask.
    pub asked: AskForm,
    pub history: Vec<HistoryLine>,
}

pub(super) struct VersionLine {
    pub number: i64,
    pub read: &'static str,
    pub says: String,
    pub sent: usize,
    pub is_outdated: bool,
}

impl PaperPage {
    /// Can whoever reads the page approve the text?
    fn can_approve(&self) -> bool {
        self.keeps && !self.is_approved && !self.is_own && self.check.is_clean()
    }

    /// Can they email a correction now?
    fn can_correct(&self) -> bool {
        self.keeps && self.corrections.refused.is_none() && !self.corrections.to_mail.is_empty()
    }

    fn digest(&self) -> String {
        self.filled.digest()
    }
}

pub(super) async fn view(
    app: &App,
    visit: &Visit,
    (event, facts, paper): (Event, PaperFacts, Paper),
    (form, mistakes): (PaperForm, Mistakes),
    refused: Option<Refusal>,
) -> Result<PaperPage> {
    let (now, title) = (app.clock.now(), sentence(paper.kind));
    let page = events::page(app, visit, Some(&event), now).await?.titled(&title);
    let history = journal::of(app.db.read(), "paper", paper.id).await?;
    let readings = ReadingsView::load(app, &visit.user, &event, &paper).await?;
    let corrections = Corrections::load(app, visit, (&event, &facts, &paper)).await?;
    let is_alone = is_alone(app, visit).await?;
    let zone = &event.details.zone;
    let moment = |at| Reader::App.moment(zone.wall(at));
    let mut versions = Vec::new();
    let mut db = app.db.read().acquire().await?;
    for version in &paper.versions {
        versions.push(VersionLine {
            number: version.number,
            read: version.read.as_str(),
            says: format!("{}, {}", version.read.says(), moment(version.approved_at)),
            sent: holders::sent_to(&mut db, version.id).await?.len(),
            is_outdated: !version.changes(&event, &facts).is_empty(),
        });
    }
    drop(db);
    // If what went out is out of date, its task isn't done.
    let is_sent = versions.first().is_some_and(|version| version.sent > 0 && !version.is_outdated);
    let offer = if is_sent { before_sending::offer(app, visit, &event, paper.kind, now).await? } else { None };
    let filled = Filled::of(&paper.draft, &event, &facts);
    let reading = Reading::of(&filled.text);
    let grade = reading.grade();
    let long = grade.is_some_and(|grade| grade > ADVISED_GRADE);
    let places = paper.versions.iter().filter_map(|version| version.made_from.as_ref()?.facts.get(marks::PLACE));
    let places: Vec<&str> = places.map(String::as_str).collect();
    let old_places = check::of_old_places(&paper.draft, &facts, &places);
    let is_approved = paper.is_approved(&event, &facts);
    // Whoever has an older version gets this one today.
    let is_to_go = !is_approved || corrections.count() > 0;
    let dated = dateline::day_near(&filled.text, event.today(now)).filter(|on| is_to_go && *on != event.today(now));
    Ok(PaperPage {
        page,
        event_id: event.id,
        title,
        keeps: visit.user.keeps_people(),
        edited: format!("{}, {}", paper.editor, moment(paper.edited_at)),
        check: check::check(paper.kind, &paper.draft, &facts),
        is_approved,
        outdated: paper.outdated(&event, &facts),
        old_places,
        old_dateline: dated.map(dateline::short_day).unwrap_or_default(),
        lacks_mail: facts.get(marks::MAIL).is_some_and(|fact| fact.raw.is_empty()),
        is_own: paper.edited_by == visit.user.account_id,
        is_alone,
        read: paper.newest().map_or("", |version| version.read.as_str()),
        unread: paper.newest().map(|version| version.read.warning()).unwrap_or_default(),
        length: words::count(usize::try_from(reading.words).unwrap_or(0), "word", "words"),
        grade: grade.map(|grade| format!("{grade:.1}")).unwrap_or_default(),
        advice: if long {
            "above grade 9, so try shorter sentences and plainer words"
        } else {
            "grade 9 or lower reads well"
        },
        filled,
        marks: facts.all,
        versions,
        corrections,
        readings,
        offer,
        form,
        mistakes,
        refused,
        asked: AskForm::default(),
        history: history.into_iter().map(|entry| HistoryLine::of(entry, zone)).collect(),
        paper,
    })
}

#[derive(Template)]
#[template(path = "press/print.html")]
pub(super) struct Print {
    pub page: Page,
    pub department: String,
    pub layout: Layout,
    pub called: String,
    pub is_draft: bool,
    pub is_outdated: bool,
    pub is_unread: bool,
    /// That it is out of date or unread.
    pub warning: String,
    /// As plain text.
    pub whole: String,
}

/// What is printed: an approved version, or the draft.
pub(super) struct Sheet {
    pub headline: String,
    pub text: String,
    pub embargo: String,
    /// The day it was approved; none of a draft.
    pub dated: Option<Date>,
    pub is_outdated: bool,
    pub is_unread: bool,
    pub warning: String,
}

impl Sheet {
    pub fn of(paper: &Paper, number: i64, event: &Event, facts: &PaperFacts) -> (Self, Option<String>) {
        let version = paper.versions.iter().find(|version| number == 0 || version.number == number);
        let Some(version) = version else {
            let embargo = embargo_says(paper.draft.embargo, &event.details.zone);
            let (headline, text) = (facts.fill(&paper.draft.headline), facts.fill(&paper.draft.text));
            let warning = String::new();
            let sheet = Self { headline, text, embargo, dated: None, is_outdated: false, is_unread: false, warning };
            return (sheet, None);
        };
        let changes = version.changes(event, facts);
        let (is_outdated, is_unread) = (!changes.is_empty(), version.read.is_unread());
        let mut warnings = Vec::new();
        if is_outdated {
            warnings.push(format!("Out of date: {}.", changes_say(&changes)));
        }
        if is_unread {
            warnings.push(version.read.warning());
        }
        let sheet = Self {
            headline: version.headline.clone(),
            text: version.text.clone(),
            embargo: version.embargo.clone(),
            dated: Some(event.details.zone.wall(version.approved_at).date()),
            is_outdated,
            is_unread,
            warning: warnings.join(" "),
        };
        (sheet, Some(version.called()))
    }
}
