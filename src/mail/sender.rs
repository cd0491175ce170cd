//! Sends what is waiting in the outbox. Each message is claimed, handed over and
//! settled on its own, and each step is committed before the next.

use super::letter::Kind;
use super::message;
use super::outbox::{self, Again, Mail, MailState, Night, Settled};
use super::reply;
use super::transport::{Outcome, Patience, Relay, Said, Session, Transport};
use crate::config::Config;
use crate::db::journal::Actor;
use crate::db::{Tx, Write};
use crate::error::Result;
use crate::state::App;
use crate::web::link::short_id;
use crate::web::words::{self, Reader};
use crate::zone::Zone;
use anyhow::{Context, anyhow};
use futures_util::future::join_all;
use lettre::message::Mailbox as Named;
use rand::RngExt;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration as Span;
use time::macros::time;
use time::{Duration, OffsetDateTime, Time};
use tokio::sync::watch;
use tokio::time::Instant;

/// Only urgent messages go out from this time
const NIGHT_FROM: Time = time!(21:00);
/// until this time, by the event's local clock.
const NIGHT_UNTIL: Time = time!(8:00);
/// How long a message that the relay put off waits the first time; it doubles from there,
const FIRST_WAIT: Span = Span::from_mins(1);
/// up to this.
const LONGEST_WAIT: Span = Span::from_hours(1);
/// A relay that doesn't know us yet (greylisting) isn't tried again sooner than this.
const GREY_WAIT: Span = Span::from_mins(5);
/// After trouble with the relay nothing is tried for this long; it doubles,
const FIRST_PAUSE: Span = Span::from_secs(5);
/// up to this.
const LONGEST_PAUSE: Span = Span::from_mins(1);
/// If the clock moves this much more or less than the time that went by, someone set it.
const JUMP: Duration = Duration::seconds(60);
/// If it is set forward by more than this, it may be plain wrong, and email is held.
const LEAP: Duration = Duration::DAY;
/// Email that could have gone out and has waited longer than this is stuck.
const STUCK: Duration = Duration::minutes(30);
/// The loop should come around at least this often.
const STALLED: Span = Span::from_mins(2);

/// Marks a person's address as refused; the code that knows people provides it.
pub type Refuse = for<'c> fn(&'c mut Tx, i64, Refusal, OffsetDateTime) -> Write<'c, ()>;

/// An address that a relay says doesn't work, and what it said.
#[derive(Debug, Clone)]
pub struct Refusal {
    pub address: String,
    pub words: String,
}

/// How fast email goes out, and how long each step may take.
#[derive(Debug, Clone, Copy)]
pub struct Pace {
    pub patience: Patience,
    pub connections: usize,
    /// Messages a second.
    pub rate: f64,
    /// This many at once after a rest.
    pub burst: f64,
}

impl Pace {
    #[must_use]
    pub fn of(config: &Config) -> Self {
        Self {
            patience: Patience {
                command: Span::from_secs(30),
                text: Span::from_mins(3),
                after_dot: Span::from_secs(config.mail_patience.into()),
                at_stop: Span::from_secs(20),
            },
            connections: config.mail_connections.into(),
            rate: config.mail_rate.into(),
            burst: 2.0 * f64::from(config.mail_rate),
        }
    }
}

/// Sends email: one for the life of the program.
pub struct Mailer {
    transport: Transport,
    from: Named,
    pace: Pace,
    /// Marks what this run of the program is sending.
    run: String,
    state: Mutex<State>,
    /// Held by the pass under way.
    passing: tokio::sync::Mutex<Passes>,
    stop: watch::Sender<bool>,
}

#[derive(Default)]
struct State {
    trouble: Option<Trouble>,
    /// Messages that may go at once, and since when.
    allowance: Option<(f64, Instant)>,
    /// When the loop last came around.
    beat: Option<Instant>,
    /// What the two clocks showed then.
    clocks: Option<(Instant, OffsetDateTime)>,
    jumped: Option<String>,
    alarms: Vec<String>,
}

