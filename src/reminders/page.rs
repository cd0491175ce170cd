//! The page of what goes out next, what must be called about, and the rules.

use super::due::Inputs;
use super::event_rule::{EventRule, by, step};
use super::line::Line;
use super::loaded::Loaded;
use super::store::Became;
use crate::accounts::{Private, Visit};
use crate::asks;
use crate::calc::calendar::Basis;
use crate::calc::reminder::{By, Mail};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people::Person;
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use askama::Template;
use std::collections::HashMap;
use time::{Duration, OffsetDateTime, PrimitiveDateTime};

/// How far ahead the page looks.
const AHEAD: Duration = Duration::days(14);
/// The most earlier reminders to show.
const MOST_PAST: usize = 40;

#[derive(Template)]
#[template(path = "reminders/index.html")]
pub(super) struct Index {
    pub page: Page,
    pub event_id: i64,
    pub mails: Vec<MailLine>,
    pub calls: Vec<CallLine>,
    pub past: Vec<PastLine>,
    pub rules: Vec<RuleLine>,
    pub mistakes: Mistakes,
    /// The rule with a mistake in its form.
    pub wrong: String,
}

impl Index {
    /// The first field of the rule's form with a mistake.
    fn mistake_of(&self) -> &'static str {
        let all = ["days", "at", "basis"];
        all.into_iter().find(|field| !self.mistakes.of(field).is_empty()).unwrap_or("basis")
    }
}

/// An email that will go out.
pub(super) struct MailLine {
    pub when: String,
    /// The same in machine form.
    pub moment: String,
    pub at: PrimitiveDateTime,
    pub who: String,
    pub items: Vec<ItemLine>,
}

pub(super) struct ItemLine {
    pub key: String,
    /// What it is for, as a mark.
    pub step: &'static str,
    pub title: String,
    pub why: String,
}

pub(super) struct CallLine {
    pub when: String,
    pub at: PrimitiveDateTime,
    pub who: String,
    pub phone: String,
    pub key: String,
    /// What it is for, and why it is a call, as marks.
    pub step: &'static str,
    pub reason: &'static str,
    pub title: String,
    pub why: String,
}

pub(super) struct PastLine {
    pub when: String,
    pub who: String,
    pub title: String,
    pub became: String,
    /// The same as a mark.
    pub mark: String,
}

pub(super) struct RuleLine {
    pub kind: asks::Kind,
    /// Its key among those of its kind.
    pub rule: &'static str,
    /// Is it the first of its kind?
    pub begins: bool,
    pub step: &'static str,
    pub by: &'static str,
    pub is_on: bool,
    pub days: String,
    pub basis: String,
    pub at: String,
    pub version: i64,
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
            basis: if held.rule.basis == Basis::Working { "working" } else { "calendar" }.to_owned(),
            at: words::iso_time(held.rule.at),
            version: held.version,
        }
    }

    pub fn id(&self) -> String {
        format!("{}-{}", self.kind, self.rule)
    }
}

/// The event with this number.
pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

pub(super) async fn view(app: &App, visit: &Visit, event: &Event, now: OffsetDateTime) -> Result<Index> {
    let page = events::page(app, visit, Some(event), now).await?.titled("Scheduled");
    let loaded = Loaded::of(app, event, now).await?;
    let known = loaded.known(event, now);
    let (mut mails, mut calls) = (Vec::new(), Vec::new());
    for (person_id, lines) in known.lines() {
        mails.extend(known.mails(person_id, &lines).iter().filter_map(|mail| mail_line(&known, mail, &lines)));
        calls.extend(lines.iter().filter_map(|line| call_line(&known, line, visit)));
    }
    mails.sort_by(|a, b| (a.at, &a.who).cmp(&(b.at, &b.who)));
    calls.sort_by(|a, b| (a.at, &a.who).cmp(&(b.at, &b.who)));
    let past = loaded.became.iter().filter(|became| is_news(became)).take(MOST_PAST);
    Ok(Index {
        page,
        event_id: event.id,
        past: past.map(|became| past_line(became, event, &loaded.people)).collect(),
        mails,
        calls,
        rules: RuleLine::all(&loaded.rules),
        mistakes: Mistakes::default(),
        wrong: String::new(),
    })
}

fn name(people: &HashMap<i64, Person>, id: i64) -> String {
    people.get(&id).map_or("name erased", |person| person.details.name.as_str()).to_owned()
}

/// An email, if it goes out soon.
fn mail_line(known: &Inputs<'_>, mail: &Mail, lines: &[Line]) -> Option<MailLine> {
    let wall = known.wall(known.now);
    let first = lines.first().filter(|_| mail.at <= wall + AHEAD)?;
    let item = |place: &usize| ItemLine {
        key: lines[*place].key.clone(),
        step: lines[*place].about.step(),
        title: lines[*place].title.clone(),
        why: lines[*place].why.clone(),
    };
    let goes_at = mail.at.max(wall);
    Some(MailLine {
        when: Reader::App.moment(goes_at),
        moment: format!("{}T{}", words::iso(goes_at.date()), words::iso_time(goes_at.time())),
        at: mail.at,
        who: name(known.people, first.person_id),
        items: mail.says.iter().map(item).collect(),
    })
}

/// A call, if it is due soon and still of use.
fn call_line(known: &Inputs<'_>, line: &Line, visit: &Visit) -> Option<CallLine> {
    let (wall, due) = (known.wall(known.now), line.reminder.due);
    if !known.is_call(line) || due > wall + AHEAD || line.reminder.not_after < wall {
        return None;
    }
    let is_by_rule = line.by == By::Phone;
    let person = known.people.get(&line.person_id);
    Some(CallLine {
        when: Reader::App.near_day(due.date().max(wall.date()), wall.date()),
        at: due,
        who: name(known.people, line.person_id),
        phone: person.map(|person| visit.user.shown(Private::Contact, &person.details.phone)).unwrap_or_default(),
        key: line.key.clone(),
        step: line.about.step(),
        reason: if is_by_rule { "rule" } else { "no-mail" },
        title: line.title.clone(),
        why: if is_by_rule { line.why.clone() } else { format!("{}; email doesn't reach them", line.why) },
    })
}

/// No one needs to look into a missed weekly summary.
fn is_news(became: &Became) -> bool {
    became.became != "covered" && (became.became != "expired" || !became.key.starts_with("week/"))
}

fn past_line(became: &Became, event: &Event, people: &HashMap<i64, Person>) -> PastLine {
    PastLine {
        when: Reader::App.moment(event.details.zone.wall(became.at)),
        who: name(people, became.person_id),
        title: became.title.clone(),
        mark: became.became.clone(),
        became: match became.became.as_str() {
            "said" => "added to outgoing email".to_owned(),
            "skipped" => "canceled or done".to_owned(),
            "expired" => "too late to send".to_owned(),
            other => other.to_owned(),
        },
    }
}
