//! What a release can be, and everything that differs from kind to kind: one declaration for
//! each.

use super::first_text::{Start, advisory, after_the_day, release};
use crate::named::named;
use crate::press::facts::Facts;

named! {
    /// What it is.
    PaperKind, "Choose what to write.", PAPER_KINDS: [
        Advisory = "media advisory",
        Release = "news release",
        AfterTheDay = "release after the day",
    ]
}

/// What differs from kind to kind.
struct KindFacts {
    label: &'static str,
    /// The task in the plan that says when it is due.
    task: &'static str,
    /// At the top of it.
    heading: &'static str,
    /// What it begins as.
    headline: &'static str,
    text: fn(&Facts, &Start<'_>) -> Vec<String>,
    /// It is about what happened, so a new date doesn't make it wrong.
    looks_back: bool,
}

impl PaperKind {
    const fn facts(self) -> KindFacts {
        match self {
            Self::Advisory => KindFacts {
                label: "media advisory",
                task: "media-advisory",
                heading: "Media advisory",
                headline: "Two rooms burn in public to show how fast a home fire spreads",
                text: advisory,
                looks_back: false,
            },
            Self::Release => KindFacts {
                label: "news release",
                task: "news-release",
                heading: "News release",
                headline: "{department} burns two rooms to show how little time a home fire leaves",
                text: release,
                looks_back: false,
            },
            Self::AfterTheDay => KindFacts {
                label: "results release",
                task: "results-release",
                heading: "News release",
                headline: "Crowd watches two rooms burn, one with a fire sprinkler and one without",
                text: after_the_day,
                looks_back: true,
            },
        }
    }

    /// What people call it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        self.facts().label
    }

    /// What people call it, with a capital letter.
    pub(super) fn title(self) -> String {
        let name = self.label();
        name[..1].to_uppercase() + &name[1..]
    }

    /// The task in the plan that says when it is due.
    pub(super) fn task(self) -> &'static str {
        self.facts().task
    }

    /// At the top of it.
    pub(super) fn heading(self) -> &'static str {
        self.facts().heading
    }

    /// Is it about what happened, so that a new date doesn't make it wrong?
    pub(super) fn looks_back(self) -> bool {
        self.facts().looks_back
    }

    /// The headline and the text it begins as.
    pub(super) fn first_text(self, facts: &Facts, start: &Start<'_>) -> (String, String) {
        let KindFacts { headline, text, .. } = self.facts();
        (headline.to_owned(), text(facts, start).join("\n\n"))
    }
}
