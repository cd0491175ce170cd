//! How often someone may try. Buckets in memory that fill up again over time.

use crate::web::error_page::error_page;
use crate::web::words;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// What is limited, with how many tries there are and how long one takes to come back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Limit {
    /// Signing in from one address, which many people may share.
    SignInAddress,
    /// Signing in to one account from one address.
    SignInHere,
    /// Signing in from a browser that signed in before.
    SignInDevice,
    /// Signing in to one account from anywhere else: it only takes longer (see
    /// [`Limits::wait`]).
    SignInAccount,
    /// Typing your own password again.
    OwnPassword,
    /// Opening links, from one address.
    LinkAddress,
    /// Offers with a photo in reply to one question.
    OfferHere,
    /// The same from one address: checking a picture takes a while.
    OfferAddress,
}

impl Limit {
    fn size(self) -> (f64, Duration) {
        match self {
            Self::SignInAddress => (60.0, Duration::from_secs(2)),
            Self::SignInHere | Self::SignInDevice | Self::OwnPassword => (8.0, Duration::from_secs(30)),
            Self::SignInAccount => (60.0, Duration::from_secs(5)),
            Self::LinkAddress => (60.0, Duration::from_secs(1)),
            Self::OfferHere => (10.0, Duration::from_mins(2)),
            Self::OfferAddress => (30.0, Duration::from_secs(20)),
        }
    }
}

/// With this many buckets or more, full ones are dropped.
const MANY: usize = 2_000;
/// At most this many buckets.
const MOST: usize = 50_000;
/// The longest key: an email and a network.
const LONGEST_KEY: usize = 320;

#[derive(Default)]
pub struct Limits(Mutex<HashMap<(Limit, String), Bucket>>);

struct Bucket {
    left: f64,
    at: Instant,
}

impl Limits {
    /// Takes one try.
    ///
    /// # Errors
    /// The response to give when none is left.
    pub fn take(&self, limit: Limit, whose: &str) -> Result<(), TooOften> {
        self.take_at(limit, whose, Instant::now())
    }

    /// How long a try must wait where nobody may be locked out by other people's tries: not
    /// at all while one is left, otherwise until one comes back.
    #[must_use]
    pub fn wait(&self, limit: Limit, whose: &str) -> Duration {
        self.take(limit, whose).err().map(|TooOften(wait)| wait).unwrap_or_default()
    }

    fn take_at(&self, limit: Limit, whose: &str, now: Instant) -> Result<(), TooOften> {
        let (most, each) = limit.size();
        let mut buckets = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if buckets.len() >= MANY && buckets.len().is_multiple_of(MANY / 10) {
            buckets.retain(|(limit, _), bucket| bucket.left_at(*limit, now) < limit.size().0);
        }
        if buckets.len() >= MOST {
            // This many at once is an attack. The oldest tenth goes, so that a flood of new
            // keys can't free one that is limited right now.
            let mut ages: Vec<Instant> = buckets.values().map(|bucket| bucket.at).collect();
            let (_, oldest, _) = ages.select_nth_unstable(MOST / 10);
            let oldest = *oldest;
            buckets.retain(|_, bucket| bucket.at > oldest);
        }
        let key: String = whose.to_lowercase().chars().take(LONGEST_KEY).collect();
        let bucket = buckets.entry((limit, key)).or_insert(Bucket { left: most, at: now });
        bucket.left = bucket.left_at(limit, now);
        bucket.at = now;
        if bucket.left < 1.0 {
            return Err(TooOften(each.mul_f64(1.0 - bucket.left)));
        }
        bucket.left -= 1.0;
        Ok(())
    }
}

impl Bucket {
    fn left_at(&self, limit: Limit, now: Instant) -> f64 {
        let (most, each) = limit.size();
        (self.left + now.duration_since(self.at).as_secs_f64() / each.as_secs_f64()).min(most)
    }
}

/// Too many tries: wait this long.
#[derive(Debug)]
pub struct TooOften(pub Duration);

impl IntoResponse for TooOften {
    fn into_response(self) -> Response {
        let seconds = self.0.as_secs() + 1;
        let page = error_page(
            StatusCode::TOO_MANY_REQUESTS,
            "Too many tries",
            &format!("Nothing was changed. Wait {}, then try again.", in_seconds(seconds)),
        );
        ([(header::RETRY_AFTER, seconds.to_string())], page).into_response()
    }
}

/// "1 second", "30 seconds".
#[must_use]
pub fn in_seconds(seconds: u64) -> String {
    words::count(usize::try_from(seconds).unwrap_or(usize::MAX), "second", "seconds")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tries_run_out_and_come_back() {
        let limits = Limits::default();
        let start = Instant::now();
        for _ in 0..8 {
            limits.take_at(Limit::SignInHere, "a", start).unwrap();
        }
        assert!(limits.take_at(Limit::SignInHere, "A", start).is_err());
        assert!(limits.take_at(Limit::SignInHere, "b", start).is_ok());
        let later = start + Duration::from_secs(31);
        assert!(limits.take_at(Limit::SignInHere, "a", later).is_ok());
        assert!(limits.take_at(Limit::SignInHere, "a", later).is_err());
    }

    #[test]
    fn a_flood_of_keys_frees_nobody_who_is_limited_just_now() {
        let limits = Limits::default();
        let start = Instant::now();
        let at = |number: usize| start + Duration::from_micros(number as u64);
        for number in 0..MOST - 1 {
            limits.take_at(Limit::OfferHere, &format!("key {number}"), at(number)).unwrap();
        }
        for _ in 0..8 {
            limits.take_at(Limit::SignInHere, "tried", at(MOST)).unwrap();
        }
        limits.take_at(Limit::OfferHere, "one more", at(MOST + 1)).unwrap();
        assert!(limits.take_at(Limit::SignInHere, "tried", at(MOST + 2)).is_err());
        let left = limits.0.lock().unwrap().len();
        assert!(left > MOST / 2 && left < MOST, "{left}");
    }
}
