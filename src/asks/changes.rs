//! The event changes: its date, time, place, rain date, name or format. Everyone with
//! out-of-date details gets the new ones, once.

use super::letters::{self, Sender};
use super::noted::{self, By, Waiting};
use super::statement::{self, Change, Known, StatedDate, Statement};
use super::{Ask, Kind, Request, Said, calendar, deputy, store};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::{Details, Event};
use crate::mail::{self, Letter, Parts};
use crate::people::{self, Person};
use crate::web::link::LinkKey;
use crate::web::words::{self, Reader};
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::{Date, OffsetDateTime};

/// Everyone who was asked, with what they know before the event changes.
#[derive(Debug, Clone)]
pub struct Before {
    event: Event,
    known: Vec<Known>,
}

/// How many people a change affects.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Count {
    /// Get an email.
    pub written: usize,
    /// Have no working email, so someone has to call.
    pub to_call: usize,
    /// Of all these, are asked about another date.
    pub asked: usize,
}

/// What everyone knows before the event changes. Emails waiting to go out don't count,
/// since a change cancels them.
///
/// # Errors
/// The store's.
pub async fn before_change(db: &mut SqliteConnection, event: &Event) -> Result<Before> {
    let mut noted = noted::statements(&mut *db, event.id, Waiting::IsTakenBack).await?;
    let requests = store::of_event(db, event.id).await?;
    let known = requests.into_iter().map(|request| {
        let statement = noted.remove(&request.id).map(|(statement, _)| statement);
        Known::of(event, request, statement)
    });
    Ok(Before { event: event.clone(), known: known.collect() })
}

/// The question as it would be if the event had these details, asked again if `again`.
fn after_change(request: &Request, details: &Details, again: bool) -> Request {
    let mut request = request.clone();
    for ask in &mut request.asks {
        // Donations move with burn day.
        if request.kind.takes_offer() && !ask.is_lapsed {
            ask.for_on = details.burn_on;
        }
        ask.is_lapsed |= ask.for_on != details.burn_on && Some(ask.for_on) != details.rain_on;
    }
    if again && request.is_willing() {
        let ask = |for_on| Ask { id: 0, for_on, date_revision: 0, is_lapsed: false, answers: Vec::new() };
        let lacks = request.lacks(details.burn_on, details.rain_on);
        request.asks.extend(lacks.into_iter().map(ask));
    }
    request
}

impl Before {
    /// How many people a change would affect, to show before it is made.
    #[must_use]
    pub fn count(&self, details: &Details, again: bool, reached: impl Fn(i64) -> bool) -> Count {
        let new = Event { details: details.clone(), ..self.event.clone() };
        let mut count = Count::default();
        for known in &self.known {
            let request = after_change(&known.request, details, again);
            let truth = Statement::of(&new, &request);
            if !known.statement.is_outdated(&truth) {
                continue;
            }
            if reached(request.person_id) {
                count.written += 1;
            } else {
                count.to_call += 1;
            }
            count.asked += usize::from(request.live().any(|ask| ask.id == 0));
        }
        count
    }

    /// How many people could be asked about dates they weren't asked about.
    #[must_use]
    pub fn to_ask(&self, details: &Details) -> usize {
        let lacks = |known: &&Known| after_change(&known.request, details, true).live().any(|ask| ask.id == 0);
        self.known.iter().filter(lacks).count()
    }
}

/// After a change, in the same write: emails everyone with out-of-date details once, with
/// a letter made from their own answers, and asks them about their missing dates if
/// `again`.
///
/// # Errors
/// The store's.
pub async fn tell_changes(
    tx: &mut Tx,
    (before, new): (&Before, &Event),
    (actor, sender, key): (Actor, &Sender, &LinkKey),
    (again, closes_at): (bool, impl Fn(Kind) -> OffsetDateTime + Send),
    now: OffsetDateTime,
) -> Result<Count> {
    let mut count = Count::default();
    let old = &before.event.details;
    let moved = (old.burn_on, old.rain_on) != (new.details.burn_on, new.details.rain_on);
    for known in &before.known {
        let id = known.request.id;
        if again && known.request.is_willing() {
            let closes_at = closes_at(known.request.kind);
            count.asked += usize::from(store::ask_again(tx, actor, new, id, closes_at, key, now).await?);
        }
        let Some(request) = store::of_request_in(tx, id).await? else { continue };
        let mut known = Known { request, ..known.clone() };
        let request = &mut known.request;
        tell_deputies(tx, (before, new), request, (sender, key), now).await?;
        let truth = Statement::of(new, request);
        if !known.statement.is_outdated(&truth) {
            continue;
        }
        // Their dates changed, and so did the time to answer.
        if moved && request.live().next().is_some() {
            request.closes_at = closes_at(request.kind);
            store::set_closing(tx, id, request.closes_at).await?;
            store::keep_link(tx, request, new.details.burn_on, key, now).await?;
        }
        let is_told = tell(tx, &known, new, (actor, sender, key), now).await?;
        count.written += usize::from(is_told);
        count.to_call += usize::from(!is_told);
    }
    Ok(count)
}

