//! How a delivery ends, and what a reply says about it.

use crate::mail::outbox::PreSendCheck;
use crate::mail::reply::enhanced;

/// How a delivery ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    Accepted(Said),
    /// Not this message, not now.
    Later(Said),
    /// Never this message.
    Refused {
        said: Said,
        /// There is no such address.
        address: bool,
    },
    /// The relay can't be reached or used, and no message is to blame. `begun` says
    /// that this one was already under discussion.
    Relay {
        said: Said,
        begun: bool,
    },
    /// The text was sent and no reply came.
    Uncertain(Said),
    /// The check right before the text is sent said no.
    Stopped(PreSendCheck),
    /// The program is to stop, and nothing was sent yet.
    Halted,
}

/// What the relay said, or what went wrong, for the person who reads it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Said {
    /// The enhanced code (RFC 3463) if there is one, else the plain one; empty
    /// if the relay said nothing.
    pub code: String,
    pub words: String,
}

/// The point in a conversation where a reply came.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Phase {
    /// Connecting, TLS, signing in, MAIL: no recipient has been named yet.
    Before,
    /// RCPT, DATA, and the reply to the text.
    About,
}

/// What to do about a reply. The enhanced code overrides the plain one.
pub(super) fn judge(phase: Phase, code: u16, text: &str) -> Outcome {
    let said = said(code, text);
    let enhanced = enhanced(text);
    let permanent = enhanced.map_or(code >= 500, |(class, _)| class == 5);
    let detail = enhanced.map(|(_, detail)| detail).unwrap_or_default();
    // 421: it closes; 454 and 53x: TLS or signing in.
    if matches!(code, 421 | 454 | 530 | 534 | 535 | 538) {
        return Outcome::Relay { said, begun: phase == Phase::About };
    }
    match (phase, permanent) {
        // A message that is too large is too large for any relay; anything else said
        // before a recipient is named is about us.
        (Phase::Before, true) if code != 552 => Outcome::Relay { said, begun: false },
        (_, true) => Outcome::Refused { said, address: matches!(detail, "1.1" | "1.10" | "1.2") },
        (_, false) => Outcome::Later(said),
    }
}

pub(super) fn said(code: u16, text: &str) -> Said {
    let short = enhanced(text).and_then(|_| text.split_whitespace().next()).map(str::to_owned);
    Said { code: short.unwrap_or_else(|| code.to_string()), words: shown(&format!("{code} {text}")) }
}

/// One line for a page, whatever a relay sent.
pub(super) fn shown(words: &str) -> String {
    let words = words.replace(char::is_control, " ").split_whitespace().collect::<Vec<_>>().join(" ");
    words.chars().take(400).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 3463 sections 3.2, 3.5 and 3.8; RFC 5321 section 4.2.2.
    #[test]
    fn replies_are_judged_by_their_codes() {
        let about = |code, text| judge(Phase::About, code, text);
        let refused = |code, text| matches!(about(code, text), Outcome::Refused { address: false, .. });
        let unknown = |code, text| matches!(about(code, text), Outcome::Refused { address: true, .. });
        assert!(unknown(550, "5.1.1 no such user"));
        assert!(unknown(550, "5.1.10 null MX"));
        assert!(unknown(550, "5.1.2 bad domain"));
        assert!(refused(550, "no such user"), "without an enhanced code, the address may be fine");
        assert!(refused(550, "5.7.1 looks like spam"));
        assert!(refused(554, "5.6.0 bad content"));
        assert!(matches!(about(451, "4.3.0 later"), Outcome::Later(_)));
        assert!(matches!(about(550, "4.2.0 mailbox busy"), Outcome::Later(_)), "the enhanced code comes first");
        for code in [421, 454, 535] {
            assert!(matches!(about(code, ""), Outcome::Relay { begun: true, .. }), "{code}");
        }
        assert!(matches!(judge(Phase::Before, 550, "5.7.1 who are you"), Outcome::Relay { begun: false, .. }));
        assert!(matches!(judge(Phase::Before, 552, "too large"), Outcome::Refused { .. }));
        assert!(matches!(judge(Phase::Before, 451, ""), Outcome::Later(_)));
    }
}
