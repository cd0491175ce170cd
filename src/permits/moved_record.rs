//! What another date, place or time means for one record.

use super::records::Records;
use crate::calc::calendar::Calendar;
use crate::calc::notice::Heard;
use crate::countdown::MoveLine;
use crate::events::Details;
use crate::permit_records::{Permit, Rule, deadline_says, heard_says};
use crate::web::words::Reader;
use time::Date;

/// What the change means for one record, with how soon each line matters.
pub(super) fn lines(permit: &Permit, from: &Details, to: &Details, records: &Records) -> Vec<(u8, MoveLine)> {
    let (calendar, today) = (&records.calendar, records.today);
    let title = &permit.details.title;
    let near = |day: &Date| Reader::App.near_day(*day, today);
    let all = |days: &[Date]| days.iter().map(near).collect::<Vec<_>>().join(" and ");
    // Up to an expiration, the date isn't covered. After that come its other facts.
    let line = |order: u8, what: String, beneath: String| {
        (order, MoveLine { what, beneath, href: permit.href(), is_open: order <= 2 })
    };
    let mut lines = Vec::new();
    let mut sent_again = false;
    if from.dates() != to.dates() {
        if let Some((is_late, told)) = send_again(permit, to, calendar, today) {
            sent_again = true;
            lines.push(line(u8::from(!is_late), told.0, told.1));
        }
        let named: Vec<Date> = to.dates().into_iter().filter(|day| permit.names(*day)).collect();
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
        let beyond: Vec<Date> = to.dates().into_iter().filter(|day| expires < *day).collect();
        if !beyond.is_empty() {
            let beneath = format!("ask {} to extend it or issue a new one", permit.whom());
            lines.push(line(2, format!("{title}: expires {}, before {}", near(&expires), all(&beyond)), beneath));
        }
    }
    let both: Vec<Date> = from.dates().into_iter().chain(to.dates()).collect();
    // If it is sent again anyway, it will have the new place and time.
    let newest = permit.newest_for(&both).filter(|_| !sent_again);
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
