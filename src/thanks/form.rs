//! The forms for thank-yous, and how they are read.

use super::Day;
use crate::web::fold::Fold;
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// A personal sentence for someone, and the button.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct SentenceForm {
    pub sentence: String,
    pub version: i64,
    pub act: String,
}

impl SentenceForm {
    pub fn read(&self) -> Result<String, Mistakes> {
        let mut mistakes = Mistakes::default();
        let sentence = form::paragraph(&self.sentence, 500).map(|text| text.replace('\n', " "));
        mistakes.note("sentence", sentence).ok_or(mistakes)
    }
}

/// What the letters say about the day.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct DayForm {
    pub signed_by: String,
    pub signed_as: String,
    pub came: String,
    pub alarm: String,
    pub sprinkler: String,
    pub flashover: String,
    pub result: String,
    pub version: i64,
    pub act: String,
}

/// A form field, for comparing two versions side by side.
pub(super) struct FormField {
    pub name: &'static str,
    pub label: &'static str,
    pub of: fn(&DayForm) -> &String,
}

pub(super) const FORM: [FormField; 7] = [
    FormField { name: "signed_by", label: "Signed by", of: |form| &form.signed_by },
    FormField { name: "signed_as", label: "Their title", of: |form| &form.signed_as },
    FormField { name: "came", label: "People who came", of: |form| &form.came },
    FormField { name: "alarm", label: "Smoke alarm", of: |form| &form.alarm },
    FormField { name: "sprinkler", label: "Sprinkler", of: |form| &form.sprinkler },
    FormField { name: "flashover", label: "Flashover", of: |form| &form.flashover },
    FormField { name: "result", label: "Result", of: |form| &form.result },
];

impl DayForm {
    /// The part with the times.
    pub fn times(&self, mistakes: &Mistakes) -> Fold {
        let times = [("alarm", &self.alarm), ("sprinkler", &self.sprinkler), ("flashover", &self.flashover)];
        Fold::of(times.map(|(name, text)| (name, !text.trim().is_empty())), mistakes, false)
    }

    pub fn of(day: &Day) -> Self {
        let time = |seconds: Option<u32>| seconds.map(|s| format!("{}:{:02}", s / 60, s % 60)).unwrap_or_default();
        Self {
            signed_by: day.signed_by.clone(),
            signed_as: day.signed_as.clone(),
            came: day.came.map(|came| came.to_string()).unwrap_or_default(),
            alarm: time(day.alarm),
            sprinkler: time(day.sprinkler),
            flashover: time(day.flashover),
            result: day.result.clone(),
            version: day.version,
            act: String::new(),
        }
    }

    pub fn read(&self) -> Result<Day, Mistakes> {
        let mut mistakes = Mistakes::default();
        if self.act != "save" {
            mistakes.add("act", "Use the Save button.");
        }
        let mut line = |field, text, most| mistakes.note(field, form::optional_line(text, most)).unwrap_or_default();
        let signed_by = line("signed_by", &self.signed_by, 100);
        let signed_as = line("signed_as", &self.signed_as, 100);
        let result = line("result", &self.result, 250);
        let came = optional(&self.came, |text| form::number(text, 1, 1_000_000));
        let came = mistakes.note("came", came).flatten();
        let mut time = |field, text| mistakes.note(field, optional(text, seconds)).flatten();
        let alarm = time("alarm", &self.alarm);
        let sprinkler = time("sprinkler", &self.sprinkler);
        let flashover = time("flashover", &self.flashover);
        let day = Day { signed_by, signed_as, came, alarm, sprinkler, flashover, result, version: self.version };
        if mistakes.is_empty() { Ok(day) } else { Err(mistakes) }
    }
}

fn optional<T>(text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<Option<T>, String> {
    if text.trim().is_empty() { Ok(None) } else { read(text).map(Some) }
}

/// Minutes and seconds after the first flame.
fn seconds(text: &str) -> Result<u32, String> {
    let wrong = || "Enter minutes and seconds after the first flame, such as 3:40.".to_owned();
    let (minutes, seconds) = text.trim().split_once(':').ok_or_else(wrong)?;
    let digits = |text: &str, most| text.len() <= most && !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !digits(minutes, 3) || !digits(seconds, 2) || seconds.len() != 2 {
        return Err(wrong());
    }
    let (minutes, seconds): (u32, u32) = minutes.parse().ok().zip(seconds.parse().ok()).ok_or_else(wrong)?;
    if seconds > 59 { Err(wrong()) } else { Ok(minutes * 60 + seconds) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_minutes_and_seconds() {
        for (typed, read) in [("3:40", 220), (" 0:38 ", 38), ("12:00", 720)] {
            assert_eq!(seconds(typed), Ok(read), "{typed}");
        }
        for wrong in ["38", "3:4", "3:60", "-1:00", "3:40.5", "1:2:3", "1000:00", ":30"] {
            assert!(seconds(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn nothing_typed_is_nothing_kept() {
        let form = DayForm { act: "save".to_owned(), ..DayForm::default() };
        assert_eq!(form.read(), Ok(Day::default()));
    }
}
