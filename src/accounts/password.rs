//! Passwords: which ones are good enough, and checking them at a limited cost.

use super::store;
use crate::error::Result;
use crate::hashing::Waits;
use crate::state::App;
use crate::web::limits::{Limit, TooOften, in_seconds};
use anyhow::anyhow;
use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use std::sync::LazyLock;
use zxcvbn::{Score, zxcvbn};

const SHORTEST: usize = 12;
const LONGEST: usize = 200;
/// The lowest zxcvbn score we accept, from 0 to 4: more than 100 million guesses.
const LEAST: Score = Score::Three;
/// Words that anyone here would try first.
const OURS: [&str; 8] =
    ["burnday", "live burn", "sprinkler", "fire", "firefighter", "department", "district", "rescue"];

/// The hash compared for an unknown email, so that it takes as long as a wrong password.
static NOBODY: LazyLock<String> = LazyLock::new(|| hash_now("nobody has this password").expect("argon2 works"));

/// Is this password good enough? zxcvbn estimates how many guesses it takes. `own` is what
/// we know about its owner: email, name, and department.
///
/// # Errors
/// What to tell the person who typed it.
pub fn check(password: &str, own: &[&str]) -> Result<(), String> {
    let length = password.chars().count();
    if length < SHORTEST {
        return Err(format!("Use at least {SHORTEST} characters. Three or four unrelated words work well."));
    }
    if length > LONGEST {
        return Err(format!("Use at most {LONGEST} characters."));
    }
    let parts = own.iter().flat_map(|own| own.split(|letter: char| !letter.is_alphanumeric()));
    let parts: Vec<String> = parts.filter(|part| part.chars().count() > 2).map(str::to_lowercase).collect();
    let known: Vec<&str> =
        OURS.into_iter().chain(own.iter().copied()).chain(parts.iter().map(String::as_str)).collect();
    // What is left without the owner's own words must be hard to guess too.
    let mut left = password.to_lowercase();
    for part in &parts {
        left = left.replace(part.as_str(), "");
    }
    if [password, &left].into_iter().any(|text| zxcvbn(text, &known).score() < LEAST) {
        return Err("This one is easy to guess. Use three or four unrelated words.".to_owned());
    }
    Ok(())
}

/// The hash to store.
///
/// # Errors
/// When too many are waiting, or the work fails.
pub async fn hash(app: &App, password: String) -> Result<String> {
    let turn = app.hashing.turn(Waits::AsKnown).await?;
    let work = move || {
        let _turn = turn;
        hash_now(&password)
    };
    tokio::task::spawn_blocking(work).await?
}

/// Is this the password? It takes as long without a hash as with one.
///
/// # Errors
/// When too many are waiting, or the work fails.
pub async fn verify(app: &App, password: String, hash: Option<String>, waits: Waits) -> Result<bool> {
    let turn = app.hashing.turn(waits).await?;
    let right = tokio::task::spawn_blocking(move || {
        let _turn = turn;
        let known = hash.is_some();
        let hash = hash.unwrap_or_else(|| NOBODY.clone());
        let parsed = PasswordHash::new(&hash).map_err(|error| anyhow!("a stored password hash: {error}"))?;
        let fits = Argon2::default().verify_password(password.as_bytes(), &parsed).is_ok();
        anyhow::Ok(known && fits)
    });
    Ok(right.await??)
}

/// What someone who is signed in typed as their own password.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Own {
    Right,
    Wrong,
    /// Too many tries: wait this many seconds.
    TooOften(u64),
}

impl Own {
    /// What to say beside the field; nothing if it is right.
    #[must_use]
    pub fn mistake(self) -> Option<String> {
        match self {
            Self::Right => None,
            Self::Wrong => Some("That is not your password. Nothing was changed. Try again.".to_owned()),
            Self::TooOften(seconds) => Some(format!("Too many tries. Wait {}, then try again.", in_seconds(seconds))),
        }
    }
}

/// Is this the password of the account that is signed in?
///
/// # Errors
/// The store's, or when too many are waiting.
pub async fn is_own(app: &App, account: i64, password: String) -> Result<Own> {
    if let Err(TooOften(wait)) = app.limits.take(Limit::OwnPassword, &account.to_string()) {
        return Ok(Own::TooOften(wait.as_secs() + 1));
    }
    let hash = store::password_hash(app.db.read(), account).await?;
    Ok(if verify(app, password, hash, Waits::AsKnown).await? { Own::Right } else { Own::Wrong })
}

fn hash_now(password: &str) -> Result<String> {
    let hash = Argon2::default().hash_password(password.as_bytes()).map_err(|error| anyhow!("argon2: {error}"))?;
    Ok(hash.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_soon_guessed_is_refused() {
        let own = ["priya.okafor@example.org", "Priya Okafor", "Alder Bend Fire District"];
        for good in ["four quiet grey herons", "tallow-brisk-ninety-otter", "vQ7#ke2!mBw0zt"] {
            assert!(check(good, &own).is_ok(), "{good}");
        }
        // Common ones, keyboard rows, repeats, and dates; then the owner's own words.
        for wrong in [
            "short",
            "aaaaaaaaaaaaaa",
            "P@ssw0rd1234",
            "Password2027!",
            "qwertyuiop12",
            "123456789012",
            "letmeinletmein",
            "Burnday2027!",
            "firefighter1",
            "sprinkler2027",
            "priya.okafor1987",
            "Okafor-Okafor-1",
            "AlderBendFire",
            "alder bend 2027",
            &"x1y2z".repeat(60),
        ] {
            assert!(check(wrong, &own).is_err(), "{wrong}");
        }
    }

    /// Argon2id with 19 MiB, two passes, and one lane: the minimum in the OWASP Password
    /// Storage Cheat Sheet; from memory.
    #[test]
    fn hashes_are_argon2id_at_the_recommended_cost() {
        let hash = hash_now("four quiet grey herons").unwrap();
        assert!(hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"), "{hash}");
    }
}
