//! A release or advisory as outlets get it.

use super::dateline;
use super::kind::PaperKind;
use super::text::{is_contact, paragraphs};
use time::Date;

/// A filled in text.
#[derive(Debug, Clone, Copy)]
pub(super) struct Printed<'a> {
    pub headline: &'a str,
    pub text: &'a str,
    /// The request to hold it; empty without one.
    pub embargo: &'a str,
}

/// A release or advisory as outlets get it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Layout {
    /// "News release".
    pub heading: &'static str,
    /// "FOR IMMEDIATE RELEASE", or the request to hold it.
    pub hold: String,
    /// "Nov. 19, 2026": the date in its dateline, or else the one given.
    pub dated: String,
    /// Who to call, if the text starts with that; else empty.
    pub contact: String,
    pub headline: String,
    pub paragraphs: Vec<String>,
}

impl Layout {
    pub fn of(kind: PaperKind, printed: Printed<'_>, on: Date) -> Self {
        let Printed { headline, text, embargo } = printed;
        let mut paragraphs: Vec<String> = paragraphs(text).map(str::to_owned).collect();
        let has_contact = paragraphs.first().is_some_and(|first| is_contact(first));
        Self {
            heading: kind.heading(),
            hold: if embargo.is_empty() { "FOR IMMEDIATE RELEASE".to_owned() } else { embargo.to_owned() },
            dated: dateline::short_day(dateline::day_of(text).unwrap_or(on)),
            contact: if has_contact { paragraphs.remove(0) } else { String::new() },
            headline: headline.to_owned(),
            paragraphs,
        }
    }

    /// As plain text, to copy.
    pub fn plain(&self, department: &str) -> String {
        let top = [department, self.heading, &self.hold, &self.dated, &self.contact];
        let top = top.into_iter().filter(|line| !line.is_empty()).collect::<Vec<_>>().join("\n");
        format!("{top}\n\n{}\n\n{}\n\n###\n", self.headline, self.paragraphs.join("\n\n"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn who_to_call_goes_above_the_headline_and_the_mark_at_the_end() {
        let on = date!(2026 - 11 - 19);
        let text = "Contact: Jun, 555-0118\n\nALDER BEND, Iowa (Nov. 12, 2026) – Two rooms will burn.\n\nCome.";
        let release = Layout::of(PaperKind::Release, Printed { headline: "Two rooms burn", text, embargo: "" }, on);
        assert_eq!(
            release.plain("Alder Bend Fire District"),
            "Alder Bend Fire District\nNews release\nFOR IMMEDIATE RELEASE\nNov. 12, 2026\nContact: Jun, 555-0118\n\n\
             Two rooms burn\n\nALDER BEND, Iowa (Nov. 12, 2026) – Two rooms will burn.\n\nCome.\n\n###\n"
        );
        let hold = "EMBARGO REQUEST: Please hold.";
        let advisory = Layout::of(
            PaperKind::Advisory,
            Printed { headline: "Two rooms burn", text: "WHAT: two rooms\n", embargo: hold },
            on,
        );
        assert_eq!(
            advisory.plain("Alder Bend Fire District"),
            format!(
                "Alder Bend Fire District\nMedia advisory\n{hold}\nNov. 19, 2026\n\nTwo rooms burn\n\nWHAT: two \
                 rooms\n\n###\n"
            )
        );
    }
}
