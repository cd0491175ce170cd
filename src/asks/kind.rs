//! What a question can be about, and everything that differs from kind to kind: one
//! declaration for each.

use crate::calc::reminder::{Rule, Whom};
use crate::named::named;

named! {
    /// What a question is about.
    Kind, "Choose what you are asking for.", KINDS: [
        Post = "post",
        Guest = "guest",
        Loan = "loan",
        Coverage = "coverage",
        Help = "help",
        // Furniture or material for the rooms, to keep.
        Item = "item",
    ]
}

/// How an email about a question is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// A formal letter to everyone, the deputy included.
    Letter,
    /// A formal letter to officials, a friendly message to others.
    LetterToOfficials,
    /// A friendly message to everyone.
    Message,
}

/// What differs from kind to kind.
#[derive(Debug, Clone, Copy)]
struct Facts {
    label: &'static str,
    /// Those asked, as a group.
    group: &'static str,
    question: &'static str,
    title: &'static str,
    yes: &'static str,
    style: Style,
    /// Whose rhythm of reminders they have.
    reminded: Whom,
    /// The plan's task that the answers are needed for.
    task: &'static str,
    comes: bool,
    takes_deputy: bool,
    takes_party: bool,
    takes_speech: bool,
    takes_hours: bool,
    takes_offer: bool,
    has_press_lines: bool,
}

/// What most kinds have in common.
const USUAL: Facts = Facts {
    label: "",
    group: "",
    question: "",
    title: "",
    yes: "Yes, I will be there",
    style: Style::LetterToOfficials,
    reminded: Whom::Volunteers,
    task: "",
    comes: true,
    takes_deputy: false,
    takes_party: false,
    takes_speech: false,
    takes_hours: false,
    takes_offer: false,
    has_press_lines: false,
};

impl Kind {
    const fn facts(self) -> Facts {
        match self {
            Self::Post => Facts {
                label: "crew position",
                group: "crew",
                question: "Can you work the live burn?",
                title: "your crew position",
                style: Style::Message,
                reminded: Whom::Crew,
                task: "crew-confirmed",
                takes_hours: true,
                ..USUAL
            },
            Self::Guest => Facts {
                label: "guest",
                group: "guests",
                question: "Will you be our guest at the live burn?",
                title: "you are our guest",
                style: Style::Letter,
                reminded: Whom::Guests,
                task: "guest-replies",
                takes_deputy: true,
                takes_party: true,
                takes_speech: true,
                ..USUAL
            },
            Self::Loan => Facts {
                label: "loan",
                group: "lenders",
                question: "Can you lend us something for the live burn?",
                title: "your loan",
                yes: "Yes, you can borrow it",
                reminded: Whom::Lenders,
                task: "loans-confirmed",
                comes: false,
                ..USUAL
            },
            Self::Coverage => Facts {
                label: "press coverage",
                group: "newsrooms",
                question: "Will you cover the live burn?",
                title: "press",
                reminded: Whom::Media,
                task: "press-follow-up",
                takes_deputy: true,
                has_press_lines: true,
                ..USUAL
            },
            Self::Help => Facts {
                label: "help",
                group: "volunteers",
                question: "Can you help on burn day?",
                title: "you are helping",
                style: Style::Message,
                reminded: Whom::Volunteers,
                task: "volunteer-sign-up",
                takes_hours: true,
                ..USUAL
            },
            Self::Item => Facts {
                label: "item",
                group: "donors",
                question: "Can you donate something for the live burn?",
                title: "your donation",
                yes: "Yes, I can give this",
                reminded: Whom::Givers,
                task: "collect-furnishings",
                comes: false,
                takes_offer: true,
                ..USUAL
            },
        }
    }

    /// What people are asked for, as pages say it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        self.facts().label
    }

    /// Those asked, as pages call them all: "newsrooms".
    #[must_use]
    pub const fn group(self) -> &'static str {
        self.facts().group
    }

    /// The usual question, which can be edited.
    #[must_use]
    pub const fn question(self) -> &'static str {
        self.facts().question
    }

    /// How a calendar entry names it after a yes.
    #[must_use]
    pub const fn title(self) -> &'static str {
        self.facts().title
    }

    /// What a yes promises, on its button.
    #[must_use]
    pub const fn yes(self) -> &'static str {
        self.facts().yes
    }

    /// How emails about it are written.
    #[must_use]
    pub const fn style(self) -> Style {
        self.facts().style
    }

    /// The usual rules for reminding those asked.
    #[must_use]
    pub const fn rules(self) -> &'static [Rule] {
        self.facts().reminded.rules()
    }

    /// The key of the plan's task that the answers are needed for.
    #[must_use]
    pub const fn task(self) -> &'static str {
        self.facts().task
    }

    /// Does whoever says yes come to the burn? A lender or donor may not.
    #[must_use]
    pub const fn comes(self) -> bool {
        self.facts().comes
    }

    /// May they send someone else instead?
    #[must_use]
    pub const fn takes_deputy(self) -> bool {
        self.facts().takes_deputy
    }

    /// Do we ask how many people are coming?
    #[must_use]
    pub const fn takes_party(self) -> bool {
        self.facts().takes_party
    }

    /// May they ask for time to speak?
    #[must_use]
    pub const fn takes_speech(self) -> bool {
        self.facts().takes_speech
    }

    /// Do we ask when they can be there?
    #[must_use]
    pub const fn takes_hours(self) -> bool {
        self.facts().takes_hours
    }

    /// Do we ask what they can give and when we can pick it up? The part of the app
    /// that asked acts on the answer, so this kind is neither asked nor recorded with
    /// the other questions.
    #[must_use]
    pub const fn takes_offer(self) -> bool {
        self.facts().takes_offer
    }

    /// Are the lines under it the facts for the press, which are typed elsewhere?
    #[must_use]
    pub const fn has_press_lines(self) -> bool {
        self.facts().has_press_lines
    }
}
