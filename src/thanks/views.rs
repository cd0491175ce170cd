//! The thank-you pages and their lines.

use super::form::{DayForm, SentenceForm};
use super::letters::{self, Reader, Written};
use super::{Day, Owed, Thanked, Way, Whom, begins_at};
use crate::asks::Sender;
use crate::events::Event;
use crate::mail::MailState;
use crate::people::{Name, Person};
use crate::web::form::Mistakes;
use crate::web::page::Page;
use crate::web::words;
use askama::Template;
use std::collections::HashMap;
use time::{Date, OffsetDateTime};

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

/// Everything the pages need.
pub(super) struct ThanksContext {
    pub event: Event,
    pub owed: Vec<Owed>,
    pub people: HashMap<i64, Person>,
    pub day: Day,
    pub sentences: HashMap<Whom, (String, i64)>,
    pub thanked: Vec<Thanked>,
    pub sender: Sender,
    pub now: OffsetDateTime,
}

impl ThanksContext {
    pub fn today(&self) -> Date {
        self.event.today(self.now)
    }

    /// Has the burn begun? Until then no one can be thanked.
    pub fn has_begun(&self) -> bool {
        self.now >= begins_at(&self.event)
    }

    pub fn find(&self, whom: Whom) -> Option<&Owed> {
        self.owed.iter().find(|owed| owed.whom == whom)
    }

    pub fn reader(&self, owed: &Owed) -> Option<Reader> {
        self.people.get(&owed.whom.person_id).map(|person| Reader::of(owed, person))
    }

    pub fn sentence(&self, whom: Whom) -> &str {
        self.sentences.get(&whom).map_or("", |(sentence, _)| sentence)
    }

    /// The letter for what they haven't been thanked for yet; as a preview before the
    /// burn, for everything.
    pub fn write(&self, owed: &Owed) -> Option<Written> {
        let mut reasons = owed.open(&self.thanked);
        if reasons.is_empty() && !self.was_thanked(owed.whom) {
            reasons = owed.reasons.iter().collect();
        }
        let sentence = self.sentence(owed.whom);
        (!reasons.is_empty()).then(|| letters::write(&self.event, &self.day, &reasons, sentence))
    }

    fn was_thanked(&self, whom: Whom) -> bool {
        self.thanked.iter().any(|thanked| thanked.whom == whom && thanked.counts())
    }

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

    pub fn paper(&self, owed: &Owed) -> Option<Paper> {
        let (reader, written) = (self.reader(owed)?, self.write(owed)?);
        Some(Paper {
            reader,
            written,
            date: words::Reader::Public.day(self.today()),
            signature: letters::signature(&self.day, &self.sender),
            department: self.sender.department.clone(),
            phone: self.sender.phone.clone(),
        })
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

/// A letter on paper.
#[derive(Debug)]
pub(super) struct Paper {
    pub reader: Reader,
    pub written: Written,
    pub date: String,
    pub signature: String,
    pub department: String,
    pub phone: String,
}

#[derive(Template)]
#[template(path = "thanks/index.html")]
pub(super) struct Index {
    pub page: Page,
    pub event_id: i64,
    pub has_begun: bool,
    pub burn_day: String,
    pub due: String,
    /// Both, for machines.
    pub burn_on: String,
    pub due_on: String,
    pub is_late: bool,
    pub lists: Lists,
    pub thanked: usize,
    pub figures: Vec<(String, String)>,
    pub signature: String,
    pub mistakes: Mistakes,
}

#[derive(Template)]
#[template(path = "thanks/day.html")]
pub(super) struct DayPage {
    pub page: Page,
    pub event_id: i64,
    pub form: DayForm,
    pub mistakes: Mistakes,
    pub names: Vec<Name>,
    pub sender: String,
}

#[derive(Debug)]
pub(super) struct ThankedLine {
    pub id: i64,
    pub says: String,
    pub detail: String,
    pub mail: Option<i64>,
    pub can_go_back: bool,
    pub is_taken_back: bool,
}

#[derive(Template)]
#[template(path = "thanks/person.html")]
pub(super) struct PersonPage {
    pub page: Page,
    pub event_id: i64,
    pub key: String,
    pub name: String,
    pub place: String,
    pub has_begun: bool,
    pub burn_day: String,
    pub open: Vec<String>,
    /// What they were thanked for, or will be later.
    pub rest: Vec<String>,
    pub form: SentenceForm,
    pub mistakes: Mistakes,
    pub paper: Option<Paper>,
    pub mail: String,
    pub thanked: Vec<ThankedLine>,
}

/// An email as it would go out.
#[derive(Debug)]
pub(super) struct Preview {
    pub to: String,
    pub subject: String,
    pub text: String,
    /// The keys of what it is for, for `data-` marks.
    pub keys: String,
}

#[derive(Template)]
#[template(path = "thanks/send.html")]
pub(super) struct SendPage {
    pub page: Page,
    pub event_id: i64,
    pub has_begun: bool,
    pub burn_day: String,
    pub who: Vec<String>,
    pub previews: Vec<Preview>,
}

#[derive(Template)]
#[template(path = "thanks/letters.html")]
pub(super) struct LettersPage {
    pub page: Page,
    pub letters: Vec<Paper>,
}
