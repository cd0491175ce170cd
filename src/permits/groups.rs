//! The records in groups, by what they need.

use super::problem_line::{ProblemLine, problem_lines};
use super::records::Seen;
use crate::countdown::Outlook;
use crate::permit_records::{ASK, Permit, Problem, Rule, rule_says};

/// A record on one line, with its problems beneath.
pub(super) struct Line {
    pub href: String,
    pub title: String,
    pub beneath: String,
    pub problems: Vec<ProblemLine>,
    pub stands: String,
    pub is_late: bool,
    pub sign: &'static str,
    /// How late the task for it is, by the plan; empty if it isn't.
    pub overdue: String,
}

/// Records with the same status.
pub(super) struct Group {
    pub heading: &'static str,
    /// What the group is, for scripts and tests.
    pub mark: &'static str,
    pub about: &'static str,
    pub lines: Vec<Line>,
}

impl Line {
    fn of(seen: &Seen<'_>, permit: &Permit, problems: &[Problem]) -> Self {
        let details = &permit.details;
        let mut parts = vec![details.kind.to_string()];
        if !details.authority.is_empty() {
            parts.push(details.authority.clone());
        }
        if !details.number.is_empty() {
            parts.push(format!("no. {}", details.number));
        }
        if details.rule != Rule::NotAsked {
            parts.push(rule_says(&details.rule));
        }
        let is_late = problems.iter().any(|problem| problem.is_late(seen.today));
        Self {
            href: permit.href(),
            title: details.title.clone(),
            beneath: parts.join(" · "),
            problems: problem_lines(seen, permit, problems),
            stands: seen.stands(permit),
            is_late,
            sign: match () {
                () if is_late => "late",
                () if permit.is_granted(&seen.event.details) => "done",
                () if problems.iter().any(|problem| problem.is_pressing(seen.today)) => "risk",
                () if permit.names(seen.event.details.burn_on) => "waiting",
                () => "todo",
            },
            overdue: String::new(),
        }
    }
}

/// Records by what they need. One whose task is late needs attention, too.
pub(super) fn groups(seen: &Seen<'_>, outlook: &Outlook, permits: &[Permit]) -> Vec<Group> {
    let mut groups = [
        ("Needs attention", "due", ""),
        ("Notice rule not known yet", "ask", ASK),
        ("Not granted yet", "open", ""),
        ("Granted", "granted", ""),
    ]
    .map(|(heading, mark, about)| Group { heading, mark, about, lines: Vec::new() });
    for permit in permits {
        let mut problems = seen.problems(permit);
        let asks = problems.contains(&Problem::AskRule);
        let is_unsent = permit.details.granted_on.is_none() && !permit.names(seen.event.details.burn_on);
        let open_task = permit.details.task_id.filter(|_| is_unsent);
        let overdue = open_task.and_then(|task| outlook.overdue(task));
        let place = match () {
            () if overdue.is_some() => 0,
            () if problems.iter().any(|problem| problem.is_pressing(seen.today)) => 0,
            () if asks => 1,
            () if permit.details.granted_on.is_some() => 3,
            () => 2,
        };
        if place == 1 {
            // The heading says it once for all of them.
            problems.retain(|problem| *problem != Problem::AskRule);
        }
        let mut line = Line::of(seen, permit, &problems);
        if let Some(overdue) = overdue {
            line.sign = "late";
            line.overdue = overdue;
        }
        groups[place].lines.push(line);
    }
    groups[0].lines.sort_by_key(|line| !line.is_late);
    groups.into_iter().filter(|group| !group.lines.is_empty()).collect()
}
