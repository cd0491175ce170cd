//! Sending a message's text, and knowing whether its end was sent.

use super::outcome::{Outcome, Phase, judge, said};
use super::patience::Patience;
use super::stop::stopped;
use super::trouble::Trouble;
use lettre::transport::smtp::client::AsyncSmtpConnection;
use lettre::transport::smtp::response::Response;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use tokio::sync::{Notify, watch};
use tokio::time::sleep;

/// Sends the text. Until its last piece is written, the relay can't have accepted it;
/// from then on it may have.
pub(super) async fn text(
    connection: &mut AsyncSmtpConnection,
    bytes: &[u8],
    patience: &Patience,
    stop: &watch::Receiver<bool>,
) -> Outcome {
    let over = Arc::new(Over::default());
    let pieces = Pieces { left: bytes.chunks(16 * 1024), over: Arc::clone(&over) };
    let too_long = async {
        tokio::select! {
            // In this order: once the dot is on its way, a stop waits for the reply.
            biased;
            () = over.told.notified() => {}
            () = sleep(patience.text) => return,
            () = stopped(stop) => return,
        }
        tokio::select! {
            () = sleep(patience.after_dot) => {}
            () = async { stopped(stop).await; sleep(patience.at_stop).await } => {}
        }
    };
    let reply: Result<Response, Trouble> = tokio::select! {
        biased;
        reply = connection.message_iter(pieces) => reply.map_err(|error| Trouble::of(&error)),
        () = too_long => Err(Trouble::broken("The email server didn't answer in time.")),
    };
    match reply {
        Ok(reply) => {
            let words: Vec<&str> = reply.message().collect();
            Outcome::Accepted(said(reply.code().into(), &words.join(" ")))
        }
        Err(Trouble::No { code, text }) => judge(Phase::About, code, &text),
        Err(Trouble::Broken(said)) if over.was.load(Ordering::SeqCst) => Outcome::Uncertain(said),
        Err(Trouble::Broken(_)) if *stop.borrow() => Outcome::Halted,
        Err(Trouble::Broken(said)) => Outcome::Relay { said, begun: true },
    }
}

#[derive(Default)]
struct Over {
    was: AtomicBool,
    told: Notify,
}

/// The pieces of a text; says when the last one was taken and written.
struct Pieces<'a> {
    left: std::slice::Chunks<'a, u8>,
    over: Arc<Over>,
}

impl<'a> Iterator for Pieces<'a> {
    type Item = &'a [u8];

    fn next(&mut self) -> Option<&'a [u8]> {
        let piece = self.left.next();
        if piece.is_none() {
            self.over.was.store(true, Ordering::SeqCst);
            self.over.told.notify_one();
        }
        piece
    }
}
