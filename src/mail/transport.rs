//! Where messages go: to a folder, or to a relay by SMTP.

mod outcome;
mod patience;
mod relay;
mod session;
mod stop;
mod text;
mod trouble;
mod wire;

use super::message::Built;
use super::outbox::PreSendCheck;
use crate::error::Result;
use std::fs::OpenOptions;
use std::future::Future;
use std::io::{self, Write as _};
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use tokio::sync::watch;

use outcome::shown;
pub use outcome::{Outcome, Said};
pub use patience::Patience;
pub use relay::Relay;
pub use session::Session;

/// Where messages go.
#[derive(Debug)]
pub enum Transport {
    /// One file for each message; email is off.
    Folder(PathBuf),
    Relay(Relay),
}

impl Transport {
    /// Hands a message over. `look` is called right before its text is sent.
    ///
    /// # Errors
    /// Those of `look`.
    pub async fn deliver<F: Future<Output = Result<PreSendCheck>>>(
        &self,
        session: &mut Option<Session>,
        (id, message): (i64, &Built),
        patience: &Patience,
        stop: &watch::Receiver<bool>,
        check: impl FnOnce() -> F,
    ) -> Result<Outcome> {
        match self {
            Self::Folder(folder) => match check().await? {
                PreSendCheck::Go => {
                    let (folder, bytes) = (folder.clone(), message.bytes.clone());
                    Ok(tokio::task::spawn_blocking(move || keep(&folder, id, &bytes)).await?)
                }
                other => Ok(Outcome::Stopped(other)),
            },
            Self::Relay(relay) => relay.deliver(session, message, patience, stop, check).await,
        }
    }
}

/// Writes a message to the folder. The file is named after the row, so a second try
/// replaces the first.
fn keep(folder: &Path, id: i64, bytes: &[u8]) -> Outcome {
    let name = format!("{id:06}.eml");
    let write = || -> io::Result<()> {
        crate::db::make_folder(folder).map_err(io::Error::other)?;
        let fresh = folder.join(format!(".{name}"));
        let mut file = OpenOptions::new().create(true).write(true).truncate(true).mode(0o600).open(&fresh)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        std::fs::rename(&fresh, folder.join(&name))
    };
    match write() {
        Ok(()) => Outcome::Accepted(Said { code: String::new(), words: format!("Saved to the file {name}.") }),
        Err(error) => Outcome::Relay {
            said: Said {
                code: String::new(),
                words: shown(&format!("Burnday can't write to the folder for email. ({error})")),
            },
            begun: false,
        },
    }
}
