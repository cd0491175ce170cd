//! Everyone to thank, by next step.

use super::context::ThanksContext;
use super::reader::Reader;
use super::{Owed, Thanked, Way, letters};
use crate::mail::MailState;
use crate::web::words;

/// Someone to thank, on one line.
#[derive(Debug)]
pub(super) struct Line {
    pub key: String,
    pub name: String,
    pub reasons: String,
    /// The same for `data-` marks.
    pub keys: String,
    pub has_sentence: bool,
    /// How they were last thanked, or how they will be.
    pub how: String,
    pub last: Option<Last>,
    /// Why their letter is printed; empty if it is emailed.
    pub why_paper: &'static str,
    pub is_ticked: bool,
}

/// How someone was last thanked, for `data-` marks.
#[derive(Debug)]
pub(super) struct Last {
    pub way: Way,
    pub on: String,
    /// The state of the email; empty if there is none.
    pub mail: &'static str,
}

/// Everyone, by next step.
#[derive(Debug, Default)]
pub(super) struct Lists {
    pub mail: Vec<Line>,
    pub paper: Vec<Line>,
    /// Their gift is only promised, or their loan isn't returned.
    pub later: Vec<Line>,
    pub done: Vec<Line>,
}

impl Lists {
    pub fn is_empty(&self) -> bool {
        self.mail.is_empty() && self.paper.is_empty() && self.later.is_empty() && self.done.is_empty()
    }

    pub fn open(&self) -> usize {
        self.mail.len() + self.paper.len()
    }

    /// Everyone who hasn't been thanked yet.
    pub fn to_thank(&self) -> usize {
        self.open() + self.later.len()
    }
}

impl ThanksContext {
    pub fn lists(&self) -> Lists {
        let mut lists = Lists::default();
        let mut readers: Vec<(Reader, &Owed)> =
            self.owed.iter().filter_map(|owed| Some((self.reader(owed)?, owed))).collect();
        readers.sort_by_cached_key(|(reader, _)| (reader.sorts_as.clone(), reader.whom));
        for (reader, owed) in readers {
            let open = owed.open(&self.thanked);
            let last = self.thanked.iter().find(|thanked| thanked.whom == owed.whom && !thanked.is_taken_back);
            let shown = if open.is_empty() { owed.reasons.iter().collect() } else { open.clone() };
            let has_sentence = !self.sentence(owed.whom).is_empty();
            let mut how = last.map(|last| self.how(last)).unwrap_or_default();
            if how.is_empty() && reader.on_paper() {
                let why = if reader.likes_paper { "prefers letters" } else { "no email" };
                how.push_str(why);
            }
            let why_paper = match (reader.on_paper(), reader.likes_paper) {
                (true, true) => "likes paper",
                (true, false) => "no mail",
                (false, _) => "",
            };
            let line = Line {
                key: owed.whom.key(),
                reasons: fold(&shown.iter().map(|reason| reason.says.as_str()).collect::<Vec<_>>()),
                keys: letters::keys(&shown),
                last: last.map(|last| self.last(last)),
                why_paper,
                is_ticked: has_sentence && self.has_begun() && !reader.on_paper(),
                has_sentence,
                how,
                name: reader.name.clone(),
            };
            let fits = match (open.is_empty(), last) {
                (false, _) if reader.on_paper() => &mut lists.paper,
                (false, _) => &mut lists.mail,
                (true, Some(_)) => &mut lists.done,
                (true, None) => &mut lists.later,
            };
            fits.push(line);
        }
        lists
    }

    /// The same as `how`, for `data-` marks.
    pub fn last(&self, thanked: &Thanked) -> Last {
        Last {
            way: thanked.way,
            on: words::iso(self.event.details.zone.wall(thanked.at).date()),
            mail: thanked.mail.map_or("", |(_, state)| state.as_str()),
        }
    }

    /// "thanked by email Sat, Jan 2".
    pub fn how(&self, thanked: &Thanked) -> String {
        let on = words::Reader::App.near_day(self.event.details.zone.wall(thanked.at).date(), self.today());
        let way = match thanked.way {
            Way::Mail => "by email",
            Way::Letter => "by letter",
            Way::InPerson => "in person",
        };
        match thanked.mail {
            Some((_, MailState::Waiting | MailState::Sending)) => "email waiting to go out".to_owned(),
            Some((_, MailState::Sent)) | None => format!("thanked {way} {on}"),
            Some((_, MailState::Uncertain)) => format!("emailed {on}, may not have arrived: call"),
            Some((_, MailState::Failed)) => format!("email failed {on}"),
            Some((_, MailState::Cancelled)) => format!("email canceled {on}"),
            Some((_, MailState::Expired)) => format!("email from {on} not sent in time"),
        }
    }
}

/// Each once, in order, with a count if there are several.
fn fold(says: &[&str]) -> String {
    let mut parts: Vec<(&str, usize)> = Vec::new();
    for says in says {
        match parts.iter_mut().find(|(known, _)| known == says) {
            Some((_, count)) => *count += 1,
            None => parts.push((says, 1)),
        }
    }
    let part =
        |(says, count): &(&str, usize)| if *count > 1 { format!("{says}, {count} times") } else { (*says).to_owned() };
    parts.iter().map(part).collect::<Vec<_>>().join("; ")
}
