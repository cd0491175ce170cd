//! The forms for questions and answers, and what they mean.

use super::drafting::{DATES, Typed};
use super::{Answer, Closings, Given, Hours, Kind, NewQuestion, Request, Said, Way};
use crate::events::Event;
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;
use time::OffsetDateTime;

/// The lines that may go under a question: form fields and labels.
pub const FACTS: [(&str, &str); 4] = [("at", "Time"), ("place", "Where"), ("with", "With"), ("bring", "Bring")];

/// What someone with a link sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct AnswerForm {
    /// The button: the number of the date's ask and the answer, or the numbers of two, as in
    /// `12 yes` and `12+13 yes`.
    pub say: String,
    pub deputy: String,
    pub deputy_title: String,
    pub deputy_phone: String,
    pub deputy_mail: String,
    /// `yes`, `no`, or nothing if they don't say.
    pub wants_to_speak: String,
    pub note: String,
    pub access_needs: String,
    pub party: String,
    /// When they can be there: both or neither.
    pub from: String,
    pub until: String,
}

impl AnswerForm {
    pub fn of(answer: &Answer) -> Self {
        Self {
            say: String::new(),
            deputy: answer.deputy.clone(),
            deputy_title: answer.deputy_title.clone(),
            deputy_phone: answer.deputy_phone.clone(),
            deputy_mail: answer.deputy_mail.clone(),
            wants_to_speak: answer.wants_to_speak.map(speaks).unwrap_or_default().to_owned(),
            note: answer.note.clone(),
            access_needs: answer.access_needs.clone(),
            party: answer.party.map(|party| party.to_string()).unwrap_or_default(),
            from: answer.there.map(|there| words::iso_time(there.clocks().0)).unwrap_or_default(),
            until: answer.there.map(|there| words::iso_time(there.clocks().1)).unwrap_or_default(),
        }
    }

    /// The dates answered, and the answers.
    pub fn read(&self, request: &Request) -> Result<Vec<(i64, Given)>, Mistakes> {
        let (which, said) = self.say.split_once(' ').unwrap_or_default();
        let mut all = Vec::new();
        for ask in named_asks(which, request) {
            let one = Self { say: format!("{ask} {said}"), ..self.clone() };
            all.push(one.read_one(request.kind)?);
        }
        Ok(all)
    }

    /// The one date answered, and the answer.
    fn read_one(&self, kind: Kind) -> Result<(i64, Given), Mistakes> {
        let mut mistakes = Mistakes::default();
        let (ask, said) = self.say.split_once(' ').unwrap_or_default();
        let said = said.parse::<Said>().ok().filter(|said| *said != Said::Deputy || kind.takes_deputy());
        let pressed = ask.parse::<i64>().ok().zip(said).ok_or("Choose an answer.".to_owned());
        let pressed = mistakes.note("say", pressed);
        let is_deputy = matches!(pressed, Some((_, Said::Deputy)));
        let deputy = if is_deputy {
            form::name(&self.deputy, 100).map_err(|told| {
                if self.deputy.trim().is_empty() {
                    "Enter the name of the person who is coming.".to_owned()
                } else {
                    told
                }
            })
        } else {
            Ok(String::new())
        };
        let deputy = mistakes.note("deputy", deputy);
        let title = if is_deputy { form::optional_line(&self.deputy_title, 100) } else { Ok(String::new()) };
        let deputy_title = mistakes.note("deputy_title", title);
        let reached = if is_deputy { reached(&self.deputy_phone, &self.deputy_mail, &mut mistakes) } else { None };
        let (deputy_phone, deputy_mail) = reached.unwrap_or_default();
        let wants_to_speak = match self.wants_to_speak.as_str() {
            "yes" if kind.takes_speech() => Some(true),
            "no" if kind.takes_speech() => Some(false),
            _ => None,
        };
        let note = mistakes.note("note", form::paragraph(&self.note, 1_000));
        let access_needs = mistakes.note("access_needs", form::paragraph(&self.access_needs, 500));
        let party = if self.party.trim().is_empty() { Ok(None) } else { form::number(&self.party, 1, 1_000).map(Some) };
        let party = mistakes.note("party", party);
        let there = if kind.takes_hours() { Hours::read(&self.from, &self.until) } else { Ok(None) };
        let there = mistakes.note("from", there).flatten();
        match (pressed, deputy.zip(deputy_title), note, access_needs, party, mistakes.is_empty()) {
            (Some((ask, said)), Some((deputy, deputy_title)), Some(note), Some(access_needs), Some(party), true) => {
                let given = Given {
                    said,
                    deputy,
                    deputy_title,
                    deputy_phone,
                    deputy_mail,
                    wants_to_speak,
                    note,
                    access_needs,
                    party,
                    there,
                    way: Way::Link,
                    evidence: String::new(),
                };
                Ok((ask, given))
            }
            _ => Err(mistakes),
        }
    }
}

/// The asks that a button names: `12`, `12+13`. A page of an earlier version says `both` and
/// can only mean the dates it showed, so that counts while no date has changed.
pub(super) fn named_asks(which: &str, request: &Request) -> Vec<String> {
    if which == "both" && request.asks.iter().all(|ask| !ask.is_lapsed) {
        return request.asks.iter().map(|ask| ask.id.to_string()).collect();
    }
    which.splitn(2, '+').map(str::to_owned).collect()
}

