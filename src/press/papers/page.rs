//! The page of a release: its text, what is wrong with it, who read it and who has it.

use super::approvers::is_alone;
use super::before_sending::{self, TickOffer};
use super::changes::Change;
use super::check::{self, Check};
use super::corrections::Corrections;
use super::dateline;
use super::filled::Filled;
use super::form::PaperForm;
use super::holders;
use super::marks;
use super::measure::Measure;
use super::paper::Paper;
use super::paper_facts::Fact;
use super::readings::{AskForm, ReadingsView};
use super::refusals::Refusal;
use super::snapshot::PaperSnapshot;
use crate::accounts::Visit;
use crate::db::journal;
use crate::error::Result;
use crate::events;
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show_as};
use crate::web::words::Reader;
use askama::Template;
use axum::http::StatusCode;
use axum::response::Response;

#[derive(Template)]
#[template(path = "press/paper.html")]
pub(super) struct PaperPage {
    page: Page,
    event_id: i64,
    paper: Paper,
    title: String,
    keeps: bool,
    edited: String,
    check: Check,
    is_approved: bool,
    /// What has changed since the newest version was approved.
    outdated: Vec<Change>,
    /// Words of an earlier version's place that are still in the text.
    old_places: Vec<String>,
    /// The date in its dateline, if that isn't today; else empty.
    old_dateline: String,
    /// Neither People nor the press facts have the contact's email.
    lacks_mail: bool,
    /// Whoever reads the page edited it last.
    is_own: bool,
    /// Nobody else has an account that can approve it.
    is_alone: bool,
    /// Who read the newest version; empty without one.
    read: &'static str,
    unread: String,
    measure: Measure,
    filled: Filled,
    marks: Vec<Fact>,
    versions: Vec<VersionLine>,
    corrections: Corrections,
    readings: ReadingsView,
    offer: Option<TickOffer>,
    form: PaperForm,
    mistakes: Mistakes,
    refused: Option<Refusal>,
    /// Whom they tried to ask.
    pub asked: AskForm,
    history: Vec<HistoryLine>,
}

/// An approved version in the list.
struct VersionLine {
    number: i64,
    read: &'static str,
    says: String,
    sent: usize,
    is_outdated: bool,
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

/// The page with what was typed.
pub(super) async fn view(
    app: &App,
    visit: &Visit,
    snapshot: PaperSnapshot,
    (form, mistakes): (PaperForm, Mistakes),
    refused: Option<Refusal>,
) -> Result<PaperPage> {
    let (now, title) = (app.clock.now(), snapshot.paper.kind.title());
    let page = events::page(app, visit, Some(&snapshot.event), now).await?.titled(&title);
    let history = journal::of(app.db.read(), "paper", snapshot.paper.id).await?;
    let readings = ReadingsView::load(app, &visit.user, &snapshot.event, &snapshot.paper).await?;
    let corrections = Corrections::load(app, visit, &snapshot).await?;
    let is_alone = is_alone(app, visit).await?;
    let versions = version_lines(app, &snapshot).await?;
    // If what went out is out of date, its task isn't done.
    let is_sent = versions.first().is_some_and(|version| version.sent > 0 && !version.is_outdated);
    let kind = snapshot.paper.kind;
    let offer = if is_sent { before_sending::offer(app, visit, &snapshot.event, kind, now).await? } else { None };
    let (filled, is_approved) = (snapshot.filled(), snapshot.is_approved());
    // Whoever has an older version gets this one today.
    let is_to_go = !is_approved || corrections.count() > 0;
    let today = snapshot.event.today(now);
    let dated = dateline::day_near(&filled.text, today).filter(|on| is_to_go && *on != today);
    let (check, outdated, old_places) = (snapshot.check(), snapshot.outdated(), old_places(&snapshot));
    let PaperSnapshot { event, facts, paper } = snapshot;
    let zone = &event.details.zone;
    Ok(PaperPage {
        page,
        event_id: event.id,
        title,
        keeps: visit.user.keeps_people(),
        edited: format!("{}, {}", paper.editor, Reader::App.moment(zone.wall(paper.edited_at))),
        check,
        is_approved,
        outdated,
        old_places,
        old_dateline: dated.map(dateline::short_day).unwrap_or_default(),
        lacks_mail: facts.get(marks::MAIL).is_some_and(|fact| fact.raw.is_empty()),
        is_own: paper.edited_by == visit.user.account_id,
        is_alone,
        read: paper.newest().map_or("", |version| version.read.as_str()),
        unread: paper.newest().map(|version| version.read.warning()).unwrap_or_default(),
        measure: Measure::of(&filled.text),
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
        history: app.history.lines(history, zone),
        paper,
    })
}

/// The page with the text as it was saved.
pub(super) async fn as_saved(
    app: &App,
    visit: &Visit,
    snapshot: PaperSnapshot,
    refused: Option<Refusal>,
) -> Result<PaperPage> {
    let form = PaperForm::of(&snapshot.paper.draft, snapshot.paper.version);
    view(app, visit, snapshot, (form, Mistakes::default()), refused).await
}

/// The same, with why something wasn't done.
pub(super) async fn show_refused(
    app: &App,
    visit: &Visit,
    snapshot: PaperSnapshot,
    refused: Option<Refusal>,
) -> Result<Response> {
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &as_saved(app, visit, snapshot, refused).await?)
}

/// The versions, the newest first, and to how many contacts each was sent.
async fn version_lines(app: &App, snapshot: &PaperSnapshot) -> Result<Vec<VersionLine>> {
    let PaperSnapshot { event, facts, paper } = snapshot;
    let mut lines = Vec::new();
    let mut db = app.db.read().acquire().await?;
    for version in &paper.versions {
        let approved = Reader::App.moment(event.details.zone.wall(version.approved_at));
        lines.push(VersionLine {
            number: version.number,
            read: version.read.as_str(),
            says: format!("{}, {approved}", version.read.says()),
            sent: holders::sent_to(&mut db, version.id).await?.len(),
            is_outdated: !version.changes(event, facts).is_empty(),
        });
    }
    Ok(lines)
}

/// Words of an earlier version's place that are still in the text.
fn old_places(snapshot: &PaperSnapshot) -> Vec<String> {
    let made_from = snapshot.paper.versions.iter().filter_map(|version| version.made_from.as_ref());
    let places: Vec<&str> = made_from.filter_map(|made| made.facts.get(marks::PLACE)).map(String::as_str).collect();
    check::of_old_places(&snapshot.paper.draft, &snapshot.facts, &places)
}
