//! The notice required and what was done about it, in words.

use super::Rule;
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::notice::{self, Counted, Heard};
use crate::web::words::{self, Reader};
use time::Date;

/// "must be received 10 working days before".
#[must_use]
pub fn notice_says(rule: notice::Rule) -> String {
    let days = words::days(u32::from(rule.days), rule.basis);
    let done = match rule.counted {
        Counted::Sent => "sent",
        Counted::Received => "received",
    };
    format!("must be {done} {days} before")
}

/// The notice a record requires, in a few words.
#[must_use]
pub fn rule_says(rule: &Rule) -> String {
    match rule {
        Rule::NotAsked => "not asked yet".to_owned(),
        Rule::None(_) => "no notice required".to_owned(),
        Rule::Days { rule, dates, .. } => {
            let delivery = match (rule.counted, rule.delivery) {
                (Counted::Received, days @ 1..) => {
                    format!(" (allow {} for delivery)", words::days(u32::from(days), Basis::Calendar))
                }
                _ => String::new(),
            };
            format!("{}{delivery}, with the {} on it", notice_says(*rule), dates.label())
        }
    }
}

/// The last day for a date: "must be received by Mon, Sep 27, 10 working days before; send
/// it by Fri, Sep 24".
#[must_use]
pub fn deadline_says(rule: notice::Rule, calendar: &Calendar, day: Date, today: Date) -> String {
    let near = |day| Reader::App.near_day(day, today);
    let (by, days) = (near(rule.deadline(calendar, day)), words::days(u32::from(rule.days), rule.basis));
    match rule.counted {
        Counted::Sent => format!("must be sent by {by}, {days} before"),
        Counted::Received => {
            let send_by = rule.send_by(calendar, day);
            format!("must be received by {by}, {days} before; send it by {}", near(send_by))
        }
    }
}

/// What an authority knows about a date.
#[must_use]
pub fn heard_says(heard: Heard, counted: Counted, today: Date) -> String {
    let near = |day| Reader::App.near_day(day, today);
    let told = if counted == Counted::Sent { "sent" } else { "received" };
    match heard {
        Heard::Granted => "granted".to_owned(),
        Heard::InTime(on) => format!("{told} {}, in time", near(on)),
        Heard::UnderWay(on) => format!("sent {}, not confirmed as received", near(on)),
        Heard::TooLate(on) => format!("{told} {}, too late", near(on)),
        Heard::Not => "not sent yet for this date".to_owned(),
    }
}
