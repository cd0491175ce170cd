//! The reminders there are, worked out from what is known now.

use super::store::{self, Became};
use super::{EventRule, step};
use crate::accounts::{Account, Role};
use crate::asks::{self, Answer, Request, Said};
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::plan::PlanStatus;
use crate::calc::reminder::{By, CREW_FINAL_CHECK, Fate, Kind, Limits, Mail, Quiet, Reminder, fates, mails};
use crate::countdown::{Outlook, Task};
use crate::crew::CallSheets;
use crate::events::Event;
use crate::loans::Out;
use crate::people::Person;
use crate::web::words::{self, Reader};
use std::collections::{BTreeMap, HashMap, HashSet};
use time::macros::time;
use time::{Date, Duration, OffsetDateTime, PrimitiveDateTime, Time, Weekday};

/// No one is asked again within this many days of being asked.
const PATIENCE: i64 = 3;
/// Owners hear about a task this many working days before it is due.
const SOON: u32 = 2;
const MORNING: Time = time!(9:00);
/// The officer's weekly summary comes before work starts.
const BEFORE_WORK: Time = time!(8:00);
const EVENING: Time = time!(20:00);
const AFTER_WORK: Time = time!(18:00);

/// What a reminder is about.
#[derive(Debug, Clone)]
pub(super) enum About {
    Question {
        request: Box<Request>,
        kind: Kind,
    },
    Task {
        id: i64,
        title: String,
        due: Date,
        is_late: bool,
    },
    /// Something borrowed that has to go back.
    Loan(Out),
    /// The week that starts on this Monday.
    Week(Date),
}

impl About {
    /// What it is for, as a mark.
    pub fn step(&self) -> &'static str {
        match self {
            Self::Question { kind: Kind::Chase, .. } => "chase",
            Self::Question { kind: Kind::Remind, .. } => "remind",
            Self::Question { kind: Kind::LastWord, .. } => "last-word",
            Self::Task { is_late: true, .. } => "task-late",
            Self::Task { .. } => "task-due",
            Self::Loan(_) => "loan",
            Self::Week(_) => "week",
        }
    }
}

/// One reminder to one person.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub key: String,
    pub person_id: i64,
    pub about: About,
    pub by: By,
    pub reminder: Reminder,
    /// What it is about, in a few words,
    pub title: String,
    /// and why it is sent.
    pub why: String,
}

/// Everything reminders are made from.
pub(super) struct Inputs<'a> {
    pub event: &'a Event,
    pub requests: &'a [Request],
    /// What is known now about the loans a question is about.
    pub things: &'a HashMap<i64, Vec<(String, String)>>,
    pub out: &'a [Out],
    pub rules: &'a [EventRule],
    pub outlook: &'a Outlook,
    pub people: &'a HashMap<i64, Person>,
    pub accounts: &'a [Account],
    pub became: &'a [Became],
    pub last_said: &'a HashMap<i64, OffsetDateTime>,
    /// The lines and link of everyone's call sheet.
    pub sheets: &'a CallSheets,
    pub now: OffsetDateTime,
}

