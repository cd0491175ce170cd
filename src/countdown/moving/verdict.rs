//! What another burn day would do, in words.

use crate::calc::calendar::Basis;
use crate::calc::plan::Move;
use crate::countdown::earliest::Holding;
use crate::countdown::{MoveLine, Outlook};
use crate::web::words::{self, Reader};
use std::collections::BTreeSet;
use time::Date;

/// Whether the plan can meet the new day.
pub(super) fn verdict(found: &Move, to: Date) -> String {
    let days = words::days(found.spare.unsigned_abs(), Basis::Calendar);
    match found.spare {
        ..0 => {
            let (day, earliest) = (Reader::App.day(to), Reader::App.day(found.earliest_burn_day));
            format!("{day} is not possible. The earliest possible day is {earliest}, {days} later.")
        }
        0 => "Possible, with no slack.".to_owned(),
        _ => format!("Possible, {days} of slack."),
    }
}

/// The same if nothing has to be done again.
pub(super) fn at_best_says(found: &Move) -> String {
    let days = words::days(found.spare.unsigned_abs(), Basis::Calendar);
    match found.spare {
        ..0 => {
            let earliest = Reader::App.day(found.earliest_burn_day);
            format!("Even if nothing has to be done again, the earliest possible day is {earliest}.")
        }
        0 => "If nothing has to be done again, it is possible, with no slack.".to_owned(),
        _ => format!("If nothing has to be done again, it is possible, with {days} of slack."),
    }
}

/// What sets the earliest day.
pub(super) fn why(outlook: &Outlook, found: &Move, holding: &Holding) -> String {
    let first = found.chain.first().map(|step| outlook.tasks[step.task].details.title.as_str());
    let first = first.map(|title| format!("The first task on the critical path is “{title}”.")).unwrap_or_default();
    format!("{first} {}", holding.says).trim().to_owned()
}

/// How much would be open in all places, and in words.
pub(super) fn opens(places: &[(&'static str, Vec<MoveLine>)]) -> (usize, String) {
    let (mut all, mut parts) = (0, Vec::new());
    for (place, lines) in places {
        // A permit may have two lines, and is one thing.
        let open: BTreeSet<&str> = lines.iter().filter(|line| line.is_open).map(|line| line.href.as_str()).collect();
        let (one, many) = match *place {
            "Crew" => ("position", "positions"),
            "Loans" => ("loan", "loans"),
            "Rooms" => ("item", "items"),
            _ => ("permit or notice", "permits and notices"),
        };
        if !open.is_empty() {
            all += open.len();
            parts.push(words::count(open.len(), one, many));
        }
    }
    let says = match parts.as_slice() {
        [] => String::new(),
        [one] => format!("{one} would not be confirmed for that day."),
        [rest @ .., last] => format!("{} and {last} would not be confirmed for that day.", rest.join(", ")),
    };
    (all, says)
}

/// "3 days later", "1 day earlier", "no change".
pub(super) fn signed_days(days: i64) -> String {
    let number = words::days(u32::try_from(days.abs()).unwrap_or(u32::MAX), Basis::Calendar);
    match days {
        0 => "no change".to_owned(),
        1.. => format!("{number} later"),
        _ => format!("{number} earlier"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_would_be_open_is_counted_once_each() {
        let line = |href: &str, is_open: bool| MoveLine {
            what: String::new(),
            beneath: String::new(),
            href: href.to_owned(),
            is_open,
        };
        let crew = vec![line("/crew/positions/1", true), line("/crew/ask", false)];
        assert_eq!(opens(&[("Crew", Vec::new())]), (0, String::new()));
        assert_eq!(opens(&[("Crew", crew.clone())]), (1, "1 position would not be confirmed for that day.".to_owned()));
        let loans = vec![line("/loans/1", true), line("/loans/2", true), line("/loans/3", false)];
        let permits = vec![line("/permits/1", true), line("/permits/1", true)];
        let (many, says) = opens(&[("Crew", crew), ("Loans", loans), ("Permits and notices", permits)]);
        assert_eq!((many, says.matches(" and ").count(), says.contains("2 loans")), (4, 1, true), "{says}");
    }
}
