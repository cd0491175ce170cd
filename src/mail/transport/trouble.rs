//! Why a step of a conversation failed.

use super::outcome::{Said, said, shown};
use lettre::transport::smtp::Error as SmtpError;
use std::future::Future;
use std::time::Duration;
use tokio::time::timeout;

/// Why a step failed.
#[derive(Debug)]
pub(super) enum Trouble {
    /// A reply that says no.
    No { code: u16, text: String },
    /// No reply, or none that can be read.
    Broken(Said),
}

impl Trouble {
    pub fn broken(words: &str) -> Self {
        Self::Broken(Said { code: String::new(), words: shown(words) })
    }

    pub fn of(error: &SmtpError) -> Self {
        let text = std::error::Error::source(error).map(ToString::to_string).unwrap_or_default();
        match error.status() {
            Some(code) => Self::No { code: code.into(), text },
            None => Self::broken(&plain(error.to_string().trim_start_matches("Connection error: "))),
        }
    }

    /// The same for signing in: a bare code wouldn't say whose password it is.
    pub fn of_login(self) -> Self {
        match self {
            Self::No { code, text } if matches!(code, 534 | 535) => {
                let Said { code, words } = said(code, &text);
                Self::Broken(Said {
                    code,
                    words: shown(&format!(
                        "The email server refused the user name or password in --mail-url. ({words})"
                    )),
                })
            }
            other => other,
        }
    }

    pub fn said(&self) -> Said {
        match self {
            Self::Broken(said) => said.clone(),
            Self::No { code, text } => said(*code, text),
        }
    }
}

/// What went wrong with the connection, for whoever can do something about it; the
/// library's own words follow in parentheses.
fn plain(words: &str) -> String {
    let known = [
        ("STARTTLS is not supported", "Nothing was sent: the email server doesn't offer encryption."),
        ("not valid for name", "Nothing was sent: the email server's certificate is for another host name."),
        ("UnknownIssuer", "Nothing was sent: this computer doesn't trust who signed the email server's certificate."),
        ("certificate expired", "Nothing was sent: the email server's certificate has expired."),
        ("invalid peer certificate", "Nothing was sent: the email server's certificate can't be trusted."),
    ];
    let means = known.iter().find(|(mark, _)| words.contains(mark)).map(|(_, means)| *means);
    format!("{} ({words})", means.unwrap_or("The connection to the email server failed."))
}

pub(super) async fn step<T>(
    patience: Duration,
    work: impl Future<Output = Result<T, SmtpError>>,
) -> Result<T, Trouble> {
    match timeout(patience, work).await {
        Ok(done) => done.map_err(|error| Trouble::of(&error)),
        Err(_) => Err(Trouble::broken("The email server didn't answer in time.")),
    }
}
