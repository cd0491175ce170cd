//! The mailer of the program: where email goes, how fast, and what keeps it from going.

use super::transport::{Patience, Relay, Said, Transport};
use super::waits::{FIRST_PAUSE, LONGEST_PAUSE, spread};
use crate::config::Config;
use crate::web::link::short_id;
use crate::web::words;
use anyhow::{Context, anyhow};
use lettre::message::Mailbox as Named;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration as Span;
use time::{Duration, OffsetDateTime};
use tokio::sync::watch;
use tokio::time::Instant;

/// The loop should come around at least this often.
const STALLED: Span = Span::from_mins(2);

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
    pub(super) transport: Transport,
    pub(super) from: Named,
    pub(super) pace: Pace,
    /// Marks what this run of the program is sending.
    pub(super) run: String,
    state: Mutex<State>,
    /// Held by the pass under way.
    pub(super) passing: tokio::sync::Mutex<Passes>,
    pub(super) stop: watch::Sender<bool>,
}

#[derive(Default)]
pub(super) struct State {
    pub trouble: Option<Trouble>,
    /// Messages that may go at once, and since when.
    allowance: Option<(f64, Instant)>,
    /// When the loop last came around.
    beat: Option<Instant>,
    /// What the two clocks showed then.
    pub clocks: Option<(Instant, OffsetDateTime)>,
    pub jumped: Option<String>,
    pub alarms: Vec<String>,
}

#[derive(Default)]
pub(super) struct Passes {
    pub number: u64,
    /// The last pass left nothing half done.
    pub clean: bool,
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

    pub(super) fn state(&self) -> MutexGuard<'_, State> {
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

    pub(super) fn charge(&self, said: &Said, now: OffsetDateTime) {
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
    pub(super) async fn allowance(&self) -> bool {
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

    pub(super) fn give_back(&self) {
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
}

impl State {
    pub fn stalled(&self) -> Option<String> {
        let since = self.beat?.elapsed();
        (since > STALLED).then(|| {
            let minutes = usize::try_from(since.as_secs() / 60).unwrap_or(usize::MAX);
            let waits = words::count(minutes, "minute", "minutes");
            format!("Burnday's background work has been stuck for {waits}, so no email goes out. Restart Burnday.")
        })
    }
}
