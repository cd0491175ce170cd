//! The results of press work, in numbers.

use crate::calc::coverage::Figures;
use crate::press::snapshot::PressSnapshot;
use crate::web::words;

/// A number with its unit and where it comes from.
pub(super) struct FigureLine {
    /// Its name among the others.
    pub figure: String,
    /// Empty if there is none yet.
    pub number: String,
    /// Out of how many, if it counts some of them.
    pub of: Option<usize>,
    pub label: String,
    pub value: String,
    pub from: &'static str,
}

/// The figures of an event.
pub(super) fn figures(known: &PressSnapshot, messages: &[String]) -> Vec<FigureLine> {
    let stories: Vec<u8> = known.stories.iter().map(|story| story.details.carried).collect();
    let found = Figures::of(&known.outlet_figures(), &stories, messages.len(), &known.hours_to_reply());
    let outlets = |figure: &str, label: &str, number: usize, from| FigureLine {
        figure: figure.to_owned(),
        number: number.to_string(),
        of: None,
        label: label.to_owned(),
        value: words::count(number, "outlet", "outlets"),
        from,
    };
    let mut lines = vec![
        outlets("approached", "Contacted", found.approached, "asked to cover the burn, or in the contact log"),
        outlets("replied", "Replied", found.replied, "by a reply in the log or to the question"),
        outlets("came", "Came", found.came, "checked in on burn day"),
        outlets("ran", "Ran a story", found.ran, "with a story on this page"),
    ];
    for (number, (message, carried)) in (1..).zip(messages.iter().zip(&found.carried)) {
        lines.push(FigureLine {
            figure: format!("message {number}"),
            number: carried.to_string(),
            of: Some(found.stories),
            label: message.clone(),
            value: format!("{carried} of {}", words::count(found.stories, "story", "stories")),
            from: "as marked for each story",
        });
    }
    let hours = found.median_hours.map(|hours| format!("{hours:.1}"));
    lines.push(FigureLine {
        figure: "hours to reply".to_owned(),
        number: hours.clone().unwrap_or_default(),
        of: None,
        label: "Median time to reply".to_owned(),
        value: hours.map_or("no reply to an advisory yet".to_owned(), |hours| format!("{hours} hours")),
        from: "from the first advisory in the log to the first reply after it, for outlets that replied",
    });
    lines
}
