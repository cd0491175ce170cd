//! The form of a gate: what is typed, and how it is read.

use super::decision::{DECISIONS, Decision};
use super::gate::{Choice, Details, Gate, Grade};
use super::measure::{Measure, plain};
use crate::calc::gates::Worse;
use crate::web::form::{Mistakes, line, number, optional_line, paragraph};
use serde::Deserialize;

/// A gate as typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct GateForm {
    pub name: String,
    pub look_at: String,
    pub measure: String,
    pub unit: String,
    pub worse: String,
    pub amber: String,
    pub red: String,
    /// One on each line, "hold: storms forecast".
    pub choices: String,
    pub basis: String,
    pub source: String,
    pub reader: String,
    pub fresh: String,
    pub decisions: Vec<String>,
    pub version: i64,
}

/// A field of the form with its label, for comparing two versions.
pub(super) struct FormField {
    pub name: &'static str,
    pub label: &'static str,
    pub of: fn(&GateForm) -> String,
}

/// All fields, in the form's order.
pub(super) const FORM: [FormField; 12] = [
    FormField { name: "name", label: "Name", of: |form| form.name.clone() },
    FormField { name: "look_at", label: "What to look at", of: |form| form.look_at.clone() },
    FormField { name: "measure", label: "What is read", of: |form| form.measure.clone() },
    FormField { name: "unit", label: "Unit", of: |form| form.unit.clone() },
    FormField { name: "worse", label: "What is worse", of: |form| form.worse.clone() },
    FormField { name: "amber", label: "Hold at", of: |form| form.amber.clone() },
    FormField { name: "red", label: "No burn at", of: |form| form.red.clone() },
    FormField { name: "choices", label: "Choices", of: |form| form.choices.clone() },
    FormField { name: "basis", label: "Basis", of: |form| form.basis.clone() },
    FormField { name: "source", label: "Source", of: |form| form.source.clone() },
    FormField { name: "reader", label: "Who reads it", of: |form| form.reader.clone() },
    FormField { name: "fresh", label: "Minutes a reading counts", of: |form| form.fresh.clone() },
];

/// A week, in minutes.
const LONGEST: u32 = 10_080;
/// At most this many choices, so that they fit on a phone.
const MOST_CHOICES: usize = 8;

/// What is worse: the words in the form.
pub const WORSE: [&str; 2] = ["higher is worse", "lower is worse"];

impl GateForm {
    pub fn fresh() -> Self {
        Self {
            measure: Measure::YesNo.to_string(),
            worse: WORSE[0].to_owned(),
            basis: "local decision".to_owned(),
            fresh: "60".to_owned(),
            decisions: vec![Decision::LastMinutes.to_string()],
            ..Self::default()
        }
    }

    pub fn of(gate: &Gate) -> Self {
        let details = &gate.details;
        let limit = |limit: Option<f64>| limit.map(|limit| plain(limit).replace('−', "-")).unwrap_or_default();
        let choices = details.choices.iter().map(|choice| format!("{}: {}", choice.grade.label(), choice.name));
        Self {
            name: details.name.clone(),
            look_at: details.look_at.clone(),
            measure: details.measure.to_string(),
            unit: details.unit.clone(),
            worse: WORSE[usize::from(details.worse == Worse::Below)].to_owned(),
            amber: limit(details.amber),
            red: limit(details.red),
            choices: choices.collect::<Vec<_>>().join("\n"),
            basis: details.basis.to_string(),
            source: details.source.clone(),
            reader: details.reader.clone(),
            fresh: details.fresh.to_string(),
            decisions: details.decisions.iter().map(ToString::to_string).collect(),
            version: gate.version,
        }
    }

    pub fn has(&self, decision: &str) -> bool {
        self.decisions.iter().any(|known| known == decision)
    }

