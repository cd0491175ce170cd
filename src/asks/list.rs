//! The list of an event's questions: whom to tell what changed, whom to call, who is being
//! waited for, and everyone who answered.

mod ledger;
mod parts;

use super::calls::{self, Caller};
use super::same_hours::Settled;
use super::telling::{self, TellLine};
use super::texting::Phones;
use super::views::{self, Stands};
use super::{Kind, Request, Said, calendar_link, found};
use crate::accounts::{Private, Role, SignedIn, User};
use crate::error::Result;
use crate::events::{self, Event};
use crate::people::Person;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::{self, Reader};
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use ledger::Ledger;
use parts::{Filter, Name, Part};
use std::collections::HashSet;
use time::OffsetDateTime;

pub use ledger::Ledgers;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/replies", get(index))
}

/// The most people to list whose other questions can be closed.
const MOST_SETTLED: usize = 20;
/// More pips than this are no quicker to read than the figures beside them.
const MOST_PIPS: usize = 40;

/// One question on one line.
#[derive(Debug)]
struct Line {
    id: i64,
    who: String,
    question: String,
    /// The answers, date by date.
    says: Vec<Stands>,
    /// When they last answered or were asked, or by when they must.
    when: String,
    /// "left a message Mon, Nov 30". May be empty.
    left: String,
    /// The sign before it: see the macro.
    sign: &'static str,
    status: &'static str,
    /// The links that call and text them. Either may be empty.
    call: String,
    text: String,
}

/// A yes that leaves other questions to close.
#[derive(Debug)]
struct SettledLine {
    id: i64,
    who: String,
    question: String,
    says: Vec<Stands>,
    others: Vec<String>,
}

/// The replies to one kind of question, for one date.
#[derive(Debug)]
struct Count {
    kind: &'static str,
    day: String,
    yes: usize,
    waiting: usize,
    no: usize,
}

impl Count {
    fn all(&self) -> usize {
        self.yes + self.waiting + self.no
    }

    fn has_pips(&self) -> bool {
        self.all() <= MOST_PIPS
    }

    /// "10 yes".
    fn says(&self) -> String {
        format!("{} yes", words::grouped(self.yes))
    }

    /// "3 waiting or maybe, 1 no"; empty if everyone said yes.
    fn others(&self) -> String {
        let parts = [(self.waiting, "waiting or maybe"), (self.no, "no")];
        let said = parts.iter().filter(|(number, _)| *number > 0);
        said.map(|(number, what)| format!("{} {what}", words::grouped(*number))).collect::<Vec<_>>().join(", ")
    }
}

#[derive(Template)]
#[template(path = "asks/index.html")]
struct Index {
    page: Page,
    event_id: i64,
    /// The address of the list.
    here: String,
    burn_day: String,
    /// May the user see phone numbers?
    sees: bool,
    /// People with out-of-date details.
    tell: Part<TellLine>,
    stale: Part<Line>,
    settled: Vec<SettledLine>,
    calls: Part<Caller>,
    waiting: Part<Line>,
    answered: Part<Line>,
    /// Show the answered questions unfolded.
    unfolds: bool,
    counts: Vec<Count>,
    /// How many questions there are, whatever the filter.
    total: usize,
    filter: Filter,
    /// Where the buttons lead back to.
    back: String,
    /// The address of the event's calendar. Empty if there is none.
    calendar: String,
}

impl Index {
    /// Is the store a copy, so that someone may know something newer?
    fn is_doubtful(&self) -> bool {
        self.tell.lines.iter().any(|line| line.is_doubtful)
    }

    /// Does email reach any of the people to update?
    fn is_mailed(&self) -> bool {
        self.tell.lines.iter().any(|line| line.is_reached)
    }

    /// Does no question fit the filter?
    fn is_bare(&self) -> bool {
        self.calls.is_empty() && self.waiting.is_empty() && self.answered.is_empty()
    }
}

async fn index(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Extension(ledgers): Extension<Ledgers>,
    Path(id): Path<i64>,
    Query(filter): Query<Filter>,
) -> Result<Response> {
    let now = app.clock.now();
    let ledger = ledgers.of(&app, id).await?;
    let page = events::page(&app, &visit, Some(&ledger.event), now).await?.titled("Replies");
    let calendar = calendar_link::address(&app, id).await?;
    let phones = Phones { app: &app, user: &visit.user, event: &ledger.event, now };
    show(&Listing { ledger: &ledger, phones, now }.index(page, filter, calendar))
}

/// What one user sees of a ledger.
struct Listing<'a> {
    ledger: &'a Ledger,
    phones: Phones<'a>,
    now: OffsetDateTime,
}

