//! Secrets that open something: made here, and stored only as SHA-256.

use anyhow::{Context, anyhow};
use base64::Engine;
use base64::prelude::BASE64_URL_SAFE_NO_PAD;
use hmac::{Hmac, KeyInit, Mac};
use rand::Rng;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::fs::OpenOptions;
use std::io::Write as _;
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;

/// 32 random bytes, written as 43 characters. It never prints its value, so it can't end up
/// in a log.
#[derive(Clone)]
pub struct Secret(String);

impl Secret {
    #[must_use]
    pub fn new() -> Self {
        let mut bytes = [0; 32];
        rand::rng().fill_bytes(&mut bytes);
        Self(BASE64_URL_SAFE_NO_PAD.encode(bytes))
    }

    /// A secret someone sent; none if it can't be one of ours.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let bytes = BASE64_URL_SAFE_NO_PAD.decode(text).ok()?;
        (bytes.len() == 32).then(|| Self(text.to_owned()))
    }

    /// What the store keeps instead of it.
    #[must_use]
    pub fn hash(&self) -> Vec<u8> {
        Sha256::digest(&self.0).to_vec()
    }

    /// The secret itself, to hand out.
    #[must_use]
    pub fn reveal(&self) -> &str {
        &self.0
    }
}

impl Default for Secret {
    fn default() -> Self {
        Self::new()
    }
}

impl std::fmt::Debug for Secret {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Secret")
    }
}

/// What an emailed link opens. Its secret is made from the key beside the store and never
/// saved, so neither a copy of the store nor an email waiting in it opens anything.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Opens {
    /// One question and its answer buttons.
    Question,
    /// What one person was asked, as a calendar.
    Calendar,
    /// An event as a calendar.
    EventCalendar,
    /// A person's choice to stop announcements.
    Announcements,
    /// The call sheet of one crew member.
    CallSheet,
    /// A release that someone outside is asked to read.
    PaperReading,
    /// No page: it shows that a browser signed in to an account before.
    Device,
}

impl Opens {
    /// Where such a link leads.
    #[must_use]
    pub fn path(self) -> &'static str {
        match self {
            Self::Question => "/answer",
            Self::Calendar => "/calendar",
            Self::EventCalendar => "/event-calendar",
            Self::Announcements => "/announcements",
            Self::CallSheet => "/call-sheet",
            Self::PaperReading => "/read-paper",
            Self::Device => "/device",
        }
    }

    /// Marks the place of the link in a text that is stored. No form accepts the character
    /// around it, so nobody can type one.
    #[must_use]
    pub fn mark(self, id: i64, number: i64) -> String {
        format!("{MARK}{} {id} {number}{MARK}", self.path())
    }

    fn at(path: &str) -> Option<Self> {
        let all = [
            Self::Question,
            Self::Calendar,
            Self::EventCalendar,
            Self::Announcements,
            Self::CallSheet,
            Self::PaperReading,
        ];
        all.into_iter().find(|opens| opens.path() == path)
    }
}

const MARK: char = '\u{1}';

/// The key that the secrets of emailed links are made from.
#[derive(Clone)]
pub struct LinkKey([u8; 32]);

impl LinkKey {
    /// The key of a data folder. It is created at the first start.
    ///
    /// # Errors
    /// When the file can't be read or written.
    pub fn of(folder: &Path) -> anyhow::Result<Self> {
        let path = folder.join("link-key");
        if !path.exists() {
            let mut key = [0; 32];
            rand::rng().fill_bytes(&mut key);
            let fresh = folder.join("link-key.new");
            let mut file = OpenOptions::new().create(true).write(true).truncate(true).mode(0o600).open(&fresh)?;
            file.write_all(&key)?;
            file.sync_all()?;
            std::fs::rename(&fresh, &path)?;
        }
        let bytes = std::fs::read(&path).with_context(|| format!("can't read {}", path.display()))?;
        let key = bytes
            .try_into()
            .map_err(|_| anyhow!("{} must hold 32 bytes. Restore it from your copy", path.display()))?;
        Ok(Self(key))
    }

    /// The secret that opens this thing. Another number makes another secret.
    #[must_use]
    pub fn secret(&self, opens: Opens, id: i64, number: i64) -> Secret {
        let mut mac = Hmac::<Sha256>::new_from_slice(&self.0).expect("a key of any length will do");
        mac.update(format!("{} {id} {number}", opens.path()).as_bytes());
        Secret(BASE64_URL_SAFE_NO_PAD.encode(mac.finalize().into_bytes()))
    }

    /// Sets this installation apart from others, in names that must be unique worldwide. It
    /// opens nothing.
    #[must_use]
    pub fn installation(&self) -> String {
        let mut mac = Hmac::<Sha256>::new_from_slice(&self.0).expect("a key of any length will do");
        mac.update(b"installation");
        hex(&mac.finalize().into_bytes()[..8])
    }

