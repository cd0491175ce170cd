use super::due::{Line, basis};
use super::store;
use super::tick::Loaded;
use super::{EventRule, by, step};
use crate::accounts::{Officer, Private, SignedIn, Visit};
use crate::asks;
use crate::calc::reminder::{By, Rule};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::{Duration, OffsetDateTime, PrimitiveDateTime};

/// How far ahead the page looks.
const AHEAD: Duration = Duration::days(14);
/// The most earlier reminders to show.
const MOST_PAST: usize = 40;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/scheduled", get(index))
        .route("/events/{id}/scheduled/skip", post(skip))
        .route("/events/{id}/scheduled/rules", post(save_rule))
}

#[derive(Template)]
#[template(path = "reminders/index.html")]
struct Index {
    page: Page,
    event_id: i64,
    mails: Vec<MailLine>,
    calls: Vec<CallLine>,
    past: Vec<PastLine>,
    rules: Vec<RuleLine>,
    mistakes: Mistakes,
    /// The rule with a mistake in its form.
    wrong: String,
}

/// An email that will go out.
struct MailLine {
    when: String,
    /// The same in machine form.
    moment: String,
    at: PrimitiveDateTime,
    who: String,
    items: Vec<ItemLine>,
}

struct ItemLine {
    key: String,
    /// What it is for, as a mark.
    step: &'static str,
    title: String,
    why: String,
}

struct CallLine {
    when: String,
    at: PrimitiveDateTime,
    who: String,
    phone: String,
    key: String,
    /// What it is for, and why it is a call, as marks.
    step: &'static str,
    reason: &'static str,
    title: String,
    why: String,
}

struct PastLine {
    when: String,
    who: String,
    title: String,
    became: String,
    /// The same as a mark.
    mark: String,
}

struct RuleLine {
    kind: asks::Kind,
    /// Its key among those of its kind.
    rule: &'static str,
    /// Is it the first of its kind?
    begins: bool,
    step: &'static str,
    by: &'static str,
    is_on: bool,
    days: String,
    basis: String,
    at: String,
    version: i64,
}

impl RuleLine {
    fn all(rules: &[EventRule]) -> Vec<Self> {
        let before = std::iter::once(None).chain(rules.iter().map(|held| Some(held.kind)));
        rules.iter().zip(before).map(|(held, before)| Self::of(held, before != Some(held.kind))).collect()
    }

    fn of(held: &EventRule, begins: bool) -> Self {
        Self {
            kind: held.kind,
            rule: held.rule.key,
            begins,
            step: step(held.rule.kind),
            by: by(held.rule.by),
            is_on: held.is_on,
            days: held.rule.days.to_string(),
            basis: if held.rule.basis == crate::calc::calendar::Basis::Working { "working" } else { "calendar" }
                .to_owned(),
            at: words::iso_time(held.rule.at),
            version: held.version,
        }
    }

    fn id(&self) -> String {
        format!("{}-{}", self.kind, self.rule)
    }
}

async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    show(&view(&app, &visit, &event, app.clock.now()).await?)
}