impl Listing<'_> {
    fn user(&self) -> &User {
        self.phones.user
    }

    fn event(&self) -> &Event {
        &self.ledger.event
    }

    fn person(&self, request: &Request) -> Option<&Person> {
        self.ledger.people.get(&request.person_id)
    }

    fn name(&self, request: &Request) -> &str {
        found::name(self.person(request))
    }

    /// The person's place in a list by surname.
    fn place(&self, request: &Request) -> Option<usize> {
        self.ledger.places.get(&request.person_id).copied()
    }

    fn index(&self, page: Page, filter: Filter, calendar: String) -> Index {
        let Ledger { event, requests, people, outdated, left, .. } = self.ledger;
        let typed = filter.words();
        let fits = |request: &&Request| filter.fits(&typed, request, views::state(request), self.person(request));
        let shown: Vec<&Request> = requests.iter().filter(fits).collect();
        let due = calls::all(shown.iter().copied(), self.ledger.asked(), event, self.now);
        let to_call: HashSet<i64> = due.iter().map(|due| due.person.id).collect();
        let is_open = |request: &Request| calls::is_open(views::state(request));
        let (open, answered): (Vec<&Request>, Vec<&Request>) = shown.into_iter().partition(|request| is_open(request));
        let waiting = open.into_iter().filter(|request| !to_call.contains(&request.person_id)).collect();
        let records = self.user().role != Role::Reader;
        let caller = |due: calls::Due<'_>| Caller::of(&due, left, &self.phones, records);
        let is_stale = |request: &&Request| request.is_stale();
        let tell = telling::lines(event, outdated, people, self.user());
        Index {
            page,
            event_id: event.id,
            here: format!("/events/{}/replies", event.id),
            burn_day: Reader::App.day(event.details.burn_on),
            sees: self.user().sees(Private::Contact),
            tell: filter.part(Name::Tell, tell, |_| 1, |line| line),
            stale: filter.part(
                Name::Stale,
                requests.iter().filter(is_stale).collect(),
                |_| 1,
                |one| self.answered_line(one),
            ),
            settled: if self.user().is_officer() { self.settled() } else { Vec::new() },
            calls: filter.part(Name::Calls, due, calls::Due::shown, caller),
            waiting: filter.part(Name::Waiting, self.by_closing(waiting), |_| 1, |one| self.waiting_line(one)),
            answered: filter.part(Name::Answered, self.by_state(answered), |_| 1, |one| self.answered_line(one)),
            unfolds: !filter.is_empty() || filter.is_further(Name::Answered),
            counts: counts(requests, event, self.now),
            total: requests.len(),
            back: format!("list{}", filter.query()),
            filter,
            calendar,
        }
    }

    /// Those to be answered soonest first.
    fn by_closing<'a>(&self, mut requests: Vec<&'a Request>) -> Vec<&'a Request> {
        requests.sort_by_key(|request| (request.closes_at, self.place(request), request.id));
        requests
    }

    /// By answer, then by surname.
    fn by_state<'a>(&self, mut requests: Vec<&'a Request>) -> Vec<&'a Request> {
        let answer = |request: &Request| {
            let state = views::state(request);
            views::STATES.iter().position(|(known, _)| *known == state)
        };
        requests.sort_by_cached_key(|request| (answer(request), self.place(request), request.id));
        requests
    }

    fn line(&self, request: &Request, when: String) -> Line {
        let (state, left) = (views::state(request), self.ledger.left.get(&request.id));
        Line {
            id: request.id,
            who: self.name(request).to_owned(),
            question: request.question.clone(),
            says: views::says(request, self.event(), self.now),
            when,
            left: left.map(|left| calls::says(left, self.user(), self.event(), self.now)).unwrap_or_default(),
            sign: views::sign(state),
            status: views::status(state),
            call: String::new(),
            text: String::new(),
        }
    }

    fn waiting_line(&self, request: &Request) -> Line {
        let person = self.person(request);
        let call = person.map(|person| self.phones.call(person)).unwrap_or_default();
        let text = person.map(|person| self.phones.text(request, person)).unwrap_or_default();
        Line { call, text, ..self.line(request, calls::due(request, self.event(), self.now)) }
    }

    fn answered_line(&self, request: &Request) -> Line {
        let event = self.event();
        let day = event.details.zone.wall(views::newest(request)).date();
        self.line(request, Reader::App.near_day(day, event.today(self.now)))
    }

    fn settled(&self) -> Vec<SettledLine> {
        let line = |settled: &Settled| SettledLine {
            id: settled.by.id,
            who: self.name(&settled.by).to_owned(),
            question: settled.by.question.clone(),
            says: views::says(&settled.by, self.event(), self.now),
            others: settled.others.iter().map(|other| other.question.clone()).collect(),
        };
        self.ledger.settled.iter().take(MOST_SETTLED).map(line).collect()
    }
}

/// For each kind and date that someone was asked about.
fn counts(requests: &[Request], event: &Event, now: OffsetDateTime) -> Vec<Count> {
    let mut counts = Vec::new();
    for kind in Kind::ALL {
        for on in [Some(event.details.burn_on), event.details.rain_on].into_iter().flatten() {
            let asked = requests.iter().filter(|request| request.kind == kind && !request.is_withdrawn);
            let asks = asked.flat_map(Request::live).filter(|ask| ask.for_on == on);
            let mut count = Count {
                kind: kind.label(),
                day: Reader::App.near_day(on, event.today(now)),
                yes: 0,
                waiting: 0,
                no: 0,
            };
            for ask in asks {
                match ask.stands().map(|answer| answer.said) {
                    Some(Said::Yes | Said::Deputy) => count.yes += 1,
                    Some(Said::No) => count.no += 1,
                    Some(Said::Maybe) | None => count.waiting += 1,
                }
            }
            if count.all() > 0 {
                counts.push(count);
            }
        }
    }
    counts
}
