//! The department's settings for guests: the order of offices, the sponsor levels, and
//! how early each level is invited.

use super::{InvitationLead, LEVELS, Level, Office, SponsorLevel, signing, store};
use crate::accounts::{Officer, SignedIn, Visit};
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::homes::Home;
use crate::calc::offices::{self, Found, Meaning};
use crate::error::Result;
use crate::events;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::HashSet;
use time::{Date, Duration};

const PATH: &str = "/settings/guests";
/// Empty lines at the end of a list, for new entries.
const SPARE: usize = 2;

pub(super) fn router() -> Router<App> {
    Router::new().route(PATH, get(index).merge(post(save)))
}

/// The department's settings for guests.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GuestSettings {
    /// High to low.
    pub offices: Vec<Office>,
    /// Highest first.
    pub levels: Vec<SponsorLevel>,
    pub leads: Vec<InvitationLead>,
    /// Where the department is: stored with the department.
    pub home: Home,
    /// Who usually signs invitations, if not the sender.
    pub signer: Option<(i64, String)>,
    /// Words per minute.
    pub rate: u32,
    pub version: i64,
}

impl GuestSettings {
    /// Is someone with this office and jurisdiction in their own jurisdiction here?
    #[must_use]
    pub fn is_ours(&self, office: &str, jurisdiction: &str) -> bool {
        let usual = match offices::read(office, jurisdiction).0 {
            Meaning::One(usual) => Some(usual),
            Meaning::Either(..) | Meaning::Unknown => None,
        };
        self.home.has(usual, jurisdiction)
    }

    /// The office on the list that this is, or the closest ones.
    #[must_use]
    pub fn find_office(&self, office: &str, jurisdiction: &str) -> Found {
        let names: Vec<&str> = self.offices.iter().map(|office| office.name.as_str()).collect();
        offices::find(&names, office, jurisdiction)
    }

    /// The date by which a level is invited.
    #[must_use]
    pub fn due(&self, level: Level, burn_on: Date, calendar: &Calendar) -> Date {
        let lead = self.leads.iter().find(|lead| lead.level == level);
        let Some(lead) = lead else { return burn_on };
        match lead.basis {
            Basis::Working => calendar.before(burn_on, u32::from(lead.days)),
            Basis::Calendar => calendar.before(burn_on - Duration::days(i64::from(lead.days)), 0),
        }
    }

    pub(super) fn snapshot(&self) -> Value {
        let office = |office: &Office| {
            let marks = [(office.is_host, " (host in its own town)"), (office.before_host, " (goes before the host)")];
            let marks: String = marks.iter().filter(|(is, _)| *is).map(|(_, says)| *says).collect();
            format!("{}{marks}", office.name)
        };
        let lead = |lead: &InvitationLead| format!("{} {}", lead.level, words::days(u32::from(lead.days), lead.basis));
        json!({
            "offices": self.offices.iter().map(office).collect::<Vec<_>>().join("; "),
            "sponsor levels": self.levels.iter().map(|level| level.name.as_str()).collect::<Vec<_>>().join("; "),
            "invited before burn day": self.leads.iter().map(lead).collect::<Vec<_>>().join("; "),
            "invitations signed by": self.signer.as_ref().map(|(_, name)| name.as_str()).unwrap_or_default(),
            "words a minute": self.rate,
        })
    }
}

pub(super) fn basis(basis: Basis) -> &'static str {
    if basis == Basis::Working { "working" } else { "calendar" }
}

/// The form, with one field value per line of each list.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct ListForm {
    office: Vec<i64>,
    office_place: Vec<String>,
    office_name: Vec<String>,
    office_level: Vec<String>,
    office_address: Vec<String>,
    /// `host`, `before` or nothing.
    office_town: Vec<String>,
    sponsor: Vec<i64>,
    sponsor_place: Vec<String>,
    sponsor_name: Vec<String>,
    lead_level: Vec<String>,
    lead_days: Vec<String>,
    lead_basis: Vec<String>,
    /// The name of the usual signer.
    signer: String,
    rate: String,
    version: i64,
}

/// How an office ranks in its holder's own town.
const TOWN: [(&str, &str); 3] =
    [("", "keeps its rank"), ("host", "goes first, as the host"), ("before", "goes before the host")];

struct OfficeLine {
    id: i64,
    place: String,
    name: String,
    level: String,
    address: String,
    town: String,
}

struct SponsorLine {
    id: i64,
    place: String,
    name: String,
}

#[derive(Template)]
#[template(path = "guests/list.html")]
struct ListPage {
    page: Page,
    form: ListForm,
    home: Home,
    names: Vec<String>,
    mistakes: Mistakes,
}

