//! Passwords: what is one, and checking it at a bounded cost.

use crate::error::Result;
use crate::state::App;
use anyhow::anyhow;
use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use std::sync::{Arc, LazyLock};

const SHORTEST: usize = 12;
const LONGEST: usize = 200;

/// What nobody's hash is compared with, so that an unknown name takes as long
/// as a wrong password.
static NOBODY: LazyLock<String> = LazyLock::new(|| hash_now("nobody has this password").expect("argon2 works"));

/// Is this good enough for a password? Length is what counts; a few words
/// everybody would try first are refused.
///
/// # Errors
/// What to tell the person who typed it.
pub fn check(password: &str, mail: &str) -> Result<(), String> {
    let length = password.chars().count();
    if length < SHORTEST {
        return Err(format!("Use at least {SHORTEST} characters; three or four unrelated words are good."));
    }
    if length > LONGEST {
        return Err(format!("Use at most {LONGEST} characters."));
    }
    let low = password.to_lowercase();
    let own = mail.to_lowercase();
    let name = own.split('@').next().unwrap_or_default();
    let guessed = ["password", "passwort", "burnday", "firefighter", "fire department", "qwerty", "123456", "letmein"];
    let distinct = low.chars().collect::<std::collections::HashSet<_>>().len();
    if guessed.iter().any(|word| low.contains(word)) || (name.len() > 2 && low.contains(name)) || distinct < 5 {
        return Err("This is one of the first that somebody would try. Choose another.".to_owned());
    }
    Ok(())
}

/// The hash to keep.
///
/// # Errors
/// When the work could not be done.
pub async fn hash(app: &App, password: String) -> Result<String> {
    // The turn goes along with the work: who hangs up leaves it running.
    let turn = Arc::clone(&app.hashing).acquire_owned().await?;
    let work = move || {
        let _turn = turn;
        hash_now(&password)
    };
    tokio::task::spawn_blocking(work).await?
}

/// Is this the password? Takes as long without a hash as with one.
///
/// # Errors
/// When the work could not be done.
pub async fn verify(app: &App, password: String, hash: Option<String>) -> Result<bool> {
    let turn = Arc::clone(&app.hashing).acquire_owned().await?;
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

fn hash_now(password: &str) -> Result<String> {
    let hash = Argon2::default().hash_password(password.as_bytes()).map_err(|error| anyhow!("argon2: {error}"))?;
    Ok(hash.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn length_counts_and_the_obvious_is_refused() {
        assert!(check("four quiet grey herons", "priya@example.org").is_ok());
        for wrong in ["short", "aaaaaaaaaaaaaa", "my password is long", "priya priya priya", &"x1y2z".repeat(60)] {
            assert!(check(wrong, "priya@example.org").is_err(), "{wrong}");
        }
    }

    /// Argon2id with 19 MiB, two passes and one lane: the least the OWASP
    /// Password Storage Cheat Sheet names; from memory.
    #[test]
    fn hashes_are_argon2id_at_the_recommended_cost() {
        let hash = hash_now("four quiet grey herons").unwrap();
        assert!(hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"), "{hash}");
    }
}