#[derive(Default)]
struct Passes {
    number: u64,
    /// The last pass left nothing half done.
    clean: bool,
}

/// Trouble with the relay.
#[derive(Debug, Clone)]
pub struct Trouble {
    pub words: String,
    pub since: OffsetDateTime,
    pub until: OffsetDateTime,
    times: u32,
}

impl Mailer {
    /// A mailer with these settings.
    ///
    /// # Errors
    /// If they don't fit together.
    pub fn new(config: &Config, pace: Pace) -> anyhow::Result<Self> {
        let url = config.mail_url.reveal();
        let from = match &config.mail_from {
            Some(from) if !from.is_empty() => from.parse::<Named>().context("--mail-from can't be read")?,
            _ if url.is_empty() => Named::new(Some("Burnday".to_owned()), "burnday@localhost".parse()?),
            _ => return Err(anyhow!("--mail-url needs --mail-from, the address that email is sent from")),
        };
        let transport = if url.is_empty() {
            Transport::Folder(config.data.join("mail"))
        } else {
            Transport::Relay(Relay::of(url, &from.email)?)
        };
        let (stop, _) = watch::channel(false);
        let (run, state, passing) = (short_id(), Mutex::default(), tokio::sync::Mutex::default());
        Ok(Self { transport, from, pace, run, state, passing, stop })
    }

    /// Is email off, so that it stays on this computer?
    #[must_use]
    pub fn stays_here(&self) -> bool {
        matches!(self.transport, Transport::Folder(_))
    }

    /// Where email goes, without any secret.
    #[must_use]
    pub fn goes_to(&self) -> String {
        match &self.transport {
            Transport::Folder(folder) => folder.display().to_string(),
            Transport::Relay(relay) => format!("{relay:?}"),
        }
    }

    /// Who email is from.
    #[must_use]
    pub fn from(&self) -> &Named {
        &self.from
    }

    /// Stops taking messages; those being sent are finished.
    pub fn stop(&self) {
        self.stop.send_replace(true);
    }

    #[must_use]
    pub fn is_stopping(&self) -> bool {
        *self.stop.borrow()
    }