    /// A digest of these parts that nobody can guess from the store alone.
    #[must_use]
    pub fn digest<'a>(&self, parts: impl IntoIterator<Item = &'a str>) -> Vec<u8> {
        let mut mac = Hmac::<Sha256>::new_from_slice(&self.0).expect("a key of any length will do");
        mac.update(b"digest");
        for part in parts {
            mac.update(&part.len().to_le_bytes());
            mac.update(part.as_bytes());
        }
        mac.finalize().into_bytes().to_vec()
    }

    /// The text with web addresses in place of its marks.
    #[must_use]
    pub fn fill(&self, text: &str, base_url: &str) -> String {
        let mut parts = text.split(MARK);
        let mut filled = parts.next().unwrap_or_default().to_owned();
        while let (Some(mark), Some(plain)) = (parts.next(), parts.next()) {
            let mut words = mark.split(' ');
            let opens = words.next().and_then(Opens::at);
            let mut number = || words.next().and_then(|word| word.parse::<i64>().ok());
            if let (Some(opens), Some(id), Some(number)) = (opens, number(), number()) {
                let secret = self.secret(opens, id, number);
                let _ = write!(filled, "{base_url}{}/{}", opens.path(), secret.reveal());
            }
            filled.push_str(plain);
        }
        filled
    }
}

/// The text with words in place of its marks, and no links.
#[must_use]
pub fn without_links(text: &str, words: &str) -> String {
    let mut parts = text.split(MARK);
    let mut plain = parts.next().unwrap_or_default().to_owned();
    while let (Some(_), Some(rest)) = (parts.next(), parts.next()) {
        if plain.ends_with(" href=\"") {
            plain.truncate(plain.len() - "href=\"".len());
            plain.push_str("title=\"");
        }
        plain.push_str(words);
        plain.push_str(rest);
    }
    plain
}

/// Eight characters to find a line in the log.
#[must_use]
pub fn short_id() -> String {
    let mut bytes = [0; 4];
    rand::rng().fill_bytes(&mut bytes);
    hex(&bytes)
}

/// Bytes as hexadecimal digits.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_link_is_made_again_and_no_other() {
        let folder = tempfile::tempdir().unwrap();
        let key = LinkKey::of(folder.path()).unwrap();
        let again = LinkKey::of(folder.path()).unwrap();
        let hash = |key: &LinkKey, opens, id, number| key.secret(opens, id, number).hash();
        let one = hash(&key, Opens::Question, 7, 1);
        assert_eq!(one, hash(&again, Opens::Question, 7, 1));
        assert!(Secret::read(key.secret(Opens::Question, 7, 1).reveal()).is_some());
        for other in [(Opens::Question, 7, 2), (Opens::Question, 71, 1), (Opens::Calendar, 7, 1)] {
            assert_ne!(one, hash(&key, other.0, other.1, other.2), "{other:?}");
        }
        let elsewhere = tempfile::tempdir().unwrap();
        assert_ne!(one, hash(&LinkKey::of(elsewhere.path()).unwrap(), Opens::Question, 7, 1));
    }

    #[test]
    fn marks_become_addresses_when_a_text_leaves() {
        let folder = tempfile::tempdir().unwrap();
        let key = LinkKey::of(folder.path()).unwrap();
        let text = format!("Answer here: {} or call.", Opens::Question.mark(7, 1));
        let filled = key.fill(&text, "https://burn.example.org");
        let secret = key.secret(Opens::Question, 7, 1);
        assert_eq!(filled, format!("Answer here: https://burn.example.org/answer/{} or call.", secret.reveal()));
        assert_eq!(key.fill("No link {/answer 7 1}.", "https://x"), "No link {/answer 7 1}.");
    }

    /// RFC 4231 section 4.2, test case 1, in the only form our key takes: its 20 bytes, filled
    /// with zeros to 32, make the same code.
    #[test]
    fn secrets_are_hmac_sha_256() {
        let mut key = [0; 32];
        key[..20].fill(0x0b);
        let mut mac = Hmac::<Sha256>::new_from_slice(&key).unwrap();
        mac.update(b"Hi There");
        assert_eq!(
            hex(&mac.finalize().into_bytes()),
            "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"
        );
    }

    #[test]
    fn a_secret_reads_back_and_nothing_else_does() {
        let secret = Secret::new();
        assert_eq!(Secret::read(secret.reveal()).unwrap().hash(), secret.hash());
        assert_eq!(secret.reveal().len(), 43);
        for wrong in ["", "abc", &"A".repeat(44), "../../etc/passwd", &format!("{}=", secret.reveal())] {
            assert!(Secret::read(wrong).is_none(), "{wrong}");
        }
        assert_eq!(format!("{secret:?}"), "Secret");
    }
}
