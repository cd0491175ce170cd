//! The day as letters tell of it.

/// What every letter says about the day, and who signs it. Empty fields are left out.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Day {
    /// Name and title of the signer; without a name, the sender signs.
    pub signed_by: String,
    pub signed_as: String,
    /// People in the audience.
    pub came: Option<u32>,
    /// Seconds after the first flame.
    pub alarm: Option<u32>,
    pub sprinkler: Option<u32>,
    pub flashover: Option<u32>,
    /// The result, in one sentence.
    pub result: String,
    pub version: i64,
}

/// "48 s", "3 min 40 s".
pub(super) fn seconds(all: u32) -> String {
    match (all / 60, all % 60) {
        (0, seconds) => format!("{seconds} s"),
        (minutes, 0) => format!("{minutes} min"),
        (minutes, seconds) => format!("{minutes} min {seconds} s"),
    }
}