impl ListForm {
    fn of(settings: &GuestSettings) -> Self {
        let mut form = Self {
            signer: settings.signer.as_ref().map(|(_, name)| name.clone()).unwrap_or_default(),
            rate: settings.rate.to_string(),
            version: settings.version,
            ..Self::default()
        };
        for (place, office) in (1..).zip(&settings.offices) {
            let town = match (office.is_host, office.before_host) {
                (true, _) => "host",
                (_, true) => "before",
                _ => "",
            };
            form.put_office(office.id, &place.to_string(), &office.name, office.level.as_str(), &office.address, town);
        }
        for (place, level) in (1..).zip(&settings.levels) {
            form.sponsor.push(level.id);
            form.sponsor_place.push(place.to_string());
            form.sponsor_name.push(level.name.clone());
        }
        for _ in 0..SPARE {
            form.put_office(0, "", "", "local", "", "");
            form.sponsor.push(0);
            form.sponsor_place.push(String::new());
            form.sponsor_name.push(String::new());
        }
        for lead in &settings.leads {
            form.lead_level.push(lead.level.to_string());
            form.lead_days.push(lead.days.to_string());
            form.lead_basis.push(basis(lead.basis).to_owned());
        }
        form
    }

    fn put_office(&mut self, id: i64, place: &str, name: &str, level: &str, address: &str, town: &str) {
        self.office.push(id);
        self.office_place.push(place.to_owned());
        self.office_name.push(name.to_owned());
        self.office_level.push(level.to_owned());
        self.office_address.push(address.to_owned());
        self.office_town.push(town.to_owned());
    }

    fn offices(&self) -> Vec<OfficeLine> {
        let at = |list: &[String], place: usize| list.get(place).cloned().unwrap_or_default();
        let line = |(place, id): (usize, &i64)| OfficeLine {
            id: *id,
            place: at(&self.office_place, place),
            name: at(&self.office_name, place),
            level: at(&self.office_level, place),
            address: at(&self.office_address, place),
            town: at(&self.office_town, place),
        };
        self.office.iter().enumerate().map(line).collect()
    }

    fn sponsors(&self) -> Vec<SponsorLine> {
        let at = |list: &[String], place: usize| list.get(place).cloned().unwrap_or_default();
        let line = |(place, id): (usize, &i64)| SponsorLine {
            id: *id,
            place: at(&self.sponsor_place, place),
            name: at(&self.sponsor_name, place),
        };
        self.sponsor.iter().enumerate().map(line).collect()
    }

    fn leads(&self) -> Vec<(String, String, String)> {
        let lines = self.lead_level.iter().zip(&self.lead_days).zip(&self.lead_basis);
        lines.map(|((level, days), basis)| (level.clone(), days.clone(), basis.clone())).collect()
    }

    fn read(
        &self,
        old: &GuestSettings,
        signer: Result<Option<(i64, String)>, String>,
    ) -> Result<GuestSettings, Mistakes> {
        let mut mistakes = Mistakes::default();
        let mut offices = Vec::new();
        for line in self.offices() {
            let Some(name) = mistakes.note("office", form::optional_line(&line.name, 80)) else { continue };
            if name.is_empty() {
                continue;
            }
            let place = mistakes.note("office", place(&line.place));
            let level = line.level.parse::<Level>().ok().filter(|level| *level != Level::Sponsor);
            let level = mistakes.note("office", level.ok_or("Choose a level for each office.".to_owned()));
            let address = mistakes.note("office", form::optional_line(&line.address, 40));
            let (Some(place), Some(level), Some(address)) = (place, level, address) else { continue };
            let id = Some(line.id).filter(|id| old.offices.iter().any(|office| office.id == *id)).unwrap_or(0);
            let (is_host, before_host) = (line.town == "host", line.town == "before");
            offices.push((place, Office { id, name, level, address, is_host, before_host }));
        }
        offices.sort_by_key(|(place, _)| *place);
        let offices: Vec<Office> = offices.into_iter().map(|(_, office)| office).collect();
        if offices.is_empty() {
            mistakes.add("office", "List at least one office.");
        }
        if has_double(offices.iter().map(|office| (office.id, office.name.as_str()))) {
            mistakes.add("office", "Two lines have the same name. Rename or clear one.");
        }
        let levels = self.read_levels(old, &mut mistakes);
        let leads = self.read_leads(&mut mistakes);
        let signer = mistakes.note("signer", signer).flatten();
        let rate = mistakes.note("rate", form::number(&self.rate, 60u32, 240));
        match (rate, mistakes.is_empty()) {
            (Some(rate), true) => Ok(GuestSettings {
                offices,
                levels,
                leads,
                home: old.home.clone(),
                signer,
                rate,
                version: self.version,
            }),
            _ => Err(mistakes),
        }
    }

    fn read_levels(&self, old: &GuestSettings, mistakes: &mut Mistakes) -> Vec<SponsorLevel> {
        let mut levels = Vec::new();
        for line in self.sponsors() {
            let Some(name) = mistakes.note("sponsor", form::optional_line(&line.name, 80)) else { continue };
            if name.is_empty() {
                continue;
            }
            let Some(place) = mistakes.note("sponsor", place(&line.place)) else { continue };
            let id = Some(line.id).filter(|id| old.levels.iter().any(|level| level.id == *id)).unwrap_or(0);
            levels.push((place, SponsorLevel { id, name }));
        }
        levels.sort_by_key(|(place, _)| *place);
        let levels: Vec<SponsorLevel> = levels.into_iter().map(|(_, level)| level).collect();
        if has_double(levels.iter().map(|level| (level.id, level.name.as_str()))) {
            mistakes.add("sponsor", "Two lines have the same name. Rename or clear one.");
        }
        levels
    }

