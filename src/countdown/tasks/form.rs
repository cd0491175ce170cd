//! The form for a task, and what it means.

use crate::calc::plan::Lead;
use crate::countdown::{Days, Details, LinkTo, Outlook, Owner, Rain, Strand, Task};
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// Empty lines for links at the end of the form.
const SPARE_LINKS: usize = 3;
/// A task waits for at most this many others.
const MOST_LINKS: usize = 60;

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(super) struct TaskForm {
    pub strand: String,
    pub title: String,
    pub takes: String,
    pub owner: String,
    pub person: String,
    pub lead: String,
    pub side: String,
    pub lead_basis: String,
    pub duration: String,
    pub basis: String,
    pub rain: String,
    /// One of each for each link.
    pub earlier: Vec<String>,
    pub lag: Vec<String>,
    pub lag_basis: Vec<String>,
    pub version: i64,
    /// Which button was used: `see` or `save`.
    pub act: String,
}

/// A line of the form, for one link.
#[derive(Debug)]
pub(super) struct LinkLine {
    pub earlier: String,
    pub lag: String,
    pub lag_basis: String,
}

pub const SIDES: [&str; 2] = ["before burn day", "after burn day"];

impl TaskForm {
    pub fn of(task: &Task) -> Self {
        let details = &task.details;
        Self {
            strand: details.strand.to_string(),
            title: details.title.clone(),
            takes: details.takes.clone(),
            owner: details.owner.to_string(),
            person: details.person.clone().unwrap_or_default(),
            lead: details.lead.days.unsigned_abs().to_string(),
            side: SIDES[usize::from(details.lead.days < 0)].to_owned(),
            lead_basis: Days::of(details.lead.basis).to_string(),
            duration: details.duration.to_string(),
            basis: Days::of(details.basis).to_string(),
            rain: details.rain.to_string(),
            earlier: details.links.iter().map(|link| link.earlier.to_string()).collect(),
            lag: details.links.iter().map(|link| link.lag.to_string()).collect(),
            lag_basis: details.links.iter().map(|link| Days::of(link.basis).to_string()).collect(),
            version: task.version,
            act: String::new(),
        }
    }

    /// What a field holds that may be folded away, by its name.
    pub fn value(&self, name: &str) -> String {
        match name {
            "takes" => self.takes.clone(),
            "duration" => format!("{} {}", self.duration, self.basis),
            _ => self.rain.clone(),
        }
    }

    pub fn fresh(strand: Strand) -> Self {
        Self {
            strand: strand.to_string(),
            owner: Owner::EducationOfficer.to_string(),
            lead: "30".to_owned(),
            side: SIDES[0].to_owned(),
            lead_basis: Days::Calendar.to_string(),
            duration: "1".to_owned(),
            basis: Days::Working.to_string(),
            rain: Rain::Keep.to_string(),
            version: 1,
            ..Self::default()
        }
    }

    /// The lines for links: the filled ones, and a few empty ones.
    pub fn links(&self) -> Vec<LinkLine> {
        // The page has no more lines than this. Whatever sends more isn't a browser.
        let lines = (0..self.earlier.len()).filter(|&n| !self.earlier[n].is_empty()).take(MOST_LINKS + SPARE_LINKS);
        let filled = lines.map(|n| LinkLine {
            earlier: self.earlier[n].clone(),
            lag: self.lag.get(n).cloned().unwrap_or_default(),
            lag_basis: self.lag_basis.get(n).cloned().unwrap_or_default(),
        });
        let empty = || LinkLine { earlier: String::new(), lag: "0".to_owned(), lag_basis: Days::Calendar.to_string() };
        filled.chain(std::iter::repeat_with(empty).take(SPARE_LINKS)).collect()
    }