impl Inputs<'_> {
    fn wall(&self, at: OffsetDateTime) -> PrimitiveDateTime {
        self.event.details.zone.wall(at)
    }

    fn calendar(&self) -> &Calendar {
        &self.outlook.calendar
    }

    /// All reminders that haven't been settled, by person.
    pub fn lines(&self) -> BTreeMap<i64, Vec<Line>> {
        let settled: HashSet<&str> = self.became.iter().map(|became| became.key.as_str()).collect();
        let mut lines: Vec<Line> = self.requests.iter().flat_map(|request| self.of_question(request)).collect();
        lines.extend(self.outlook.tasks.iter().enumerate().flat_map(|(place, task)| self.of_task(place, task)));
        lines.extend(self.of_week());
        lines.extend(self.out.iter().flat_map(|out| self.of_loan(out)));
        let mut by_person: BTreeMap<i64, Vec<Line>> = BTreeMap::new();
        for line in lines.into_iter().filter(|line| !settled.contains(line.key.as_str())) {
            by_person.entry(line.person_id).or_default().push(line);
        }
        by_person
    }

    fn of_question(&self, request: &Request) -> Vec<Line> {
        let burn_on = self.event.details.burn_on;
        let rules = self.rules.iter().filter(|held| held.kind == request.kind && held.is_on);
        rules
            .filter_map(|held| {
                let due = held.rule.due(burn_on, self.calendar());
                let (still_true, not_after) = self.truth(request, held, due)?;
                Some(Line {
                    key: format!("question/{}/{}/{}", request.id, held.rule.key, self.event.date_revision),
                    person_id: request.person_id,
                    by: held.rule.by,
                    reminder: Reminder { about: request.id, due, not_after, still_true },
                    title: request.question.clone(),
                    why: self.why(request, held),
                    about: About::Question { request: Box::new(request.clone()), kind: held.rule.kind },
                })
            })
            .collect()
    }

    /// Why a rule reminds someone of a question: the dates they haven't answered for, or how
    /// near burn day is.
    fn why(&self, request: &Request, held: &EventRule) -> String {
        if held.rule.kind == Kind::Chase {
            let open = request.live().filter(|ask| ask.stands().is_none());
            let days = open.map(|ask| Reader::App.near_day(ask.for_on, self.outlook.today));
            return format!("no reply yet for {}", days.collect::<Vec<_>>().join(" and "));
        }
        let before = words::days(u32::from(held.rule.days), held.rule.basis);
        format!("{}, {before} before burn day", step(held.rule.kind))
    }

    /// Whether a rule's reminder about a question is still true, and until when. None if
    /// the rule doesn't apply.
    fn truth(&self, request: &Request, held: &EventRule, due: PrimitiveDateTime) -> Option<(bool, PrimitiveDateTime)> {
        let burn_on = self.event.details.burn_on;
        if held.rule.kind == Kind::Chase {
            let asked = self.wall(request.asked_at);
            // Asked too late for this rule.
            if due < asked + Duration::days(PATIENCE) {
                return None;
            }
            let waits = !request.is_withdrawn && request.live().any(|ask| ask.stands().is_none());
            return Some((waits, self.wall(request.closes_at)));
        }
        let stands = request.stands_for(burn_on);
        // They answered since then and have it in writing.
        if stands.is_some_and(|answer| self.wall(answer.at) > due) {
            return None;
        }
        // They confirmed since the final check, so we don't ask on the morning itself.
        let since = burn_on - Duration::days(i64::from(CREW_FINAL_CHECK.days));
        let is_sure = |answer: &Answer| self.wall(answer.at).date() >= since;
        if request.kind == asks::Kind::Post && held.rule.days == 0 && stands.is_some_and(is_sure) {
            return None;
        }
        let comes = stands.is_some_and(|answer| matches!(answer.said, Said::Yes | Said::Deputy));
        let until = if held.rule.days == 0 {
            PrimitiveDateTime::new(burn_on, self.event.details.burn_time)
        } else if held.rule.kind == Kind::Remind {
            PrimitiveDateTime::new(burn_on - Duration::DAY, EVENING)
        } else {
            PrimitiveDateTime::new(due.date() + Duration::DAY, EVENING)
        };
        Some((comes, until))
    }

    /// One for each person responsible for a task.
    fn of_task(&self, place: usize, task: &Task) -> Vec<Line> {
        if task.is_burn || !task.is_open() {
            return Vec::new();
        }
        let (_, row) = self.outlook.row(place);
        let is_late = row.status == PlanStatus::Late;
        let (due, not_after, what) = if is_late {
            let first = self.calendar().after(row.due, 1);
            (PrimitiveDateTime::new(first, MORNING), row.due + Duration::days(30), "late")
        } else {
            (PrimitiveDateTime::new(self.calendar().before(row.due, SOON), MORNING), row.due, "soon")
        };
        // The Countdown shows what was due long before anyone could be reminded.
        if due < self.wall(self.now) - Duration::days(7) {
            return Vec::new();
        }
        let day = Reader::App.near_day(row.due, self.outlook.today);
        let line = |(person_id, key)| Line {
            key,
            person_id,
            by: By::Mail,
            reminder: Reminder {
                about: -task.id,
                due,
                not_after: PrimitiveDateTime::new(not_after, EVENING),
                still_true: true,
            },
            title: task.details.title.clone(),
            why: if is_late { format!("was due {day}") } else { format!("due {day}") },
            about: About::Task { id: task.id, title: task.details.title.clone(), due: row.due, is_late },
        };
        let key = format!("task/{}/{what}/{}", task.id, words::iso(row.due));
        keyed(task.responsible.people(), key).map(line).collect()
    }

    /// Borrowed items go back. Whoever is responsible is reminded on burn-day evening and
    /// the next morning, and the education officer two days later if an item is late.
    /// Common practice, no published source.
    fn of_loan(&self, out: &Out) -> Vec<Line> {
        let burn_on = self.event.details.burn_on;
        let line = |(what, people, days, at): (&str, Vec<i64>, i64, Time)| {
            let on = burn_on + Duration::days(days);
            let key = format!("loan/{}/{what}/{}", out.id, words::iso(out.due));
            let lines = keyed(people.into_iter(), key).map(|(person_id, key)| Line {
                key,
                person_id,
                by: By::Mail,
                reminder: Reminder {
                    about: i64::MIN / 2 + out.id,
                    due: PrimitiveDateTime::new(on, at),
                    not_after: PrimitiveDateTime::new(on + Duration::DAY, EVENING),
                    still_true: true,
                },
                title: format!("Return: {}", out.title),
                why: format!("due back {}", Reader::App.near_day(out.due, self.outlook.today)),
                about: About::Loan(out.clone()),
            });
            lines.collect::<Vec<_>>()
        };
        let officers = self.officers();
        let our_contact = out.our_contact_id.filter(|id| self.reaches(*id).is_some());
        let contacts = our_contact.map_or_else(|| officers.clone(), |id| vec![id]);
        let late = if out.due < burn_on + Duration::days(2) { officers } else { Vec::new() };
        let evening = ("evening", contacts.clone(), 0, AFTER_WORK);
        let all = [evening, ("morning", contacts, 1, BEFORE_WORK), ("late", late, 2, BEFORE_WORK)];
        all.into_iter().flat_map(line).collect()
    }

    /// The education officers, oldest account first.
    fn officers(&self) -> Vec<i64> {
        let officers = self.accounts.iter().filter(|a| a.role == Role::EducationOfficer && !a.disabled);
        let mut officers: Vec<&Account> = officers.collect();
        officers.sort_by_key(|account| account.id);
        officers.into_iter().map(|account| account.person_id).collect()
    }

    /// Each education officer's weekly summaries: this Monday's if it isn't too late, and
    /// the next ones.
    fn of_week(&self) -> Vec<Line> {
        let officers = self.officers();
        let today = self.outlook.today;
        let monday = today - Duration::days(i64::from(today.weekday().number_days_from_monday()));
        let mondays = (0..3).map(|weeks| monday + Duration::weeks(weeks));
        mondays
            .filter(|monday| *monday <= self.event.details.burn_on && monday.weekday() == Weekday::Monday)
            .flat_map(|monday| {
                let key = format!("week/{}/{}", self.event.id, words::iso(monday));
                keyed(officers.iter().copied(), key).map(move |(person_id, key)| (monday, person_id, key))
            })
            .map(|(monday, person_id, key)| Line {
                key,
                person_id,
                by: By::Mail,
                reminder: Reminder {
                    about: i64::MIN,
                    due: PrimitiveDateTime::new(monday, BEFORE_WORK),
                    not_after: PrimitiveDateTime::new(monday, EVENING),
                    still_true: true,
                },
                title: "Weekly summary".to_owned(),
                why: "every Monday".to_owned(),
                about: About::Week(monday),
            })
            .collect()
    }

    /// The person, if email reaches them.
    pub fn reaches(&self, person_id: i64) -> Option<&Person> {
        self.people.get(&person_id).filter(|person| person.has_mail())
    }

    fn limits(&self, person_id: i64) -> Limits {
        let last = self.last_said.get(&person_id);
        Limits {
            quiet: Quiet::default(),
            burn_on: self.event.details.burn_on,
            last_mail_on: last.map(|at| store::day(self.event, *at)),
        }
    }

    /// The emails one person will get if nothing changes.
    pub fn mails(&self, person_id: i64, lines: &[Line]) -> Vec<Mail> {
        let by_mail: Vec<Reminder> = lines.iter().map(|line| self.by_mail(line)).collect();
        mails(&by_mail, self.wall(self.now), self.limits(person_id))
    }

    /// What happens to them now.
    pub fn fates(&self, lines: &[Line]) -> Vec<Fate> {
        let by_mail: Vec<Reminder> = lines.iter().map(|line| self.by_mail(line)).collect();
        fates(&by_mail, self.wall(self.now))
    }

    /// The reminder as an email. One that needs a call isn't an email.
    fn by_mail(&self, line: &Line) -> Reminder {
        let goes = line.by == By::Mail && self.reaches(line.person_id).is_some();
        Reminder { still_true: line.reminder.still_true && goes, ..line.reminder }
    }

    /// Is it a call to make, because the rule says so or email doesn't reach them?
    pub fn is_call(&self, line: &Line) -> bool {
        let about_question = matches!(line.about, About::Question { .. });
        about_question && line.reminder.still_true && (line.by == By::Phone || self.reaches(line.person_id).is_none())
    }
}

/// A key for each of several people who get the same reminder. The first, with the oldest
/// account, has the plain key, so that they don't get it twice when someone else gets
/// the role, too.
fn keyed(people: impl Iterator<Item = i64>, key: String) -> impl Iterator<Item = (i64, String)> {
    let name = move |(place, id): (usize, i64)| (id, if place == 0 { key.clone() } else { format!("{key}/{id}") });
    people.enumerate().map(name)
}

/// How a rule's days are counted, as forms have it.
pub(super) fn basis(text: &str) -> Option<Basis> {
    match text {
        "calendar" => Some(Basis::Calendar),
        "working" => Some(Basis::Working),
        _ => None,
    }
}
