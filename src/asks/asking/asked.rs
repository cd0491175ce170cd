//! How many people were asked.

use crate::asks::{Sending, send_question};
use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;

/// How many people were asked, and how many of them get an email.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Asked {
    pub asked: usize,
    pub written: usize,
}

impl Asked {
    /// Counts someone as asked, and emails them these questions. Without any, they weren't.
    pub async fn send(&mut self, tx: &mut Tx, event: &Event, questions: &[i64], sending: Sending<'_>) -> Result<()> {
        if questions.is_empty() {
            return Ok(());
        }
        let mut is_written = false;
        for question in questions {
            is_written |= send_question(tx, (event, *question), sending).await?;
        }
        self.asked += 1;
        self.written += usize::from(is_written);
        Ok(())
    }

    /// How many email doesn't reach.
    #[must_use]
    pub fn unreached(self) -> usize {
        self.asked - self.written
    }

    /// What to say about emails that wait overnight, if there are emails.
    #[must_use]
    pub fn night(self, note: &str) -> &str {
        if self.written > 0 { note } else { "" }
    }
}
