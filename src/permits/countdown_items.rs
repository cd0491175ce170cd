//! What the countdown shows about permits and notices, and what a change of date, place or
//! time means for them.

use super::routes::Records;
use crate::calc::calendar::Calendar;
use crate::calc::notice::Heard;
use crate::countdown::{Call, CountdownItems, Due, MoveLine, Outlook, Owner};
use crate::error::Result;
use crate::events::{Details, Event};
use crate::permit_records::{ASK, Permit, Problem, Rule, deadline_says, heard_says};
use crate::state::App;
use crate::web::words::{self, Reader};
use std::pin::Pin;
use time::{Date, Duration, OffsetDateTime};

/// Ask about notice this many days before the task must begin. Common practice.
const ASK_BEFORE: Duration = Duration::days(14);
/// Renew a permit that expires too soon this many days before it does.
const RENEW_BEFORE: Duration = Duration::days(14);

/// For the countdown: what to ask, send and renew.
#[must_use]
pub fn countdown_items(
    app: App,
    event: Event,
    now: OffsetDateTime,
) -> Pin<Box<dyn Future<Output = Result<CountdownItems>> + Send>> {
    Box::pin(async move {
        let records = Records::load(&app, event.id).await?;
        if records.permits.is_empty() || records.today > event.details.burn_on {
            return Ok(CountdownItems::default());
        }
        let outlook = Outlook::load(&app, &event, now).await?;
        let mut due: Vec<Due> = records.permits.iter().flat_map(|permit| dues(&records, &outlook, permit)).collect();
        due.extend(asks(&records, &outlook));
        // A task shows its permits itself.
        Ok(CountdownItems { due, ..CountdownItems::default() })
    })
}

fn item(records: &Records, permit: &Permit, title: String, beneath: String, on: Date) -> Due {
    let task = records.seen().task(permit).cloned();
    let person = task.as_ref().and_then(|task| task.person_id.zip(task.details.person.clone()));
    let owner = task.map_or(Owner::EducationOfficer, |task| task.details.owner);
    Due {
        title,
        beneath,
        said: String::new(),
        href: permit.href(),
        person,
        owner,
        on,
        call: call(permit),
        is_problem: false,
    }
}

/// The authority's phone.
fn call(permit: &Permit) -> Call {
    Call::Office { name: permit.whom().to_owned(), phone: permit.details.phone.clone() }
}

/// Does this burn need it? Its task says so.
fn is_needed(records: &Records, permit: &Permit) -> bool {
    let task = records.seen().task(permit).cloned();
    task.is_none_or(|task| task.state != crate::countdown::TaskState::NotNeeded)
}

fn dues(records: &Records, outlook: &Outlook, permit: &Permit) -> Vec<Due> {
    if !is_needed(records, permit) {
        return Vec::new();
    }
    let (title, today) = (&permit.details.title, records.today);
    let all = records.seen().problems(permit);
    let lines = all.iter().filter_map(|problem| {
        let says = problem.says(permit, &outlook.calendar, today);
        let (what, on) = match problem {
            Problem::Send { by, .. } => (format!("Send “{title}”"), *by),
            Problem::Arrival { expected, .. } => (format!("Confirm that “{title}” arrived"), *expected),
            Problem::Expires { on, .. } => (format!("Renew “{title}”"), (*on).min(today.max(*on - RENEW_BEFORE))),
            Problem::OldFacts { .. } | Problem::OtherDates { .. } => {
                (format!("Tell {} about “{title}”", permit.whom()), today)
            }
            _ => return None,
        };
        Some(item(records, permit, what, says, on))
    });
    lines.collect()
}

/// The authorities to ask about notice by now, in one line. It is never late: no one knows
/// what an unknown rule requires.
fn asks(records: &Records, outlook: &Outlook) -> Option<Due> {
    let today = records.today;
    let is_time = |permit: &&Permit| {
        let task = permit.details.task_id.and_then(|id| outlook.place(id));
        task.is_none_or(|place| outlook.schedule.rows[place].latest_start - ASK_BEFORE <= today)
    };
    let unknown = records.permits.iter().filter(|permit| permit.details.rule == Rule::NotAsked);
    let unknown: Vec<&Permit> = unknown.filter(|permit| is_needed(records, permit)).filter(is_time).collect();
    if unknown.is_empty() {
        return None;
    }
    let names = unknown.iter().map(|permit| permit.details.title.as_str()).collect::<Vec<_>>().join(", ");
    let (title, beneath) = match unknown.as_slice() {
        [one] => (format!("Ask for the notice rule: {}", one.details.title), ASK.to_owned()),
        all => {
            let many = words::count(all.len(), "permit or notice", "permits and notices");
            (format!("Ask for the notice rules: {many}"), names)
        }
    };
    let (href, call) = match unknown.as_slice() {
        [one] => (one.href(), call(one)),
        _ => (format!("/events/{}/permits", records.event.id), Call::NoOne),
    };
    let owner = Owner::EducationOfficer;
    Some(Due { title, beneath, said: String::new(), href, person: None, owner, on: today, call, is_problem: false })
}

