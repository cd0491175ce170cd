//! A conversation with an email server.

use super::outcome::{Outcome, Phase, Said, judge};
use super::patience::Patience;
use super::relay::{Relay, Tls};
use super::stop::unless_stopped;
use super::text::text;
use super::trouble::{Trouble, step};
use super::wire::Wire;
use crate::error::Result;
use crate::mail::message::Built;
use crate::mail::outbox::PreSendCheck;
use lettre::transport::smtp::authentication::Mechanism;
use lettre::transport::smtp::client::AsyncSmtpConnection;
use lettre::transport::smtp::commands::{Data, Mail, Quit, Rcpt, Rset};
use lettre::transport::smtp::extension::{Extension, MailBodyParameter, MailParameter};
use std::future::Future;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;
use tokio::net::TcpStream;
use tokio::sync::watch;
use tokio::time::timeout;

/// A conversation with a relay, open for the next message.
pub struct Session {
    connection: AsyncSmtpConnection,
    fresh: bool,
}

impl Relay {
    async fn connect(&self, patience: &Patience) -> Result<Session, Trouble> {
        let trust = || self.trust.clone().ok_or_else(|| Trouble::broken("No certificates are loaded."));
        let mut connection = if self.tls == Tls::Wrapped {
            let open = AsyncSmtpConnection::connect_tokio1(
                (self.host.as_str(), self.port),
                Some(patience.command),
                &self.hello,
                Some(trust()?),
                None,
            );
            step(patience.command * 2, open).await?
        } else {
            let open = TcpStream::connect((self.host.as_str(), self.port));
            let stream = match timeout(patience.command, open).await {
                Ok(Ok(stream)) => stream,
                Ok(Err(error)) => {
                    return Err(Trouble::broken(&format!("The email server can't be reached. ({self:?}: {error})")));
                }
                Err(_) => {
                    return Err(Trouble::broken(&format!("The email server didn't answer in time. ({self:?})")));
                }
            };
            // The final dot is its own write and would wait for an acknowledgment that
            // the relay delays.
            let _ = stream.set_nodelay(true);
            let upgrades = Arc::new(AtomicBool::new(false));
            let wire = Wire { stream, upgrades: Arc::clone(&upgrades), is_plain: true };
            let greet = AsyncSmtpConnection::connect_with_transport(Box::new(wire), &self.hello);
            let mut connection = step(patience.command, greet).await?;
            if self.tls == Tls::Required || (self.tls == Tls::Opportunistic && connection.can_starttls()) {
                upgrades.store(true, Ordering::SeqCst);
                step(patience.command, connection.starttls(trust()?, &self.hello)).await?;
            }
            connection
        };
        if let Some(login) = &self.login {
            let signing_in = connection.auth(&[Mechanism::Plain, Mechanism::Login], login);
            step(patience.command, signing_in).await.map_err(Trouble::of_login)?;
        }
        Ok(Session { connection, fresh: true })
    }
}

impl Relay {
    pub(super) async fn deliver<F: Future<Output = Result<PreSendCheck>>>(
        &self,
        session: &mut Option<Session>,
        message: &Built,
        patience: &Patience,
        stop: &watch::Receiver<bool>,
        check: impl FnOnce() -> F,
    ) -> Result<Outcome> {
        // On the heap, since a conversation with TLS is large.
        let begin = Box::pin(self.begin(session.take(), message, patience));
        let mut open = match unless_stopped(stop, begin).await {
            Some(Ok(open)) => open,
            Some(Err(outcome)) => return Ok(outcome),
            None => return Ok(Outcome::Halted),
        };
        let about = |trouble: Trouble| match trouble {
            Trouble::No { code, text } => judge(Phase::About, code, &text),
            Trouble::Broken(said) => Outcome::Relay { said, begun: true },
        };
        let name = step(patience.command, open.connection.command(Rcpt::new(message.to.clone(), vec![])));
        let Some(named) = unless_stopped(stop, name).await else { return Ok(Outcome::Halted) };
        if let Err(trouble) = named {
            let outcome = about(trouble);
            self.put_back(session, open, &outcome, patience).await;
            return Ok(outcome);
        }
        let checked = check().await?;
        if checked != PreSendCheck::Go {
            let outcome = Outcome::Stopped(checked);
            self.put_back(session, open, &outcome, patience).await;
            return Ok(outcome);
        }
        let data = step(patience.command, open.connection.command(Data));
        let outcome = match unless_stopped(stop, data).await {
            None => Outcome::Halted,
            Some(Err(trouble)) => about(trouble),
            Some(Ok(_)) => text(&mut open.connection, &message.bytes, patience, stop).await,
        };
        self.put_back(session, open, &outcome, patience).await;
        Ok(outcome)
    }

    /// Opens a conversation and names the sender. If the relay has closed one that was
    /// left open, opens a new one.
    async fn begin(&self, mut kept: Option<Session>, message: &Built, patience: &Patience) -> Result<Session, Outcome> {
        let failed = |trouble: &Trouble| match trouble {
            Trouble::No { code, text } => judge(Phase::Before, *code, text),
            Trouble::Broken(said) => Outcome::Relay { said: said.clone(), begun: false },
        };
        loop {
            let mut open = match kept.take() {
                Some(open) => open,
                None => self
                    .connect(patience)
                    .await
                    .map_err(|trouble| Outcome::Relay { said: trouble.said(), begun: false })?,
            };
            let foreign = !message.from.to_string().is_ascii() || !message.to.to_string().is_ascii();
            if foreign && !open.connection.server_info().supports_feature(Extension::SmtpUtfEight) {
                let words = "The email server only accepts addresses in plain Latin letters.".to_owned();
                return Err(Outcome::Refused { said: Said { code: String::new(), words }, address: false });
            }
            let mut options = Vec::new();
            if foreign {
                options.extend([MailParameter::SmtpUtfEight, MailParameter::Body(MailBodyParameter::EightBitMime)]);
            }
            let from = Mail::new(Some(message.from.clone()), options);
            match step(patience.command, open.connection.command(from)).await {
                Ok(_) => return Ok(open),
                Err(Trouble::Broken(_) | Trouble::No { code: 421, .. }) if !open.fresh => {}
                Err(trouble) => return Err(failed(&trouble)),
            }
        }
    }

    /// Keeps a conversation for the next message, if it is in order.
    async fn put_back(&self, session: &mut Option<Session>, mut open: Session, outcome: &Outcome, patience: &Patience) {
        open.fresh = false;
        let in_order = match outcome {
            Outcome::Accepted(_) => true,
            Outcome::Later(_) | Outcome::Refused { .. } | Outcome::Stopped(_) => {
                step(patience.command, open.connection.command(Rset)).await.is_ok()
            }
            Outcome::Relay { .. } | Outcome::Uncertain(_) | Outcome::Halted => false,
        };
        if in_order {
            *session = Some(open);
        }
    }
}

impl Session {
    /// Says goodbye.
    pub async fn end(mut self) {
        let _ = timeout(Duration::from_secs(1), self.connection.command(Quit)).await;
    }
}
