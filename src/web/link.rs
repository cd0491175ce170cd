//! Secrets that open something: made here, stored only as their SHA-256.

use base64::Engine;
use base64::prelude::BASE64_URL_SAFE_NO_PAD;
use rand::Rng;
use sha2::{Digest, Sha256};
use std::fmt::Write;

/// 32 random bytes, written with 43 letters. It prints as nothing, so that it
/// can't end up in a log.
#[derive(Clone)]
pub struct Secret(String);

impl Secret {
    #[must_use]
    pub fn new() -> Self {
        let mut bytes = [0; 32];
        rand::rng().fill_bytes(&mut bytes);
        Self(BASE64_URL_SAFE_NO_PAD.encode(bytes))
    }

    /// One that somebody sent; none if it can't be one of ours.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let bytes = BASE64_URL_SAFE_NO_PAD.decode(text).ok()?;
        (bytes.len() == 32).then(|| Self(text.to_owned()))
    }

    /// What the store keeps of it.
    #[must_use]
    pub fn hash(&self) -> Vec<u8> {
        Sha256::digest(&self.0).to_vec()
    }

    /// The secret itself, to hand over.
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

/// Eight letters to find a line in the log by.
#[must_use]
pub fn short_id() -> String {
    let mut bytes = [0; 4];
    rand::rng().fill_bytes(&mut bytes);
    hex(&bytes)
}

/// Bytes as hexadecimal digits.
pub(super) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

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