    fn read_leads(&self, mistakes: &mut Mistakes) -> Vec<InvitationLead> {
        let mut leads = Vec::new();
        for (level, days, basis) in self.leads() {
            let level = mistakes.note("lead", level.parse::<Level>());
            let days = mistakes.note("lead", form::number(&days, 0u16, 400));
            if let (Some(level), Some(days)) = (level, days) {
                let basis = if basis == "working" { Basis::Working } else { Basis::Calendar };
                leads.push(InvitationLead { level, days, basis });
            }
        }
        leads.sort_by_key(|lead| lead.level);
        leads.dedup_by_key(|lead| lead.level);
        if leads.len() != LEVELS.len() {
            mistakes.add("lead", "Enter a number of days for each level.");
        }
        leads
    }
}

/// A line without a number goes last.
fn place(text: &str) -> Result<u32, String> {
    if text.trim().is_empty() { Ok(u32::MAX) } else { form::number(text, 1, 999) }
}

/// Does a name or a row appear twice?
fn has_double<'a>(lines: impl Iterator<Item = (i64, &'a str)>) -> bool {
    let (mut names, mut ids) = (HashSet::new(), HashSet::new());
    lines.fold(false, |double, (id, name)| {
        let fresh = names.insert(name.to_lowercase()) && (id == 0 || ids.insert(id));
        double || !fresh
    })
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn) -> Result<Response> {
    let settings = store::settings(&mut *app.db.read().acquire().await?).await?;
    show(&view(&app, &visit, ListForm::of(&settings), Mistakes::default()).await?)
}

async fn view(app: &App, visit: &Visit, form: ListForm, mistakes: Mistakes) -> Result<ListPage> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("Offices and levels");
    let settings = store::settings(&mut *app.db.read().acquire().await?).await?;
    let names = signing::names(app, &settings).await?;
    Ok(ListPage { page, form, home: settings.home, names, mistakes })
}

async fn save(State(app): State<App>, Officer(visit): Officer, Form(form): Form<ListForm>) -> Result<Response> {
    let now = app.clock.now();
    let old = store::settings(&mut *app.db.read().acquire().await?).await?;
    let signer = signing::read(&app, &form.signer).await?;
    let new = match form.read(&old, signer) {
        Ok(new) => new,
        Err(mistakes) => {
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, form, mistakes).await?);
        }
    };
    let (actor, keep) = (visit.user.actor(), new.clone());
    let saved = app.db.write(move |tx| Box::pin(async move { store::save_settings(tx, actor, &keep, now).await }));
    if !saved.await? {
        let old = store::settings(&mut *app.db.read().acquire().await?).await?;
        return differs(&app, &visit, &old, &form, &new).await;
    }
    Ok(flash::redirect(PATH, "Saved. Every guest list now uses this order."))
}

async fn differs(
    app: &App,
    visit: &Visit,
    old: &GuestSettings,
    form: &ListForm,
    new: &GuestSettings,
) -> Result<Response> {
    let page = events::page(app, visit, None, app.clock.now()).await?;
    let mut conflict = Conflict::new("Offices and levels", PATH.to_owned(), old.version);
    let (theirs, mine) = (old.snapshot(), new.snapshot());
    for (field, label) in [
        ("offices", "Offices"),
        ("sponsor levels", "Sponsor levels"),
        ("invited before burn day", "Invite before burn day"),
        ("invitations signed by", "Invitations signed by"),
        ("words a minute", "Words per minute"),
    ] {
        let text = |value: &Value| value[field].as_str().map_or_else(|| value[field].to_string(), str::to_owned);
        conflict.compare(label, &text(&theirs), &text(&mine));
    }
    for line in form.offices() {
        let fields = [
            ("office", line.id.to_string()),
            ("office_place", line.place),
            ("office_name", line.name),
            ("office_level", line.level),
            ("office_address", line.address),
            ("office_town", line.town),
        ];
        for (name, value) in fields {
            conflict.silent(name, &value);
        }
    }
    for line in form.sponsors() {
        let fields = [("sponsor", line.id.to_string()), ("sponsor_place", line.place), ("sponsor_name", line.name)];
        for (name, value) in fields {
            conflict.silent(name, &value);
        }
    }
    for (level, days, basis) in form.leads() {
        for (name, value) in [("lead_level", level), ("lead_days", days), ("lead_basis", basis)] {
            conflict.silent(name, &value);
        }
    }
    conflict.silent("signer", &form.signer);
    conflict.silent("rate", &form.rate);
    conflict::show(page, &conflict)
}