/// How to reach a deputy. Both may be empty, and mistakes are noted.
pub fn reached(phone: &str, mail: &str, mistakes: &mut Mistakes) -> Option<(String, String)> {
    let phone = mistakes.note("deputy_phone", form::optional_line(phone, 40));
    let mail = if mail.trim().is_empty() { Ok(String::new()) } else { form::mail(mail) };
    phone.zip(mistakes.note("deputy_mail", mail))
}

fn speaks(wants: bool) -> &'static str {
    if wants { "yes" } else { "no" }
}

/// Whether someone would like to speak, to choose from.
pub const SPEAKS: [(&str, &str); 3] =
    [("", "didn't say"), ("yes", "would like to speak"), ("no", "doesn't need to speak")];

/// An answer recorded by hand.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct RecordForm {
    pub ask: i64,
    pub said: String,
    pub way: String,
    pub evidence: String,
    pub deputy: String,
    pub deputy_title: String,
    pub deputy_phone: String,
    pub deputy_mail: String,
    /// `yes`, `no`, or nothing if they didn't say.
    pub wants_to_speak: String,
    pub note: String,
    pub access_needs: String,
    pub party: String,
    pub from: String,
    pub until: String,
}

/// The ways to answer that are recorded by hand.
pub const BY_HAND: [&str; 4] = {
    let [one, two, three, four] = Way::BY_HAND;
    [one.as_str(), two.as_str(), three.as_str(), four.as_str()]
};

impl RecordForm {
    pub fn read(&self, kind: Kind) -> Result<(i64, Given), Mistakes> {
        let mut mistakes = Mistakes::default();
        mistakes.note("said", self.said.parse::<Said>());
        let way = self.way.parse::<Way>().ok().filter(|way| *way != Way::Link);
        let way = mistakes.note("way", way.ok_or("Choose how they answered.".to_owned()));
        let evidence = form::line(&self.evidence, 200).map_err(|_| {
            "Say how you know, such as “called Tue 10:20, spoke to her.” Use at most 200 characters.".to_owned()
        });
        let evidence = mistakes.note("evidence", evidence);
        let same = AnswerForm {
            say: format!("{} {}", self.ask, self.said),
            deputy: self.deputy.clone(),
            deputy_title: self.deputy_title.clone(),
            deputy_phone: self.deputy_phone.clone(),
            deputy_mail: self.deputy_mail.clone(),
            wants_to_speak: self.wants_to_speak.clone(),
            note: self.note.clone(),
            access_needs: self.access_needs.clone(),
            party: self.party.clone(),
            from: self.from.clone(),
            until: self.until.clone(),
        };
        match (same.read_one(kind), way, evidence, mistakes.is_empty()) {
            (Ok((ask, given)), Some(way), Some(evidence), true) => Ok((ask, Given { way, evidence, ..given })),
            (Err(more), ..) => Err(more.and(mistakes)),
            _ => Err(mistakes),
        }
    }
}

/// The form that asks people.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct AskForm {
    pub kind: String,
    pub question: String,
    pub at: String,
    pub place: String,
    pub with: String,
    pub bring: String,
    pub words: String,
    /// `burn day`, `rain date`
    pub date: Vec<String>,
    pub closes_on: String,
    pub closes_time: String,
    /// The numbers of the people to ask.
    pub person: Vec<i64>,
    /// The button.
    pub act: String,
}

impl AskForm {
    /// The usual question of its kind.
    pub fn usual(kind: Kind, event: &Event, closings: &Closings, now: OffsetDateTime) -> Self {
        let (closes_on, closes_time) = closings.typed(kind, event, now);
        Self {
            kind: kind.to_string(),
            question: kind.question().to_owned(),
            date: vec![DATES[0].to_owned()],
            closes_on,
            closes_time,
            ..Self::default()
        }
    }

    pub fn has(&self, date: &str) -> bool {
        self.date.iter().any(|chosen| chosen == date)
    }

    pub fn fact(&self, name: &str) -> &str {
        match name {
            "at" => &self.at,
            "place" => &self.place,
            "with" => &self.with,
            _ => &self.bring,
        }
    }

    pub fn read(&self, event: &Event, now: OffsetDateTime) -> Result<NewQuestion, Mistakes> {
        let mut mistakes = Mistakes::default();
        let kind = mistakes.note("kind", self.kind.parse::<Kind>());
        let mut facts = Vec::new();
        for (name, label) in FACTS {
            let own = |text: &String| match name {
                "at" => *text != words::iso_time(event.details.burn_time),
                "place" => *text != event.details.site,
                _ => true,
            };
            // The event's own time and place come from the event.
            if let Some(text) = mistakes.note(name, form::optional_line(self.fact(name), 150)).filter(own)
                && !text.is_empty()
            {
                facts.push((label.to_owned(), text));
            }
        }
        if self.person.is_empty() {
            mistakes.add("person", "Choose at least one person.");
        }
        let typed = Typed {
            question: &self.question,
            words: &self.words,
            dates: &self.date,
            closes_on: &self.closes_on,
            closes_time: &self.closes_time,
        };
        // Without a kind there is a mistake, so there is no question.
        let question = typed.read(kind.unwrap_or(Kind::Help), event, now, mistakes)?;
        Ok(NewQuestion { facts, ..question })
    }
}
