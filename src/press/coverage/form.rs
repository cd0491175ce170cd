//! The form of a story.

use super::{NewStory, Story};
use crate::people::Name;
use crate::web::conflict::Conflict;
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;
use time::Date;

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(super) struct StoryForm {
    pub outlet: String,
    pub ran_on: String,
    pub title: String,
    pub link: String,
    pub minutes: String,
    pub carried: Vec<String>,
    pub correction: String,
    pub corrected_on: String,
    pub version: i64,
}

impl StoryForm {
    pub fn of(story: &Story) -> Self {
        let details = &story.details;
        Self {
            outlet: story.outlet_id.to_string(),
            ran_on: words::iso(details.ran_on),
            title: details.title.clone(),
            link: details.link.clone(),
            minutes: details.air_seconds.map(minutes).unwrap_or_default(),
            carried: details.carried_numbers(),
            correction: details.correction.clone(),
            corrected_on: details.corrected_on.map(words::iso).unwrap_or_default(),
            version: story.version,
        }
    }

    pub fn carries(&self, number: impl std::borrow::Borrow<usize>) -> bool {
        let number = number.borrow().to_string();
        self.carried.contains(&number)
    }

    pub fn read(&self, outlets: &[Name], messages: usize, today: Date) -> Result<NewStory, Mistakes> {
        let mut mistakes = Mistakes::default();
        let outlet = outlets.iter().find(|outlet| outlet.id.to_string() == self.outlet);
        let outlet = mistakes.note("outlet", outlet.ok_or("Choose the outlet that ran it.".to_owned()));
        let past = |text: &str| match form::day(text)? {
            day if day > today => Err("This is in the future. Give the date when it happened.".to_owned()),
            day => Ok(day),
        };
        let ran_on = mistakes.note("ran_on", past(&self.ran_on));
        let title = mistakes.note("title", form::line(&self.title, 200));
        let link = mistakes.note("link", link(&self.link));
        let air_seconds = mistakes.note("minutes", seconds(&self.minutes));
        let correction = mistakes.note("correction", form::optional_line(&self.correction, 300));
        let corrected_on =
            if self.corrected_on.trim().is_empty() { Ok(None) } else { past(&self.corrected_on).map(Some) };
        let corrected_on = mistakes.note("corrected_on", corrected_on);
        if corrected_on.is_some_and(|on| on.is_some()) && correction.as_deref() == Some("") {
            mistakes.add("correction", "Say what was corrected.");
        }
        let carried =
            (0..messages).filter(|place| self.carries(place + 1)).fold(0_u8, |bits, place| bits | (1 << place));
        match (outlet, ran_on, title, link, air_seconds, correction, corrected_on, mistakes.is_empty()) {
            (
                Some(outlet),
                Some(ran_on),
                Some(title),
                Some(link),
                Some(air_seconds),
                Some(correction),
                Some(corrected_on),
                true,
            ) => Ok(NewStory {
                outlet_id: outlet.id,
                ran_on,
                title,
                link,
                air_seconds,
                carried,
                correction,
                corrected_on,
            }),
            _ => Err(mistakes),
        }
    }

    /// What someone else saved meanwhile, beside what was typed here.
    pub fn conflict(&self, theirs: &Story, event_id: i64) -> Conflict {
        let saved = Self::of(theirs);
        let action = format!("/events/{event_id}/press/coverage/{}", theirs.id);
        let mut conflict = Conflict::new(&saved.title, action, theirs.version);
        conflict.silent("outlet", &self.outlet);
        conflict.field("ran_on", "Ran on", &saved.ran_on, &self.ran_on);
        conflict.field("title", "Title", &saved.title, &self.title);
        conflict.field("link", "Link", &saved.link, &self.link);
        conflict.field("minutes", "Minutes on air", &saved.minutes, &self.minutes);
        conflict.list("carried", "Key messages in it", &saved.carried, &self.carried);
        conflict.field("correction", "Correction to ask for", &saved.correction, &self.correction);
        conflict.field("corrected_on", "Corrected on", &saved.corrected_on, &self.corrected_on);
        conflict
    }
}

/// A web address, or words about where the clipping is.
fn link(text: &str) -> Result<String, String> {
    let text = form::optional_line(text, 500)?;
    let is_address = text.starts_with("https://") || text.starts_with("http://");
    if text.contains(':') && !is_address && !text.contains(' ') {
        return Err("Give a web address that starts with https://, or say where the clipping is.".to_owned());
    }
    Ok(text)
}

/// "1:30" or "2" minutes.
fn seconds(text: &str) -> Result<Option<u32>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let wrong = || "Give minutes and seconds, like 1:30, or leave this empty. It can be up to a day.".to_owned();
    let whole = |text: &str| text.parse::<u32>().map_err(|_| wrong());
    let seconds = match text.split_once(':') {
        Some((minutes, rest)) if rest.len() == 2 => {
            let rest = whole(rest)?;
            if rest > 59 {
                return Err(wrong());
            }
            whole(minutes)?.checked_mul(60).and_then(|all| all.checked_add(rest)).ok_or_else(wrong)?
        }
        Some(_) => return Err(wrong()),
        None => whole(text)?.checked_mul(60).ok_or_else(wrong)?,
    };
    if (1..=86_400).contains(&seconds) { Ok(Some(seconds)) } else { Err(wrong()) }
}

/// "1:30"
pub(super) fn minutes(seconds: u32) -> String {
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_on_air_are_read_in_two_ways() {
        assert_eq!(seconds(" ").unwrap(), None);
        assert_eq!(seconds("1:30").unwrap(), Some(90));
        assert_eq!(seconds("2").unwrap(), Some(120));
        for wrong in ["0", "0:00", "1:75", "1:3", "-1", "x", "99999999999", "1441", "1,5"] {
            assert!(seconds(wrong).is_err(), "{wrong}");
        }
        assert_eq!(minutes(90), "1:30");
    }

    #[test]
    fn a_link_is_one_of_the_web_or_words() {
        assert!(
            link("https://news.example.org/a").is_ok() && link("clipping in the folder").is_ok() && link("").is_ok()
        );
        assert!(link("javascript:alert(1)").is_err());
    }
}
