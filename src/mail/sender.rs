//! Sends what is waiting in the outbox. Each message is claimed, handed over and
//! settled on its own, and each step is committed before the next.

use super::letter::Kind;
use super::message;
use super::night::places;
use super::outbox::{self, Again, Mail, MailState, Settled};
use super::outside::{Check, Outside, Refusal, Refuse, Zones};
use super::transport::{Outcome, Said, Session};
use super::waits::{FIRST_WAIT, GREY_WAIT, LONGEST_PAUSE, LONGEST_WAIT, spread};
use super::watch::watch_clock;
use crate::db::Tx;
use crate::error::Result;
use crate::state::App;
use futures_util::future::join_all;
use rand::RngExt;
use std::time::Duration as Span;
use time::{Duration, OffsetDateTime};
use tokio::time::Instant;

/// Sends everything that may go out now; how many messages were claimed.
pub async fn pass(app: &App, outside: &Outside) -> Result<usize> {
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
    let zones = (outside.zones)(app.db.read()).await?;
    if !outbox::is_due(app.db.read(), &places(&zones, now), now).await? {
        return Ok(0);
    }
    passes.clean = false;
    let workers = (0..mailer.pace.connections).map(|_| work(app, &run, &zones, outside));
    let mut sent = 0;
    for done in join_all(workers).await {
        sent += done?;
    }
    passes.clean = true;
    Ok(sent)
}

/// Sends one message after another, over one connection.
async fn work(app: &App, run: &str, zones: &Zones, outside: &Outside) -> Result<usize> {
    let mut session = None;
    let mut sent = 0;
    while app.mailer.trouble(app.clock.now()).is_none() && app.mailer.allowance().await {
        let now = app.clock.now();
        // Before a wrong time makes anything due.
        watch_clock(app, Instant::now()).await?;
        let places = places(zones, now);
        let (owner, key) = (run.to_owned(), app.link_key.clone());
        let claim =
            app.db.write(move |tx| Box::pin(async move { outbox::claim(tx, &owner, &places, &key, now).await }));
        let Some(mail) = claim.await? else {
            app.mailer.give_back();
            break;
        };
        let outcome = hand_over(app, run, &mut session, &mail, outside.checks).await?;
        settle(app, run, mail, outcome, outside.refuse).await?;
        sent += 1;
    }
    if let Some(session) = session {
        session.end().await;
    }
    Ok(sent)
}

async fn hand_over(
    app: &App,
    run: &str,
    session: &mut Option<Session>,
    mail: &Mail,
    checks: &'static [Check],
) -> Result<Outcome> {
    let mailer = &app.mailer;
    let built = match message::build(mail, &mailer.from, &app.link_key, &app.config.base_url()) {
        Ok(built) => built,
        Err(words) => return Ok(Outcome::Refused { said: Said { code: String::new(), words }, address: false }),
    };
    let stop = mailer.stop.subscribe();
    let (id, run) = (mail.id, run.to_owned());
    let check = || async {
        let now = app.clock.now();
        app.db
            .write(move |tx| Box::pin(async move { outbox::check_before_sending(tx, id, &run, checks, now).await }))
            .await
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