    /// Reads the form for the task with that ID, or for a new one.
    pub fn read(&self, outlook: &Outlook, id: Option<i64>) -> Result<Details, Mistakes> {
        let mut mistakes = Mistakes::default();
        let is_burn = id.and_then(|id| outlook.place(id)).is_some_and(|place| outlook.tasks[place].is_burn);
        let strand = mistakes.note("strand", self.strand.parse());
        let title = mistakes.note("title", form::line(&self.title, 120));
        let takes = mistakes.note("takes", form::paragraph(&self.takes, 2_000));
        let owner = mistakes.note("owner", self.owner.parse());
        let person = mistakes.note("person", form::optional_name(&self.person, 100));
        let lead = mistakes.note("lead", self.lead(is_burn));
        let duration = mistakes.note("duration", form::number(&self.duration, 1, 400));
        let basis = mistakes.note("basis", self.basis.parse::<Days>());
        let rain = mistakes.note("rain", self.rain.parse());
        let links = mistakes.note("links", self.read_links(outlook, id));
        match (strand, title, takes, owner, person, lead, duration, basis, rain, links) {
            (
                Some(strand),
                Some(title),
                Some(takes),
                Some(owner),
                Some(person),
                Some(lead),
                Some(duration),
                Some(basis),
                Some(rain),
                Some(links),
            ) if mistakes.is_empty() => Ok(Details {
                strand,
                title,
                takes,
                owner,
                person: Some(person).filter(|name| !name.is_empty()),
                lead,
                duration: if is_burn { 1 } else { duration },
                basis: if is_burn { Days::Calendar } else { basis }.basis(),
                rain,
                links,
            }),
            _ => Err(mistakes),
        }
    }

    fn lead(&self, is_burn: bool) -> Result<Lead, String> {
        let basis = self.lead_basis.parse::<Days>()?.basis();
        if is_burn {
            return Ok(Lead { days: 0, basis: Days::Calendar.basis() });
        }
        let days = if self.side == SIDES[1] {
            -form::number::<i32>(&self.lead, 1, 400)?
        } else {
            form::number(&self.lead, 0, 1_000)?
        };
        Ok(Lead { days, basis })
    }

    fn read_links(&self, outlook: &Outlook, id: Option<i64>) -> Result<Vec<LinkTo>, String> {
        let mut links: Vec<LinkTo> = Vec::new();
        for line in self.links().iter().filter(|line| !line.earlier.is_empty()) {
            let (lag, basis) = (&line.lag, &line.lag_basis);
            let earlier: i64 = line.earlier.parse().map_err(|_| "Choose the earlier task from the list.")?;
            let place = outlook.place(earlier).ok_or("One of the earlier tasks has been removed. Choose again.")?;
            let title = &outlook.tasks[place].details.title;
            if Some(earlier) == id {
                return Err("A task can't wait for itself. Choose another one.".to_owned());
            }
            if links.iter().any(|link| link.earlier == earlier) {
                return Err(format!("“{title}” is listed twice. Remove one."));
            }
            let lag = if lag.trim().is_empty() { Ok(0) } else { form::number(lag, 0, 400) };
            let lag = lag.map_err(|wrong| format!("Days of waiting after “{title}”: {wrong}"))?;
            links.push(LinkTo { earlier, lag, basis: basis.parse::<Days>()?.basis() });
        }
        if links.len() > MOST_LINKS {
            return Err(format!("A task can wait for at most {MOST_LINKS} others. Remove some."));
        }
        links.sort_by_key(|link| link.earlier);
        Ok(links)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_keeps_its_links_and_offers_more() {
        let form = TaskForm {
            earlier: vec!["3".to_owned(), String::new(), "5".to_owned()],
            lag: vec!["30".to_owned(), "0".to_owned(), "x".to_owned()],
            lag_basis: vec!["calendar".to_owned(); 3],
            ..TaskForm::default()
        };
        let lines = form.links();
        assert_eq!(lines.len(), 2 + SPARE_LINKS);
        assert_eq!((lines[1].earlier.as_str(), lines[1].lag.as_str()), ("5", "x"));
    }
}