async fn view(app: &App, visit: &Visit, event: &Event, now: OffsetDateTime) -> Result<Index> {
    let page = events::page(app, visit, Some(event), now).await?.titled("Scheduled");
    let loaded = Loaded::of(app, event, now).await?;
    let known = loaded.known(event, now);
    let wall = event.details.zone.wall(now);
    let until = wall + AHEAD;
    let name = |id: i64| loaded.people.get(&id).map_or("name erased", |person| person.details.name.as_str());
    let (mut mails, mut calls) = (Vec::new(), Vec::new());
    for (person_id, lines) in known.lines() {
        for mail in known.mails(person_id, &lines).into_iter().filter(|mail| mail.at <= until) {
            let item = |place: &usize| ItemLine {
                key: lines[*place].key.clone(),
                step: lines[*place].about.step(),
                title: lines[*place].title.clone(),
                why: lines[*place].why.clone(),
            };
            let goes_at = mail.at.max(wall);
            mails.push(MailLine {
                when: Reader::App.moment(goes_at),
                moment: format!("{}T{}", words::iso(goes_at.date()), words::iso_time(goes_at.time())),
                at: mail.at,
                who: name(person_id).to_owned(),
                items: mail.says.iter().map(item).collect(),
            });
        }
        let person = loaded.people.get(&person_id);
        let due = |line: &&Line| known.is_call(line) && line.reminder.due <= until && line.reminder.not_after >= wall;
        calls.extend(lines.iter().filter(due).map(|line| CallLine {
            when: Reader::App.near_day(line.reminder.due.date().max(wall.date()), wall.date()),
            at: line.reminder.due,
            who: name(person_id).to_owned(),
            phone: person.map(|person| visit.user.shown(Private::Contact, &person.details.phone)).unwrap_or_default(),
            key: line.key.clone(),
            step: line.about.step(),
            reason: if line.by == By::Phone { "rule" } else { "no-mail" },
            title: line.title.clone(),
            why: if line.by == By::Phone {
                line.why.clone()
            } else {
                format!("{}; email doesn't reach them", line.why)
            },
        }));
    }
    mails.sort_by(|a, b| (a.at, &a.who).cmp(&(b.at, &b.who)));
    calls.sort_by(|a, b| (a.at, &a.who).cmp(&(b.at, &b.who)));
    // No one needs to look into a missed weekly summary.
    let is_news = |became: &&store::Became| {
        became.became != "covered" && (became.became != "expired" || !became.key.starts_with("week/"))
    };
    let past = loaded.became.iter().filter(is_news).take(MOST_PAST);
    let past = past.map(|became| PastLine {
        when: Reader::App.moment(event.details.zone.wall(became.at)),
        who: name(became.person_id).to_owned(),
        title: became.title.clone(),
        mark: became.became.clone(),
        became: match became.became.as_str() {
            "said" => "added to outgoing email".to_owned(),
            "skipped" => "canceled or done".to_owned(),
            "expired" => "too late to send".to_owned(),
            other => other.to_owned(),
        },
    });
    Ok(Index {
        page,
        event_id: event.id,
        past: past.collect(),
        mails,
        calls,
        rules: RuleLine::all(&loaded.rules),
        mistakes: Mistakes::default(),
        wrong: String::new(),
    })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct SkipForm {
    key: String,
}

async fn skip(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<SkipForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let loaded = Loaded::of(&app, &event, now).await?;
    let here = format!("/events/{id}/scheduled");
    let found = {
        let known = loaded.known(&event, now);
        let line = known.lines().into_values().flatten().find(|line| line.key == form.key);
        line.map(|line| (known.is_call(&line), line))
    };
    let Some((is_call, line)) = found else {
        return Ok(flash::redirect(&here, "Nothing changed. This reminder was already sent or is no longer needed."));
    };
    let actor = visit.user.actor();
    let skip = app.db.write(move |tx| {
        Box::pin(async move { store::skip(tx, actor, (&line.key, id, line.person_id), &line.title, now).await })
    });
    let said = match (skip.await?, is_call) {
        (true, true) => "Saved. This call is off the list.",
        (true, false) => "Canceled. This reminder won't go out.",
        (false, _) => "Nothing changed. This reminder was already sent or taken care of.",
    };
    Ok(flash::redirect(&here, said))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct RuleForm {
    kind: String,
    rule: String,
    on: String,
    days: String,
    basis: String,
    at: String,
    version: i64,
}

impl RuleForm {
    fn read(&self, rules: &[EventRule]) -> Result<EventRule, Mistakes> {
        let mut mistakes = Mistakes::default();
        let rule = rules.iter().find(|held| held.kind.as_str() == self.kind && held.rule.key == self.rule);
        let days = mistakes.note("days", form::number(&self.days, 0_u16, 400));
        let basis = mistakes.note("basis", basis(&self.basis).ok_or("Choose calendar or working days.".to_owned()));
        let at = mistakes.note("at", form::time_of_day(&self.at));
        match (rule, days, basis, at) {
            (Some(held), Some(days), Some(basis), Some(at)) => Ok(EventRule {
                rule: Rule { days, basis, at, ..held.rule },
                is_on: self.on == "yes",
                version: self.version,
                ..*held
            }),
            (None, ..) => {
                mistakes.add("days", "This rule doesn't exist. Reload the page and try again.");
                Err(mistakes)
            }
            _ => Err(mistakes),
        }
    }
}

async fn save_rule(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<RuleForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let rules = store::rules(&mut *app.db.read().acquire().await?, id).await?;
    let here = format!("/events/{id}/scheduled");
    let new = match form.read(&rules) {
        Ok(new) => new,
        Err(mistakes) => {
            let mut page = view(&app, &visit, &event, now).await?;
            page.wrong = format!("{}-{}", form.kind, form.rule);
            if let Some(line) = page.rules.iter_mut().find(|line| line.id() == page.wrong) {
                (line.days, line.basis, line.at) = (form.days, form.basis, form.at);
                line.is_on = form.on == "yes";
            }
            page.mistakes = mistakes;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let actor = visit.user.actor();
    let saved =
        app.db.write(move |tx| Box::pin(async move { store::save_rule(tx, actor, &event, &new, now).await })).await?;
    let said = if saved {
        "Rule saved. The schedule below follows it."
    } else {
        "Not saved: someone else changed this rule in the meantime. Check it, then make your change again."
    };
    Ok(flash::redirect(&here, said))
}
