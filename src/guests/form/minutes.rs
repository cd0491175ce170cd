//! Minutes as people type them.

use crate::web::form;

/// The longest time a guest may speak, in minutes.
const MOST_MINUTES: f64 = 60.0;

/// "2", "1:30", or empty.
pub(in crate::guests) fn as_minutes(seconds: u32) -> String {
    match (seconds / 60, seconds % 60) {
        (0, 0) => String::new(),
        (minutes, 0) => minutes.to_string(),
        (minutes, rest) => format!("{minutes}:{rest:02}"),
    }
}

/// Minutes as typed, in seconds: "2", "1.5", "1:30", or empty.
///
/// # Errors
/// What to say to the person who typed it.
pub(in crate::guests) fn minutes(text: &str) -> Result<u32, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(0);
    }
    let wrong = || "Enter minutes from 0 to 60, such as 2, 1.5 or 1:30.".to_owned();
    if let Some((minutes, rest)) = text.split_once(':') {
        let whole: u32 = form::number(minutes, 0, 59).map_err(|_| wrong())?;
        let rest: u32 = form::number(rest, 0, 59).map_err(|_| wrong())?;
        return Ok(whole * 60 + rest);
    }
    let minutes: f64 = text.parse().map_err(|_| wrong())?;
    if !(0.0..=MOST_MINUTES).contains(&minutes) {
        return Err(wrong());
    }
    // In range, so nothing is cut off.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 3600")]
    Ok((minutes * 60.0).round() as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_are_read_as_people_write_them() {
        assert_eq!(minutes(" 2 "), Ok(120));
        assert_eq!(minutes("1.5"), Ok(90));
        assert_eq!(minutes(""), Ok(0));
        assert!(minutes("-1").is_err() && minutes("61").is_err() && minutes("NaN").is_err() && minutes("two").is_err());
        assert_eq!(minutes("0:10"), Ok(10));
        assert!(minutes("1:60").is_err() && minutes("1:").is_err() && minutes(":30").is_err());
        for seconds in [0, 10, 90, 120, 3599] {
            assert_eq!(minutes(&as_minutes(seconds)), Ok(seconds));
        }
    }
}
