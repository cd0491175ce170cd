//! The page behind an emailed link, as its reader sees it: the answer first once there is
//! one, then the event, or else the buttons.

use super::answer_form::AnswerForm;
use super::link::Opened;
use super::offer::OfferPart;
use super::statement::{Change, OWN_ANSWER, Statement};
use super::{Answer, Ask, Request, Said, Sender, greeted, letters, lines, live_burn, store};
use crate::events::{Event, MAP};
use crate::mail;
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::link::Opens;
use crate::web::words::{self, Reader};
use askama::Template;

#[derive(Template)]
#[template(path = "asks/answer.html")]
pub(super) struct AnswerPage<'a> {
    hello: &'a str,
    request: &'a Request,
    sender: &'a Sender,
    facts: Vec<FactLine>,
    dates: Vec<DateLine>,
    /// Their answer in a sentence, if it is the same for both dates. Empty if not.
    to_both: &'static str,
    until: String,
    is_closed: bool,
    /// The burn's date now, if the question asks about none of its dates.
    moved_to: String,
    /// The same day in machine form.
    moved_on: String,
    /// The answer chosen on a page from before the date changed. May be empty.
    late: String,
    about: String,
    /// What changed since they last answered, or were asked.
    changes: Vec<Change>,
    /// What they said before the date changed, if the date came back.
    before: Vec<String>,
    /// When the confirmation goes out, if not now.
    mail_at: String,
    secret_path: String,
    /// Where their calendar can fetch everything they said yes to.
    feed: String,
    form: AnswerForm,
    offer: OfferPart,
    mistakes: Mistakes,
}

/// A line about the event or the question.
struct FactLine {
    label: String,
    text: String,
    /// A link that opens a map. Empty for all other lines.
    href: String,
}

struct DateLine {
    ask_id: i64,
    /// The date in machine form.
    on: String,
    day: String,
    is_rain: bool,
    /// Their answer, in words to them. Empty without one.
    stands: String,
    said: &'static str,
    /// It is the only date asked about.
    is_alone: bool,
    /// Its yes is the main button.
    is_main: bool,
}

impl AnswerPage<'_> {
    /// The same for someone who answered on a page from before the date changed.
    pub fn too_late(self, late: String) -> Self {
        Self { late, ..self }
    }

    /// Does it ask about two dates, and is neither answered?
    fn asks_both(&self) -> bool {
        self.dates.len() > 1 && !self.has_answer()
    }

    fn has_answer(&self) -> bool {
        self.dates.iter().any(DateLine::is_answered)
    }

    /// The dates without an answer.
    fn open_dates(&self) -> Vec<&DateLine> {
        self.dates.iter().filter(|date| !date.is_answered()).collect()
    }

    /// The dates with one.
    fn answered_dates(&self) -> Vec<&DateLine> {
        self.dates.iter().filter(|date| date.is_answered()).collect()
    }

    /// Is there nothing left to answer? Then the form is folded under the answer.
    fn is_answered(&self) -> bool {
        self.has_answer() && self.dates.iter().all(DateLine::is_answered)
    }

    fn takes_answers(&self) -> bool {
        !self.request.is_withdrawn && !self.dates.is_empty() && !self.is_closed
    }

    /// Is there something to add to a calendar?
    fn has_yes(&self) -> bool {
        !self.request.is_withdrawn
            && !self.request.kind.takes_offer()
            && self.dates.iter().any(|date| date.said == "yes")
    }
}

impl FactLine {
    fn of(event: &Event, (label, text): (String, String)) -> Self {
        let href = if label == MAP { event.details.visitors.map_link() } else { String::new() };
        Self { label, text, href }
    }
}

impl DateLine {
    fn is_answered(&self) -> bool {
        !self.said.is_empty()
    }

