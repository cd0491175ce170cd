//! What was read for a gate: by whom, when, and on which device.

use time::OffsetDateTime;

/// One reading or forecast.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    pub id: i64,
    pub gate_id: i64,
    pub noted: Noted,
    /// When it came here.
    pub noted_at: OffsetDateTime,
    pub by: String,
    /// "phone", "computer".
    pub device: String,
}

/// What someone notes.
#[derive(Debug, Clone, PartialEq)]
pub struct Noted {
    /// A number in the gate's unit, the place of a choice counted from 0, or 1 for yes.
    pub value: f64,
    /// What a heat index was worked out from.
    pub air: Option<Air>,
    /// What is expected, not what is.
    pub is_forecast: bool,
    pub note: String,
    /// When it was read.
    pub at: OffsetDateTime,
}

/// The air in the shade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// °F
    pub temperature: f64,
    /// Percent
    pub humidity: f64,
}

/// What kind of device a browser says it is, in a word. Only that is kept.
#[must_use]
pub fn device(user_agent: &str) -> &'static str {
    if user_agent.contains("Tablet") || user_agent.contains("iPad") {
        "tablet"
    } else if user_agent.contains("Mobi") {
        "phone"
    } else if user_agent.is_empty() {
        "unknown device"
    } else {
        "computer"
    }
}

#[cfg(test)]
mod tests {
    use super::device;

    #[test]
    fn a_device_is_known_by_what_browsers_say() {
        // The forms that browsers use: "Mobi" for phones, as MDN's guide to user agents advises.
        assert_eq!(
            device("Mozilla/5.0 (Linux; Android 14) AppleWebKit/537.36 Chrome/130.0 Mobile Safari/537.36"),
            "phone"
        );
        assert_eq!(device("Mozilla/5.0 (iPad; CPU OS 17_0) AppleWebKit/605.1.15"), "tablet");
        assert_eq!(device("Mozilla/5.0 (X11; Linux x86_64; rv:130.0) Gecko/20100101"), "computer");
        assert_eq!(device(""), "unknown device");
    }
}