/// What must be sent again, reported or renewed if the event changes to this.
#[must_use]
pub fn moved(
    app: App,
    event: Event,
    to: Details,
    _now: OffsetDateTime,
) -> Pin<Box<dyn Future<Output = Result<Vec<MoveLine>>> + Send>> {
    Box::pin(async move {
        let records = Records::load(&app, event.id).await?;
        let needed = records.permits.iter().filter(|permit| is_needed(&records, permit));
        let mut lines: Vec<(u8, MoveLine)> =
            needed.flat_map(|permit| moves(permit, &event.details, &to, &records.calendar, records.today)).collect();
        lines.sort_by_key(|(order, _)| *order);
        let mut lines: Vec<MoveLine> = lines.into_iter().map(|(_, line)| line).collect();
        if dates(&to) != dates(&event.details) {
            lines.extend(not_asked(&records));
        }
        Ok(lines)
    })
}

fn dates(of: &Details) -> Vec<Date> {
    std::iter::once(of.burn_on).chain(of.rain_on).collect()
}

fn not_asked(records: &Records) -> Option<MoveLine> {
    let unknown = records.permits.iter().filter(|permit| permit.details.rule == Rule::NotAsked);
    let names: Vec<&str> = unknown.map(|permit| permit.details.title.as_str()).collect();
    (!names.is_empty()).then(|| MoveLine {
        what: format!(
            "Ask for the notice rule before you decide: {}",
            words::count(names.len(), "permit or notice", "permits and notices")
        ),
        beneath: names.join(", "),
        href: format!("/events/{}/permits", records.event.id),
        is_open: false,
    })
}

/// What the change means for one record, with how soon each line matters.
fn moves(permit: &Permit, from: &Details, to: &Details, calendar: &Calendar, today: Date) -> Vec<(u8, MoveLine)> {
    let title = &permit.details.title;
    let near = |day: &Date| Reader::App.near_day(*day, today);
    let all = |days: &[Date]| days.iter().map(near).collect::<Vec<_>>().join(" and ");
    // Up to an expiration, the date isn't covered. After that come its other facts.
    let line = |order: u8, what: String, beneath: String| {
        (order, MoveLine { what, beneath, href: permit.href(), is_open: order <= 2 })
    };
    let mut lines = Vec::new();
    let mut sent_again = false;
    if dates(from) != dates(to) {
        if let Some((is_late, told)) = send_again(permit, to, calendar, today) {
            sent_again = true;
            lines.push(line(u8::from(!is_late), told.0, told.1));
        }
        let named: Vec<Date> = dates(to).into_iter().filter(|day| permit.names(*day)).collect();
        let is_good = |day: &&Date| !matches!(permit.heard(calendar, **day), Some(Heard::TooLate(_)));
        let good: Vec<Date> = named.iter().filter(is_good).copied().collect();
        if !good.is_empty() {
            let told = match &permit.details.rule {
                Rule::Days { rule, .. } => permit
                    .heard(calendar, good[0])
                    .map(|heard| heard_says(heard, rule.counted, today))
                    .unwrap_or_default(),
                Rule::NotAsked | Rule::None(_) => String::new(),
            };
            lines.push(line(4, format!("{title}: already has {} on it", all(&good)), told));
        }
    }
    if let Some(expires) = permit.details.expires_on {
        let beyond: Vec<Date> = dates(to).into_iter().filter(|day| expires < *day).collect();
        if !beyond.is_empty() {
            let beneath = format!("ask {} to extend it or issue a new one", permit.whom());
            lines.push(line(2, format!("{title}: expires {}, before {}", near(&expires), all(&beyond)), beneath));
        }
    }
    // If it is sent again anyway, it will have the new place and time.
    let newest = permit.newest_for(&[dates(from), dates(to)].concat()).filter(|_| !sent_again);
    if let Some(newest) = newest.filter(|_| (&from.site, from.burn_time) != (&to.site, to.burn_time)) {
        let site = (newest.site != to.site).then(|| newest.site.clone());
        let hour = (newest.burn_time != to.burn_time).then(|| Reader::App.time(newest.burn_time));
        let old: Vec<String> = hour.into_iter().chain(site).collect();
        if !old.is_empty() {
            let beneath = format!("tell {} before burn day", permit.whom());
            lines.push(line(3, format!("{title}: still says {}", old.join(" and ")), beneath));
        }
    }
    lines
}

/// What must go out again for the new dates: whether its last day has passed, the line and
/// the text beneath it.
fn send_again(permit: &Permit, to: &Details, calendar: &Calendar, today: Date) -> Option<(bool, (String, String))> {
    let title = &permit.details.title;
    let near = |day: Date| Reader::App.near_day(day, today);
    let Rule::Days { rule, .. } = &permit.details.rule else {
        // Without a rule, we can only ask about it, and only if it was sent.
        let names_some = permit.sendings.iter().any(|sending| !sending.names.is_empty());
        let asked = format!("{title}: ask {} about {}", permit.whom(), near(to.burn_on));
        let beneath = "that date isn't on what was sent".to_owned();
        return (names_some && !permit.names(to.burn_on)).then_some((false, (asked, beneath)));
    };
    let wanted = permit.dates_wanted(to);
    let unsent = |day: &Date| matches!(permit.heard(calendar, *day), Some(Heard::Not | Heard::TooLate(_)));
    let days: Vec<Date> = wanted.into_iter().filter(unsent).collect();
    let first = *days.first()?;
    let is_late = rule.send_by(calendar, first) < today;
    let again = if permit.sendings.is_empty() { "send it" } else { "send it again" };
    let for_days = days.iter().map(|day| near(*day)).collect::<Vec<_>>().join(" and ");
    let passed = if is_late { ". That day has passed: ask whether they will still accept it" } else { "" };
    let by = deadline_says(*rule, calendar, first, today);
    Some((is_late, (format!("{title}: {again} for {for_days}"), format!("it {by}{passed}"))))
}
