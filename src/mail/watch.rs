//! What is watched besides sending: the clock, messages that are past their time, and
//! whether email is stuck.

use super::night;
use super::outbox;
use super::outside::Outside;
use super::reply;
use super::waits::LONGEST_WAIT;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::state::App;
use crate::web::words;
use time::{Duration, OffsetDateTime};
use tokio::time::Instant;

/// If the clock moves this much more or less than the time that went by, someone set it.
const JUMP: Duration = Duration::seconds(60);
/// If it is set forward by more than this, it may be plain wrong, and email is held.
const LEAP: Duration = Duration::DAY;
/// Email that could have gone out and has waited longer than this is stuck.
const STUCK: Duration = Duration::minutes(30);

/// What keeps email from going out, for a monitor, read from the store.
pub async fn unwell(app: &App, outside: &Outside, now: OffsetDateTime) -> Result<Option<String>> {
    let stalled = app.mailer.state().stalled();
    if stalled.is_some() { Ok(stalled) } else { stuck(app, outside, now).await }
}

async fn stuck(app: &App, outside: &Outside, now: OffsetDateTime) -> Result<Option<String>> {
    let places = night::places(&(outside.zones)(app.db.read()).await?, now);
    let since = outbox::stuck_since(app.db.read(), &places, now).await?;
    Ok(since.filter(|since| now - *since > STUCK).map(|since| {
        let waits = span(usize::try_from((now - since).whole_minutes()).unwrap_or(0));
        format!("Email is stuck: a message has been waiting to go out for {waits}.")
    }))
}

/// What is checked besides sending: the clock, messages that are past their time, and
/// whether email is stuck.
pub async fn look_after(app: &App, outside: &Outside, at: Instant) -> Result<()> {
    let now = app.clock.now();
    watch_clock(app, at).await?;
    if outbox::has_expired(app.db.read(), now).await? {
        app.db.write(move |tx| Box::pin(outbox::expire(tx, now))).await?;
    }
    let mut alarms: Vec<String> = stuck(app, outside, now).await?.into_iter().collect();
    if let Some(words) = outbox::refused_by_policy(app.db.read(), now).await? {
        let said = reply::without_code(&words);
        alarms.push(format!(
            "The email server refused a message because of its content or its sender. It said: “{said}”."
        ));
    }
    let hold = outbox::hold(app.db.read()).await?;
    if hold.held && hold.by.is_none() {
        alarms.push(format!("All email is on hold. {}", hold.why));
    }
    app.mailer.state().alarms = alarms;
    Ok(())
}

/// Compares the system's clock with one that can't be set. A jump forward of more than
/// a day holds all email.
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
    let by = span(minutes);
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

/// "90 minutes", "3 hours".
fn span(minutes: usize) -> String {
    if minutes < 120 { words::count(minutes, "minute", "minutes") } else { words::count(minutes / 60, "hour", "hours") }
}
