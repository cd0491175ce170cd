//! The forms for answers, and what they mean.

use super::{Answer, Given, Hours, Kind, Request, Said, Way};
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;

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
        let deputy = if is_deputy { self.read_deputy(&mut mistakes) } else { Some(Deputy::default()) };
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
        match (pressed, deputy, note, access_needs, party, mistakes.is_empty()) {
            (Some((ask, said)), Some(deputy), Some(note), Some(access_needs), Some(party), true) => {
                let Deputy { name, title, phone, mail } = deputy;
                let given = Given {
                    deputy: name,
                    deputy_title: title,
                    deputy_phone: phone,
                    deputy_mail: mail,
                    wants_to_speak,
                    note,
                    access_needs,
                    party,
                    there,
                    ..Given::of(said, Way::Link)
                };
                Ok((ask, given))
            }
            _ => Err(mistakes),
        }
    }

    fn read_deputy(&self, mistakes: &mut Mistakes) -> Option<Deputy> {
        let name = form::name(&self.deputy, 100).map_err(|told| {
            if self.deputy.trim().is_empty() { "Enter the name of the person who is coming.".to_owned() } else { told }
        });
        let name = mistakes.note("deputy", name);
        let title = mistakes.note("deputy_title", form::optional_line(&self.deputy_title, 100));
        let reached = reached(&self.deputy_phone, &self.deputy_mail, mistakes);
        let (name, title, (phone, mail)) = (name?, title?, reached?);
        Some(Deputy { name, title, phone, mail })
    }
}

/// Someone who comes in another person's place. Only the name is never empty.
#[derive(Default)]
struct Deputy {
    name: String,
    title: String,
    phone: String,
    mail: String,
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

/// How an answer recorded by hand came. Its other fields are those of an [`AnswerForm`].
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct RecordForm {
    pub ask: i64,
    pub said: String,
    pub way: String,
    pub evidence: String,
}

/// The ways to answer that are recorded by hand.
pub const BY_HAND: [&str; 4] = {
    let [one, two, three, four] = Way::BY_HAND;
    [one.as_str(), two.as_str(), three.as_str(), four.as_str()]
};

impl RecordForm {
    /// The date answered, and the answer.
    pub fn read(&self, form: &AnswerForm, kind: Kind) -> Result<(i64, Given), Mistakes> {
        let mut mistakes = Mistakes::default();
        mistakes.note("said", self.said.parse::<Said>());
        let way = self.way.parse::<Way>().ok().filter(|way| *way != Way::Link);
        let way = mistakes.note("way", way.ok_or("Choose how they answered.".to_owned()));
        let evidence = form::line(&self.evidence, 200).map_err(|_| {
            "Say how you know, such as “called Tue 10:20, spoke to her.” Use at most 200 characters.".to_owned()
        });
        let evidence = mistakes.note("evidence", evidence);
        let same = AnswerForm { say: format!("{} {}", self.ask, self.said), ..form.clone() };
        match (same.read_one(kind), way, evidence, mistakes.is_empty()) {
            (Ok((ask, given)), Some(way), Some(evidence), true) => Ok((ask, Given { way, evidence, ..given })),
            (Err(more), ..) => Err(more.and(mistakes)),
            _ => Err(mistakes),
        }
    }
}