    fn of(event: &Event, request: &Request, ask: &Ask) -> Self {
        let day = Reader::Public.day(ask.for_on);
        let stands = ask.stands().map(|answer| to_reader(request, answer, &day)).unwrap_or_default();
        let said = ask.stands().map_or("", |answer| answer.said.as_str());
        let on = words::iso(ask.for_on);
        let is_rain = Some(ask.for_on) == event.details.rain_on;
        let is_alone = request.live().count() == 1;
        let has_begun = request.live().any(|ask| ask.stands().is_some());
        let leads = said.is_empty() && (is_alone || has_begun);
        Self { ask_id: ask.id, on, day, is_rain, stands, said, is_alone, is_main: leads }
    }
}

fn to_reader(request: &Request, answer: &Answer, day: &str) -> String {
    match answer.said {
        // A donation isn't for one day.
        Said::Yes if request.kind.takes_offer() => "Your answer: yes. Thank you.".to_owned(),
        Said::No if request.kind.takes_offer() => "Your answer: no. Thank you for telling us.".to_owned(),
        Said::Maybe if request.kind.takes_offer() => "Your answer: maybe. Come back here when you know.".to_owned(),
        Said::Yes | Said::Deputy => format!("Your answer: {}. Thank you.", answer.says_to(day)),
        Said::No => format!("Your answer: {}. Thank you for telling us.", answer.says_to(day)),
        Said::Maybe => format!("Your answer: {}. Come back here when you know.", answer.says_to(day)),
    }
}

/// Their answer in a sentence, if they gave the same one to two dates.
fn to_both(request: &Request) -> &'static str {
    let said: Vec<Option<Said>> = request.live().map(|ask| ask.stands().map(|answer| answer.said)).collect();
    match said.as_slice() {
        [Some(Said::Yes), Some(Said::Yes)] => "Your answer: yes to both dates. Thank you.",
        [Some(Said::No), Some(Said::No)] => "Your answer: no to both dates. Thank you for telling us.",
        [Some(Said::Maybe), Some(Said::Maybe)] => "Your answer: maybe for both dates. Come back here when you know.",
        _ => "",
    }
}

/// What changed about the event and the lines since they last looked.
fn changes(seen: &Statement, event: &Event, request: &Request) -> Vec<Change> {
    let mut changes = seen.changes(event, &Statement::of(event, request), Reader::Public);
    changes.retain(|change| !change.label.starts_with(OWN_ANSWER));
    // The page says the whole sentence about the event anyway.
    changes.retain(|change| change.label != "Event");
    changes
}

impl Opened {
    pub fn page(&self, app: &App, form: AnswerForm, mistakes: Mistakes, offer: OfferPart) -> AnswerPage<'_> {
        let Self { found: store::Opened { request, event, person, sender, feed, seen, .. }, now, path } = self;
        let mark = feed.map(|number| Opens::Calendar.mark(person.id, number)).unwrap_or_default();
        let is_lapsed = request.live().next().is_none();
        AnswerPage {
            hello: greeted(person),
            facts: lines::facts(event, request, Reader::Public)
                .into_iter()
                .map(|line| FactLine::of(event, line))
                .collect(),
            to_both: to_both(request),
            dates: request.live().map(|ask| DateLine::of(event, request, ask)).collect(),
            until: Reader::Public.moment(event.details.zone.wall(request.closes_at)),
            is_closed: *now >= request.closes_at,
            moved_to: if is_lapsed { Reader::Public.day(event.details.burn_on) } else { String::new() },
            moved_on: words::iso(event.details.burn_on),
            late: String::new(),
            about: live_burn::about(&event.details),
            changes: seen.as_ref().map(|seen| changes(seen, event, request)).unwrap_or_default(),
            before: letters::said_before_it_came_back(request),
            mail_at: mail::goes_out_at(&event.details.zone, *now).map(|at| Reader::Public.time(at)).unwrap_or_default(),
            secret_path: path.clone(),
            feed: app.link_key.fill(&mark, &app.config.base_url()),
            request,
            sender,
            form,
            offer,
            mistakes,
        }
    }
}