    /// What was typed. A gate that belongs to a permit stays with it.
    pub fn read(&self, permit_id: Option<i64>) -> Result<Details, Mistakes> {
        let mut mistakes = Mistakes::default();
        let name = mistakes.note("name", line(&self.name, 60));
        let look_at = mistakes.note("look_at", paragraph(&self.look_at, 400));
        let measure = mistakes.note("measure", self.measure.parse::<Measure>());
        let unit = mistakes.note("unit", optional_line(&self.unit, 20));
        let (amber, red) = self.limits(measure, &mut mistakes);
        let choices = self.read_choices(measure, &mut mistakes);
        let basis = mistakes.note("basis", self.basis.parse());
        let source = mistakes.note("source", optional_line(&self.source, 200));
        let reader = mistakes.note("reader", line(&self.reader, 60));
        let fresh = mistakes.note("fresh", number(&self.fresh, 1, LONGEST));
        let decisions = mistakes.note("decisions", self.read_decisions());
        let worse = if self.worse == WORSE[1] { Worse::Below } else { Worse::Above };
        let details = (|| {
            Some(Details {
                name: name?,
                look_at: look_at?,
                measure: measure?,
                unit: unit?,
                worse,
                amber,
                red,
                choices,
                basis: basis?,
                source: source?,
                reader: reader?,
                fresh: fresh?,
                decisions: decisions?,
                permit_id,
            })
        })();
        details.filter(|_| mistakes.is_empty()).ok_or(mistakes)
    }

    fn limits(&self, measure: Option<Measure>, mistakes: &mut Mistakes) -> (Option<f64>, Option<f64>) {
        let Some(measure) = measure.filter(|measure| measure.has_limits()) else { return (None, None) };
        let limit = |text: &str| if text.trim().is_empty() { Ok(None) } else { amount(measure, text).map(Some) };
        let amber = mistakes.note("amber", limit(&self.amber)).flatten();
        let red = mistakes.note("red", limit(&self.red)).flatten();
        if mistakes.of("red").is_empty() && red.is_none() {
            mistakes.add("red", "Enter the number at which nothing burns.");
        }
        let is_low = self.worse == WORSE[1];
        let is_turned = |amber: f64, red: f64| if is_low { amber < red } else { amber > red };
        if amber.zip(red).is_some_and(|(amber, red)| is_turned(amber, red)) {
            mistakes
                .add("amber", "Hold comes before no burn. Swap the two numbers, or choose the other kind of worse.");
        }
        (amber, red)
    }

    fn read_choices(&self, measure: Option<Measure>, mistakes: &mut Mistakes) -> Vec<Choice> {
        if measure != Some(Measure::Choice) {
            return Vec::new();
        }
        let lines = self.choices.lines().map(str::trim).filter(|line| !line.is_empty());
        let read: Result<Vec<Choice>, String> = lines.map(choice).collect();
        let checked = read.and_then(|choices| {
            let grades = |grade: Grade| choices.iter().any(|choice| choice.grade == grade);
            match choices.len() {
                2..=MOST_CHOICES if grades(Grade::Good) && grades(Grade::Red) => Ok(choices),
                2..=MOST_CHOICES => Err("At least one choice is good, and at least one is no burn.".to_owned()),
                _ => Err(format!("Enter 2 to {MOST_CHOICES} choices, one on each line.")),
            }
        });
        mistakes.note("choices", checked).unwrap_or_default()
    }

    fn read_decisions(&self) -> Result<Vec<Decision>, String> {
        let known = DECISIONS.iter().filter(|name| self.has(name)).map(|name| name.parse());
        let decisions = known.collect::<Result<Vec<Decision>, _>>()?;
        if decisions.is_empty() { Err("Check at least one decision.".to_owned()) } else { Ok(decisions) }
    }
}

/// "hold: storms forecast".
fn choice(line: &str) -> Result<Choice, String> {
    let wrong = || format!("Start each line with good, hold, or no burn, and a colon. This one doesn't: “{line}”.");
    let (word, name) = line.split_once(':').ok_or_else(wrong)?;
    let grade = Grade::ALL.into_iter().find(|grade| grade.label() == word.trim().to_lowercase()).ok_or_else(wrong)?;
    let name = crate::web::form::line(name, 80)?;
    Ok(Choice { name, grade })
}

/// A number that can be meant.
///
/// # Errors
/// What to tell the person who typed it.
pub(super) fn amount(measure: Measure, text: &str) -> Result<f64, String> {
    let (least, most) = measure.range();
    let wrong = || format!("Enter a number from {} to {}.", plain(least), plain(most));
    let text = text.trim().replace('−', "-");
    let value: f64 = text.parse().map_err(|_| wrong())?;
    if (least..=most).contains(&value) { Ok((value * 10.0).round() / 10.0) } else { Err(wrong()) }
}

#[cfg(test)]
mod tests;
