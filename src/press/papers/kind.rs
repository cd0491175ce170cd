//! What a release is: an advisory, a news release, or one after the day.

use crate::named::named;

named! {
    /// What it is.
    PaperKind, "Choose what to write.", PAPER_KINDS: [
        Advisory = "media advisory",
        Release = "news release",
        AfterTheDay = "release after the day",
    ]
}

impl PaperKind {
    /// What people call it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::Advisory => "media advisory",
            Self::Release => "news release",
            Self::AfterTheDay => "results release",
        }
    }

    /// What people call it, with a capital letter.
    pub(super) fn title(self) -> String {
        let name = self.label();
        name[..1].to_uppercase() + &name[1..]
    }

    /// The task in the plan that says when it is due.
    pub(super) fn task(self) -> &'static str {
        match self {
            Self::Advisory => "media-advisory",
            Self::Release => "news-release",
            Self::AfterTheDay => "results-release",
        }
    }

    /// At the top of it.
    pub(super) fn heading(self) -> &'static str {
        match self {
            Self::Advisory => "Media advisory",
            Self::Release | Self::AfterTheDay => "News release",
        }
    }
}
