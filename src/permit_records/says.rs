//! Rules of notice and what was done about them, in words.

use super::Rule;
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::notice::{self, Counted, Heard};
use crate::web::words;
use time::Date;

/// "10 working days before, counted when received".
#[must_use]
pub fn notice_says(rule: notice::Rule) -> String {
    let days = words::days(u32::from(rule.days), rule.basis);
    let from = match rule.counted {
        Counted::Sent => "sent",
        Counted::Received => "received",
    };
    format!("{days} before, counted when {from}")
}

/// The rule of a record in one sentence.
#[must_use]
pub fn rule_says(rule: &Rule) -> String {
    match rule {
        Rule::NotAsked => "not yet asked".to_owned(),
        Rule::None(_) => "none: the authority asks for no notice".to_owned(),
        Rule::Days { rule, dates, .. } => {
            let delivery = match (rule.counted, rule.delivery) {
                (Counted::Received, days @ 1..) => {
                    format!(", {} allowed for delivery", words::days(u32::from(days), Basis::Calendar))
                }
                _ => String::new(),
            };
            let dates = match dates {
                super::DatesOnIt::Both => "burn day and rain date",
                one => one.as_str(),
            };
            format!("{}{delivery}; {dates} on it", notice_says(*rule))
        }
    }
}

/// The last day for a date: "must arrive by Mon 27 Sep, 10 working days before;
/// send it by Fri 24 Sep".
#[must_use]
pub fn deadline_says(rule: notice::Rule, calendar: &Calendar, day: Date, today: Date) -> String {
    let near = |day| words::near_day(day, today);
    let (by, days) = (near(rule.deadline(calendar, day)), words::days(u32::from(rule.days), rule.basis));
    match rule.counted {
        Counted::Sent => format!("must be sent by {by}, {days} before"),
        Counted::Received => {
            let send_by = rule.send_by(calendar, day);
            format!("must arrive by {by}, {days} before; send it by {}", near(send_by))
        }
    }
}

/// What an authority has heard of a date.
#[must_use]
pub fn heard_says(heard: Heard, counted: Counted, today: Date) -> String {
    let near = |day| words::near_day(day, today);
    let told = if counted == Counted::Sent { "sent" } else { "received" };
    match heard {
        Heard::Granted => "granted".to_owned(),
        Heard::InTime(on) => format!("{told} {}, in time", near(on)),
        Heard::UnderWay(on) => format!("sent {}, arrival not confirmed", near(on)),
        Heard::TooLate(on) => format!("{told} {}, too late by the rule", near(on)),
        Heard::Not => "not sent for it".to_owned(),
    }
}
