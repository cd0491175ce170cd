//! The connection below a conversation, until it is encrypted.

use lettre::transport::smtp::client::AsyncTokioStream;
use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::task::{Context as Task, Poll, ready};
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::TcpStream;

/// A connection without TLS so far. A reply should be ASCII; anything else would
/// break reading it, and we'd lose track of whether a message was accepted.
#[derive(Debug)]
pub(super) struct Wire {
    pub stream: TcpStream,
    /// STARTTLS is the next command: the reply to it is the last thing sent in
    /// the clear.
    pub upgrades: Arc<AtomicBool>,
    pub is_plain: bool,
}

impl AsyncRead for Wire {
    fn poll_read(self: Pin<&mut Self>, task: &mut Task<'_>, into: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        let wire = self.get_mut();
        let before = into.filled().len();
        ready!(Pin::new(&mut wire.stream).poll_read(task, into))?;
        if !wire.is_plain {
            return Poll::Ready(Ok(()));
        }
        let said = &mut into.filled_mut()[before..];
        for byte in said.iter_mut().filter(|byte| !byte.is_ascii()) {
            *byte = b'?';
        }
        if wire.upgrades.load(Ordering::SeqCst) {
            let mut lines = said.split_inclusive(|byte| *byte == b'\n').skip_while(|line| line.get(3) == Some(&b'-'));
            let is_whole = lines.next().is_some_and(|line| line.ends_with(b"\n"));
            // Anything after it would be taken for the reply to a command sent once the
            // conversation is private (RFC 3207, section 6).
            if lines.next().is_some() {
                return Poll::Ready(Err(io::Error::other(
                    "the email server kept talking before the connection was encrypted",
                )));
            }
            wire.is_plain = !is_whole;
        }
        Poll::Ready(Ok(()))
    }
}

impl AsyncWrite for Wire {
    fn poll_write(self: Pin<&mut Self>, task: &mut Task<'_>, bytes: &[u8]) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.get_mut().stream).poll_write(task, bytes)
    }

    fn poll_flush(self: Pin<&mut Self>, task: &mut Task<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.get_mut().stream).poll_flush(task)
    }

    fn poll_shutdown(self: Pin<&mut Self>, task: &mut Task<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.get_mut().stream).poll_shutdown(task)
    }
}

impl AsyncTokioStream for Wire {
    fn peer_addr(&self) -> io::Result<SocketAddr> {
        self.stream.peer_addr()
    }
}