    /// Returns once the mailer is to stop.
    pub async fn stopped(&self) {
        let _ = self.stop.subscribe().wait_for(|stop| *stop).await;
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The trouble that keeps us from trying the relay right now.
    #[must_use]
    pub fn trouble(&self, now: OffsetDateTime) -> Option<Trouble> {
        let far = now + Duration::try_from(LONGEST_PAUSE).unwrap_or(Duration::MINUTE);
        // A pause longer than the longest is left over from before the clock was set
        // back.
        self.state().trouble.clone().filter(|trouble| trouble.until > now && trouble.until <= far)
    }

    fn charge(&self, said: &Said, now: OffsetDateTime) {
        let mut state = self.state();
        let (times, since) = state.trouble.as_ref().map_or((0, now), |trouble| (trouble.times, trouble.since));
        // Others being sent at the same moment report the same trouble.
        if state.trouble.as_ref().is_some_and(|trouble| trouble.until > now) {
            return;
        }
        let pause = spread(FIRST_PAUSE, times, LONGEST_PAUSE).min(LONGEST_PAUSE);
        let until = now + Duration::try_from(pause).unwrap_or(Duration::MINUTE).max(Duration::SECOND);
        // What the relay said may contain a reader's address.
        let why = if said.code.is_empty() { &said.words } else { &said.code };
        tracing::warn!(why, seconds = pause.as_secs(), "pausing before the email server is tried again");
        state.trouble = Some(Trouble { words: said.words.clone(), since, until, times: times + 1 });
    }

    /// Waits until one more message may go out. False if the mailer is to stop.
    async fn allowance(&self) -> bool {
        loop {
            let wait = {
                let mut state = self.state();
                let now = Instant::now();
                let (left, at) = state.allowance.unwrap_or((self.pace.burst, now));
                let left = (left + (now - at).as_secs_f64() * self.pace.rate).min(self.pace.burst);
                let missing = 1.0 - left;
                state.allowance = Some((if missing > 0.0 { left } else { left - 1.0 }, now));
                missing / self.pace.rate
            };
            if self.is_stopping() {
                return false;
            }
            if wait <= 0.0 {
                return true;
            }
            tokio::select! {
                () = tokio::time::sleep(Span::from_secs_f64(wait)) => {}
                () = self.stopped() => return false,
            }
        }
    }

    fn give_back(&self) {
        if let Some((left, _)) = &mut self.state().allowance {
            *left += 1.0;
        }
    }

    /// The loop came around.
    pub fn beat(&self, at: Instant) {
        self.state().beat = Some(at);
    }

    /// How the system's clock was last set while the program was running.
    #[must_use]
    pub fn jumped(&self) -> Option<String> {
        self.state().jumped.clone()
    }

    /// What keeps email from going out, for those who can do something about it.
    #[must_use]
    pub fn alarms(&self) -> Vec<String> {
        let state = self.state();
        let mut alarms = state.alarms.clone();
        alarms.extend(state.stalled());
        alarms
    }

    /// The same for a monitor, read from the store.
    ///
    /// # Errors
    /// The store's.
    pub async fn unwell(&self, app: &App, now: OffsetDateTime) -> Result<Option<String>> {
        let stalled = self.state().stalled();
        if stalled.is_some() { Ok(stalled) } else { stuck(app, now).await }
    }
}

impl State {
    fn stalled(&self) -> Option<String> {
        let since = self.beat?.elapsed();
        (since > STALLED).then(|| {
            let minutes = usize::try_from(since.as_secs() / 60).unwrap_or(usize::MAX);
            let waits = words::count(minutes, "minute", "minutes");
            format!("Burnday's background work has been stuck for {waits}, so no email goes out. Restart Burnday.")
        })
    }
}

/// A wait that doubles each time, up to the longest, with some chance in it so that
/// messages that failed together aren't tried again together.
fn spread(first: Span, times: u32, longest: Span) -> Span {
    let wait = first.saturating_mul(2_u32.saturating_pow(times.min(20))).min(longest);
    wait.mul_f64(rand::rng().random_range(0.5..1.5))
}

/// Is it night, when only urgent email goes out?
#[must_use]
pub fn is_night(zone: &Zone, now: OffsetDateTime) -> bool {
    let time = zone.wall(now).time();
    !(NIGHT_UNTIL..NIGHT_FROM).contains(&time)
}

/// When the night ends, by the local clock; None by day.
#[must_use]
pub fn goes_out_at(zone: &Zone, now: OffsetDateTime) -> Option<Time> {
    is_night(zone, now).then_some(NIGHT_UNTIL)
}

/// When an email that was just written goes out, if that isn't now: " Email waits
/// overnight and goes out at 08:00."
#[must_use]
pub fn night_note(zone: &Zone, now: OffsetDateTime) -> String {
    let says = |at| format!(" Email waits overnight and goes out at {}.", Reader::App.time(at));
    goes_out_at(zone, now).map(says).unwrap_or_default()
}

/// The zones where it is night now, and for the others when their day began.
fn nights(zones: &[Zone], now: OffsetDateTime) -> (Vec<Night>, Vec<Night>) {
    let (mut nights, mut mornings) = (Vec::new(), Vec::new());
    for zone in zones {
        let wall = zone.wall(now);
        let today = wall.date();
        let until_on = if wall.time() >= NIGHT_FROM { today.next_day().unwrap_or(today) } else { today };
        let Some(until) = zone.instant(until_on, NIGHT_UNTIL) else { continue };
        let night = Night { zone: zone.name().to_owned(), until: until.unix_timestamp() };
        if is_night(zone, now) {
            nights.push(night);
        } else {
            mornings.push(night);
        }
    }
    (nights, mornings)
}

async fn stuck(app: &App, now: OffsetDateTime) -> Result<Option<String>> {
    let (nights, mornings) = nights(&outbox::zones(app.db.read()).await?, now);
    let since = outbox::stuck_since(app.db.read(), &nights, &mornings, now).await?;
    Ok(since.filter(|since| now - *since > STUCK).map(|since| {
        let minutes = usize::try_from((now - since).whole_minutes()).unwrap_or(0);
        let waits = if minutes < 120 {
            words::count(minutes, "minute", "minutes")
        } else {
            words::count(minutes / 60, "hour", "hours")
        };
        format!("Email is stuck: a message has been waiting to go out for {waits}.")
    }))
}

/// What is checked besides sending: the clock, messages that are past their time, and
/// whether email is stuck.
///
/// # Errors
/// The store's.
pub async fn look_after(app: &App, at: Instant) -> Result<()> {
    let now = app.clock.now();
    watch_clock(app, at).await?;
    if outbox::has_expired(app.db.read(), now).await? {
        app.db.write(move |tx| Box::pin(outbox::expire(tx, now))).await?;
    }
    let mut alarms: Vec<String> = stuck(app, now).await?.into_iter().collect();
    if let Some(words) = outbox::refused_by_policy(app.db.read(), now).await? {
        let said = reply::without_code(&words);
        alarms.push(format!(
            "The email server refused a message because of its content or its sender. It said: “{said}”."
        ));
    }
    let hold = outbox::hold(app.db.read()).await?;
    if hold.held && hold.who.is_empty() {
        alarms.push(format!("All email is on hold. {}", hold.why));
    }
    app.mailer.state().alarms = alarms;
    Ok(())
}

/// Compares the system's clock with one that can't be set. A jump forward of more than
/// a day holds all email.
///
/// # Errors
/// The store's.
pub async fn watch_clock(app: &App, at: Instant) -> Result<()> {
    let now = app.clock.now();
    let before = app.mailer.state().clocks.replace((at, now));
    let Some((at_before, wall_before)) = before else { return Ok(()) };
    let passed = Duration::try_from(at.saturating_duration_since(at_before)).unwrap_or(Duration::ZERO);
    let jump = now - wall_before - passed;
    if jump.abs() <= JUMP {
        return Ok(());
    }
    let minutes = usize::try_from((jump.whole_seconds().unsigned_abs() + 30) / 60).unwrap_or(usize::MAX);
    let by = if minutes < 120 {
        words::count(minutes, "minute", "minutes")
    } else {
        words::count(minutes / 60, "hour", "hours")
    };
    let way = if jump.is_positive() { "forward" } else { "back" };
    let told = format!("This computer's clock was set {way} by {by} while Burnday was running.");
    tracing::warn!(seconds = jump.whole_seconds(), "the clock was set");
    app.mailer.state().jumped = Some(told.clone());
    if jump > LEAP {
        let why = format!("{told} Check the clock, then release the email.");
        app.db.write(move |tx| Box::pin(async move { outbox::hold_all(tx, Actor::System, &why, now).await })).await?;
    } else if jump.is_negative() {
        let longest = Duration::try_from(LONGEST_WAIT.mul_f64(1.5)).unwrap_or(Duration::HOUR);
        app.db.write(move |tx| Box::pin(outbox::pull_in(tx, longest, now))).await?;
    }
    Ok(())
}

/// Sends everything that may go out now; how many messages were claimed.
///
/// # Errors
/// The store's.
pub async fn pass(app: &App, refuse: Refuse) -> Result<usize> {
    let mailer = &app.mailer;
    let mut passes = mailer.passing.lock().await;
    passes.number += 1;
    let run = format!("{}.{}", mailer.run, passes.number);
    let now = app.clock.now();
    if !passes.clean {
        let run = run.clone();
        let freed = app.db.write(move |tx| Box::pin(async move { outbox::free(tx, &run, now).await })).await?;
        if freed > 0 {
            tracing::warn!(freed, "messages were left half sent");
        }
        passes.clean = true;
    }
    if mailer.is_stopping() || mailer.trouble(now).is_some() {
        return Ok(0);
    }
    let zones = outbox::zones(app.db.read()).await?;
    if !outbox::is_due(app.db.read(), &nights(&zones, now).0, now).await? {
        return Ok(0);
    }
    passes.clean = false;
    let workers = (0..mailer.pace.connections).map(|_| work(app, &run, &zones, refuse));
    let mut sent = 0;
    for done in join_all(workers).await {
        sent += done?;
    }
    passes.clean = true;
    Ok(sent)
}

/// Sends one message after another, over one connection.
async fn work(app: &App, run: &str, zones: &[Zone], refuse: Refuse) -> Result<usize> {
    let mut session = None;
    let mut sent = 0;
    while app.mailer.trouble(app.clock.now()).is_none() && app.mailer.allowance().await {
        let now = app.clock.now();
        // Before a wrong time makes anything due.
        watch_clock(app, Instant::now()).await?;
        let (nights, _) = nights(zones, now);
        let (owner, key) = (run.to_owned(), app.link_key.clone());
        let claim =
            app.db.write(move |tx| Box::pin(async move { outbox::claim(tx, &owner, &nights, &key, now).await }));
        let Some(mail) = claim.await? else {
            app.mailer.give_back();
            break;
        };
        let outcome = hand_over(app, run, &mut session, &mail).await?;
        settle(app, run, mail, outcome, refuse).await?;
        sent += 1;
    }
    if let Some(session) = session {
        session.end().await;
    }
    Ok(sent)
}

async fn hand_over(app: &App, run: &str, session: &mut Option<Session>, mail: &Mail) -> Result<Outcome> {
    let mailer = &app.mailer;
    let built = match message::build(mail, &mailer.from, &app.link_key, &app.config.base_url()) {
        Ok(built) => built,
        Err(words) => return Ok(Outcome::Refused { said: Said { code: String::new(), words }, address: false }),
    };
    let stop = mailer.stop.subscribe();
    let (id, run) = (mail.id, run.to_owned());
    let check = || async {
        let now = app.clock.now();
        app.db.write(move |tx| Box::pin(async move { outbox::check_before_sending(tx, id, &run, now).await })).await
    };
    mailer.transport.deliver(session, (id, &built), &mailer.pace.patience, &stop, check).await
}

/// Writes down what became of a message.
async fn settle(app: &App, run: &str, mail: Mail, outcome: Outcome, refuse: Refuse) -> Result<()> {
    let now = app.clock.now();
    match &outcome {
        Outcome::Accepted(_) => app.mailer.state().trouble = None,
        Outcome::Relay { said, .. } | Outcome::Uncertain(said) => app.mailer.charge(said, now),
        Outcome::Later(_) | Outcome::Refused { .. } | Outcome::Stopped(_) | Outcome::Halted => {}
    }
    if let Outcome::Accepted(said) | Outcome::Later(said) | Outcome::Refused { said, .. } = &outcome {
        tracing::info!(id = mail.id, code = said.code, "a message was answered");
    }
    for last in [false, false, true] {
        let (run, mail, outcome) = (run.to_owned(), mail.clone(), outcome.clone());
        let write =
            app.db.write(move |tx| Box::pin(async move { write_down(tx, &run, &mail, outcome, refuse, now).await }));
        match write.await {
            // What the relay accepted must not be sent again because of a full disk.
            Err(_) if !last => tokio::time::sleep(Span::from_secs(1)).await,
            done => return done,
        }
    }
    Ok(())
}

async fn write_down(
    tx: &mut Tx,
    run: &str,
    mail: &Mail,
    outcome: Outcome,
    refuse: Refuse,
    now: OffsetDateTime,
) -> Result<()> {
    let after = |span: Span| now + Duration::try_from(span).unwrap_or(Duration::HOUR);
    match outcome {
        Outcome::Accepted(said) => end(tx, run, mail, (MailState::Sent, &said), now).await,
        Outcome::Refused { said, address } => {
            end(tx, run, mail, (MailState::Failed, &said), now).await?;
            match mail.person_id.filter(|_| address) {
                Some(person) => {
                    let refusal = Refusal { address: mail.to.address.clone(), words: said.words };
                    refuse(tx, person, refusal, now).await
                }
                None => Ok(()),
            }
        }
        Outcome::Later(said) => {
            let mut wait = spread(FIRST_WAIT, u32::try_from(mail.attempts).unwrap_or(20), LONGEST_WAIT);
            if said.words.starts_with("450") || said.words.starts_with("451") {
                wait = wait.max(GREY_WAIT.mul_f64(rand::rng().random_range(1.0..1.5)));
            }
            let again = Again { at: after(wait), code: &said.code, words: &said.words, attempt: true, unsure: false };
            outbox::wait(tx, mail.id, run, Some(&again), now).await
        }
        Outcome::Relay { said, begun } => {
            // A message that breaks every conversation must not block all the others.
            let at = if begun { after(LONGEST_PAUSE) } else { mail.next_try_at };
            let again = Again { at, code: &said.code, words: &said.words, attempt: false, unsure: false };
            outbox::wait(tx, mail.id, run, Some(&again), now).await
        }
        Outcome::Uncertain(said) => {
            let must_arrive = matches!(mail.kind, Kind::Ask | Kind::Notice);
            if must_arrive && mail.unsure == 0 {
                let words = format!(
                    "The email server may already have this message. It will be sent once more; most email programs \
                     show the two as one. {}",
                    said.words
                );
                let at = after(spread(FIRST_WAIT, 0, LONGEST_WAIT));
                let again = Again { at, code: "", words: &words, attempt: false, unsure: true };
                return outbox::wait(tx, mail.id, run, Some(&again), now).await;
            }
            let said =
                Said { words: format!("The email server may already have this message. {}", said.words), ..said };
            end(tx, run, mail, (MailState::Uncertain, &said), now).await
        }
        Outcome::Stopped(_) => Ok(()),
        Outcome::Halted => outbox::wait(tx, mail.id, run, None, now).await,
    }
}

async fn end(
    tx: &mut Tx,
    run: &str,
    mail: &Mail,
    (state, said): (MailState, &Said),
    now: OffsetDateTime,
) -> Result<()> {
    outbox::settle(tx, mail.id, run, &Settled { state, code: &said.code, words: &said.words }, now).await
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::datetime;

    #[test]
    fn a_thousand_that_failed_together_are_not_tried_together() {
        let mut waits: Vec<u64> = (0..1_000).map(|_| spread(FIRST_WAIT, 2, LONGEST_WAIT).as_secs()).collect();
        waits.sort_unstable();
        // Spread over four minutes, ten seconds hold a twenty-fourth; a tenth would
        // be nine standard deviations off.
        let in_ten_seconds = |from: u64| waits.iter().filter(|wait| (from..from + 10).contains(*wait)).count();
        let most = (120..360).map(in_ten_seconds).max();
        assert!(most < Some(100), "{most:?}");
        assert!(waits[0] >= 120 && waits[999] < 360);
        assert!(spread(FIRST_WAIT, 200, LONGEST_WAIT) <= LONGEST_WAIT.mul_f64(1.5));
    }

    #[test]
    fn the_night_ends_at_eight_by_the_clock_of_the_place() {
        let zones = [Zone::named("America/Chicago").unwrap()];
        let until = |now| nights(&zones, now).0.first().map(|night| night.until);
        let eight = datetime!(2026-11-26 14:00 UTC).unix_timestamp();
        assert_eq!(until(datetime!(2026-11-26 02:59 UTC)), None);
        assert_eq!(until(datetime!(2026-11-26 03:00 UTC)), Some(eight));
        assert_eq!(until(datetime!(2026-11-26 13:59 UTC)), Some(eight));
        assert_eq!(until(datetime!(2026-11-26 14:00 UTC)), None);
        // The night when the clocks go forward is an hour shorter.
        let summer = datetime!(2027-03-14 13:00 UTC).unix_timestamp();
        assert_eq!(until(datetime!(2027-03-14 03:30 UTC)), Some(summer));
    }
}