/// Tells the deputies about the change, too.
async fn tell_deputies(
    tx: &mut Tx,
    (before, new): (&Before, &Event),
    request: &Request,
    (sender, key): (&Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<()> {
    if !request.kind.takes_deputy() {
        return Ok(());
    }
    let Some(person) = people::find(tx, request.person_id).await? else { return Ok(()) };
    let events = (&before.event, new);
    for letter in deputy::letters_after_change(events, request, (&person, sender, key), now)? {
        deputy::queue(tx, &letter, now).await?;
    }
    Ok(())
}

/// Emails one person what is true. False if email doesn't reach them, which leaves them
/// on the list of people to call.
async fn tell(
    tx: &mut Tx,
    known: &Known,
    event: &Event,
    who: (Actor, &Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<bool> {
    // Someone may already be on the way.
    write_to(tx, known, (event, true), who, now).await
}

/// The same. It goes out at night only if urgent.
pub(super) async fn write_to(
    tx: &mut Tx,
    known: &Known,
    (event, urgent): (&Event, bool),
    (actor, sender, key): (Actor, &Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<bool> {
    let request = &known.request;
    // What we assume they know must outlast an email that fails.
    if known.is_assumed {
        noted::note_statement(tx, request.id, By::Assumed, &known.statement, (Actor::System, now))?;
    }
    let Some(person) = people::find(tx, request.person_id).await?.filter(Person::has_mail) else { return Ok(false) };
    let truth = Statement::of(event, request);
    let is_new = known.statement == Statement::default() && !request.is_withdrawn;
    // Someone who never got the question is asked, not told what changed.
    let letter = if is_new {
        letters::asking(event, request, &person, sender, now)?
    } else {
        let letter = changed(event, request, &known.statement, (&person, sender, key), now)?;
        Letter { urgent: urgent && letter.urgent, ..letter }
    };
    mail::supersede(tx, request.id, &letter.dedup, now).await?;
    mail::queue(tx, &letter, now).await?;
    noted::note_statement(tx, request.id, By::Mail(&letter.dedup), &truth, (actor, now))?;
    Ok(true)
}

/// Updates the lines under a question when their source changes, such as a crew
/// position's hours or a loan's days. People who need to know stay on the list until
/// told. `known` is the event as the person asked knows it.
///
/// # Errors
/// The store's.
pub async fn refresh(
    tx: &mut Tx,
    known: &Event,
    request: &Request,
    facts: &[(String, String)],
    now: OffsetDateTime,
) -> Result<bool> {
    if request.facts == facts {
        return Ok(false);
    }
    if request.is_withdrawn {
        // No one needs this until the question is open again.
        store::set_facts(tx, request.id, facts).await?;
        return Ok(false);
    }
    if !noted::is_noted(tx, request.id).await? {
        let known = Statement::of(known, request);
        noted::note_statement(tx, request.id, By::Assumed, &known, (Actor::System, now))?;
    }
    store::set_facts(tx, request.id, facts).await
}

/// Puts the lines under a question into this program's words, both in the question and in
/// what was noted about it, so that no one needs an update. Where more than the words
/// differs, everyone still knows what they knew: with as many lines as before they get
/// listed, and with more or fewer that is left to the next [`refresh`].
///
/// # Errors
/// The store's.
pub async fn reword(
    tx: &mut Tx,
    event: &Event,
    request: &Request,
    facts: &[(String, String)],
    now: OffsetDateTime,
) -> Result<()> {
    let pairs = statement::pairs(&request.facts, facts);
    noted::reword_statements(tx, request.id, &pairs).await?;
    let mut same = request.clone();
    statement::reword(&mut same.facts, &pairs);
    if request.facts.len() != facts.len() {
        return store::reword(tx, request.id, &same.facts).await;
    }
    if same.facts != facts && !noted::is_noted(tx, request.id).await? {
        let known = Statement::of(event, &same);
        noted::note_statement(tx, request.id, By::Assumed, &known, (Actor::System, now))?;
    }
    store::reword(tx, request.id, facts).await
}

/// What to do next: " 2 people have out-of-date details. Update them under Replies."
/// Empty if no one has.
#[must_use]
pub fn tell_next(outdated: usize) -> String {
    match outdated {
        0 => String::new(),
        many => {
            let people = words::count(many, "person has", "people have");
            format!(" {people} out-of-date details. Update them under Replies.")
        }
    }
}

/// Someone with out-of-date details.
#[derive(Debug, Clone)]
pub(super) struct Outdated {
    pub request: Request,
    pub changes: Vec<Change>,
    /// The store is a copy, so no one knows what they were told since.
    pub is_doubtful: bool,
}

/// Everyone in an event who needs an update.
///
/// # Errors
/// The store's.
pub(super) async fn outdated(db: &mut SqliteConnection, event: &Event, requests: &[Request]) -> Result<Vec<Outdated>> {
    let noted: HashMap<i64, (Statement, bool)> = noted::statements(db, event.id, Waiting::GoesOut).await?;
    let one = |request: &Request| {
        let (statement, is_doubtful) = noted.get(&request.id)?;
        let truth = Statement::of(event, request);
        // Even a no may be a yes by now.
        let is_doubtful = *is_doubtful && !request.is_withdrawn;
        (is_doubtful || statement.is_outdated(&truth)).then(|| Outdated {
            request: request.clone(),
            changes: statement.changes(event, &truth, Reader::App),
            is_doubtful,
        })
    };
    Ok(requests.iter().filter_map(one).collect())
}

/// Emails those of the chosen who need an update, and counts them.
///
/// # Errors
/// The store's.
pub(super) async fn tell_chosen(
    tx: &mut Tx,
    event: &Event,
    chosen: &[i64],
    (actor, sender, key): (Actor, &Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<Count> {
    let requests = store::of_event(tx, event.id).await?;
    let mut count = Count::default();
    for Outdated { request, .. } in outdated(tx, event, &requests).await? {
        if chosen.contains(&request.id) {
            // Nothing, if every email about it is still waiting: those get canceled.
            let statement = noted::statement_of(tx, request.id).await?.unwrap_or_default();
            let known = Known { request, statement, is_assumed: false };
            let is_told = tell(tx, &known, event, (actor, sender, key), now).await?;
            count.written += usize::from(is_told);
            count.to_call += usize::from(!is_told);
        }
    }
    Ok(count)
}

/// Notes that someone was told by phone what is true now. Any email waiting for them is
/// rewritten.
///
/// # Errors
/// The store's.
pub(super) async fn told_by_voice(
    tx: &mut Tx,
    (event, request): (&Event, Request),
    (actor, sender, key): (Actor, &Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<()> {
    let known = noted::statement_of(tx, request.id).await?.unwrap_or_default();
    noted::note_told(tx, actor, &request, now);
    // A call doesn't change their calendar. The next email does.
    let heard = Statement { entries: known.entries, by_voice: true, ..Statement::of(event, &request) };
    noted::note_statement(tx, request.id, By::Voice, &heard, (actor, now))?;
    if mail::waits(tx, request.id).await? {
        let known = Known { request, statement: heard, is_assumed: false };
        write_to(tx, &known, (event, false), (actor, sender, key), now).await?;
    }
    Ok(())
}

/// What changed about when and where, in sentences without their periods, and lines for
/// everything else.
fn told(changes: &[Change]) -> (Vec<String>, Vec<String>) {
    let mut others: Vec<&Change> = changes.iter().collect();
    let mut take = |label: &str| {
        let at = others.iter().position(|change| change.label == label)?;
        Some(others.remove(at))
    };
    let burn_day = take("Burn day").map(|change| match (change.was.as_str(), change.now.as_str()) {
        ("", now) => format!("The live burn is now on {now}"),
        (was, now) => format!("The live burn is now on {now}, not {was}"),
    });
    let rain_date = if burn_day.is_some() { None } else { take("Rain date") };
    let rain_date = rain_date.map(|change| match (change.was.as_str(), change.now.as_str()) {
        (was, "") => format!("The live burn no longer has a rain date. It was {was}"),
        ("", now) => format!("The live burn now has a rain date: {now}"),
        (was, now) => format!("The rain date for the live burn is now {now}, not {was}"),
    });
    let hour = take("First fire").map(|change| match (change.was.as_str(), change.now.as_str()) {
        ("", now) => format!("The first fire is at {now}"),
        (was, now) => format!("The first fire is now at {now}, not {was}"),
    });
    // For a crew position, "Where" is a spot on the site.
    let place = take("Site").or_else(|| take("Where"));
    let place = place.map(|change| match (change.was.as_str(), change.now.as_str()) {
        (was, "") => format!("The live burn is no longer at {was}. We will tell you the new place"),
        ("", now) => format!("The place is {now}"),
        (was, now) => format!("The place is now {now}, not {was}"),
    });
    let says = [burn_day, rain_date, hour, place].into_iter().flatten().collect();
    (says, others.into_iter().map(Change::says).collect())
}

/// What each date means for this reader.
fn for_them(request: &Request, known: &Statement, event: &Event) -> Vec<String> {
    let mut says = Vec::new();
    for ask in request.live() {
        let stands = ask.stands().map(|answer| (letters::standing(event, request, ask, answer), answer.said));
        says.push(match stands {
            Some((stands, Said::Yes)) => format!("{stands} That still counts. You don't need to do anything."),
            Some((stands, Said::No)) => format!("{stands} If that has changed, tell us."),
            Some((stands, Said::Maybe)) => stands,
            Some((stands, Said::Deputy)) => format!("{stands} That still counts."),
            None if was_yes(request, ask.for_on) => {
                let day = letters::day_of(event, ask);
                format!("You said yes to {day}, before the date changed. Please answer again: {}", request.question)
            }
            None if request.kind.takes_offer() => format!("Please answer: {}", request.question),
            None => {
                let day = letters::day_of(event, ask);
                // In a copy of the store, their yes may have been lost.
                let file = if known.entries.contains(&ask.id) {
                    " Until you answer, the attached file takes this day off your calendar."
                } else {
                    ""
                };
                format!("Please answer for {day}: {}{file}", request.question)
            }
        });
    }
    let is_gone = |date: &&StatedDate| request.live().all(|ask| ask.for_on != date.on && ask.id != date.ask);
    for date in known.yes().filter(is_gone) {
        let file =
            if known.entries.contains(&date.ask) { " The attached file takes it off your calendar." } else { "" };
        let day = Reader::Public.day(date.on);
        says.push(format!("Your yes to {day}, no longer counts because the date changed.{file}"));
    }
    if request.live().next().is_none() {
        says.push("We will ask you again if we need you on the new date.".to_owned());
    }
    says
}

/// Did they say yes to this date when it was the event's before?
fn was_yes(request: &Request, on: Date) -> bool {
    let before = request.asks.iter().filter(|ask| ask.is_lapsed && ask.for_on == on).max_by_key(|ask| ask.id);
    before.and_then(Ask::last).is_some_and(|answer| answer.said == Said::Yes)
}

/// Tells one person who knows how it was what changed.
fn changed(
    event: &Event,
    request: &Request,
    known: &Statement,
    (person, sender, key): (&Person, &Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<Letter> {
    if request.is_withdrawn {
        return letters::withdrawing(event, request, known, (person, sender, key), now);
    }
    let changes = known.changes(event, &Statement::of(event, request), Reader::Public);
    let (mut says, others) = told(&changes);
    let mut words = for_them(request, known, event);
    if !others.is_empty() {
        let begin = if says.is_empty() { "What changed" } else { "Also changed" };
        words.insert(0, format!("{begin}:\n{}", others.join("\n")));
    }
    if says.is_empty() {
        let name = &event.details.name;
        says.push(if others.is_empty() {
            format!("Here are your details for {name}")
        } else {
            format!("Some details have changed for {name}")
        });
    }
    let subject = says.first().cloned().unwrap_or_default();
    words.push(letters::about(&event.details));
    let is_asked = request.live().next().is_some();
    let open = request.live().any(|ask| ask.stands().is_none());
    let press = if open { "Answer" } else { "See or change your answer" };
    let lead = says.iter().map(|says| letters::sentence(says)).collect::<Vec<_>>().join(" ");
    let facts = letters::facts(event, request, Reader::Public);
    let after = if open { letters::answer_by(event, request) } else { letters::until(event, request) };
    let parts = Parts {
        lead: &lead,
        facts: &facts,
        words: &words,
        press: is_asked.then(|| (press, letters::press(request).1)),
        after: if is_asked { &after } else { "" },
        ..Parts::default()
    };
    let said: usize = request.asks.iter().map(|ask| ask.answers.len()).sum();
    let at = now.unix_timestamp();
    let dedup = format!("change/{}/{}/{}/{said}/{at}", request.id, event.facts_revision, request.version);
    let about = (mail::Kind::Notice, dedup, subject);
    let last = letters::last_moment(request, now);
    let letter = letters::letter(about, (event, request, person, sender), &parts, (now, last))?;
    let calendars = calendar::attachments(event, request, known, (sender, person, key), now);
    // Someone may already be on the way.
    Ok(Letter { urgent: true, calendars, ..letter })
}
