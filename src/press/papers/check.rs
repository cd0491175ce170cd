//! What a text still lacks before somebody may approve it.

use super::PaperKind;
use crate::events::Event;
use crate::press::facts::Facts;
use time::Date;

/// The texts in square brackets, each once.
fn open_places(text: &str) -> Vec<String> {
    let mut places: Vec<String> = Vec::new();
    let mut rest = text;
    while let Some((_, after)) = rest.split_once('[') {
        let Some((place, next)) = after.split_once(']') else { break };
        let place = place.split_whitespace().collect::<Vec<_>>().join(" ");
        if !place.is_empty() && !places.contains(&place) {
            places.push(place);
        }
        rest = next;
    }
    places
}

/// Does a text name this day, as "2 January", "Jan 2" or "January 2"?
fn names_day(text: &str, on: Date) -> bool {
    let month = on.month().to_string().to_lowercase();
    let short = &month[..3];
    let words: Vec<String> = text
        .to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect();
    let is_month = |word: &str| word == month || word == short;
    let number = on.day().to_string();
    let is_number = |word: &str| word.trim_end_matches(['s', 't', 'n', 'd', 'r', 'h']) == number;
    words
        .windows(2)
        .any(|pair| (is_month(&pair[0]) && is_number(&pair[1])) || (is_number(&pair[0]) && is_month(&pair[1])))
}

fn digits(text: &str) -> String {
    text.chars().filter(char::is_ascii_digit).collect()
}

/// What is missing, each in words.
pub(in crate::press) fn missing(kind: PaperKind, text: &str, event: &Event, facts: &Facts) -> Vec<String> {
    let mut missing = open_places(text);
    let phone = digits(&facts.phone);
    let has_place = |name: &str, places: &[String]| places.iter().any(|place| place == name);
    if phone.is_empty() {
        if !has_place("contact phone", &missing) {
            missing.push("contact phone: none is among the press facts".to_owned());
        }
    } else if !digits(text).contains(&phone) {
        missing.push(format!("contact phone: {} isn't in the text", facts.phone));
    }
    if kind == PaperKind::AfterTheDay {
        return missing;
    }
    let burn_on = event.details.burn_on;
    if !names_day(text, burn_on) {
        missing.push(format!("burn day: {} isn't in the text", super::draft::long_day(burn_on)));
    }
    if let Some(rain_on) = event.details.rain_on.filter(|on| !names_day(text, *on)) {
        missing.push(format!("rain date: {} isn't in the text", super::draft::long_day(rain_on)));
    }
    missing
}

#[cfg(test)]
mod tests {
    use super::super::draft::draft;
    use super::*;
    use crate::events::{Details, Format, Weekdays};
    use crate::zone::Zone;
    use time::Weekday;
    use time::macros::{date, time};

    fn event() -> Event {
        let details = Details {
            name: "Two Rooms".to_owned(),
            site: "Fairground".to_owned(),
            zone: Zone::named("America/Chicago").unwrap(),
            burn_on: date!(2027 - 01 - 02),
            burn_time: time!(10:00),
            rain_on: Some(date!(2027 - 01 - 09)),
            format: Format::OneAtATime,
            audience: None,
            weekdays: Weekdays::new([Weekday::Saturday]).unwrap(),
        };
        Event { id: 1, details, date_revision: 1, facts_revision: 1, is_current: true, version: 1 }
    }

    fn facts() -> Facts {
        let text = |text: &str| text.to_owned();
        Facts {
            contact: text("Jun Castellane"),
            phone: text("555-0118"),
            why: text("Most people think they have longer."),
            area: text("North fence."),
            arrival: text("09:15 by gate B."),
            interviews: text("Chief at 11:00."),
            visuals: text("Smoke alarm at about minute 1."),
            decision: text("Told on Friday at 16:00."),
            clothing: text("Closed shoes."),
            power: text("None."),
            ..Facts::default()
        }
    }

    #[test]
    fn a_draft_out_of_all_facts_lacks_nothing() {
        let (event, facts) = (event(), facts());
        let (_, text) = draft(PaperKind::Advisory, &event, "Alder Bend Fire District", &facts);
        assert_eq!(missing(PaperKind::Advisory, &text, &event, &facts), [""; 0]);
        for word in ["WHAT: ", "WHO: ", "WHEN: Saturday 2 January 2027, 10:00", "WHERE: ", "WHY: ", "09:15", "555-0118"]
        {
            assert!(text.contains(word), "{word}");
        }
    }

    #[test]
    fn what_is_not_known_stands_in_brackets_and_is_missing() {
        let event = event();
        let facts = Facts { area: String::new(), phone: String::new(), ..facts() };
        let (_, text) = draft(PaperKind::Advisory, &event, "Alder Bend Fire District", &facts);
        assert_eq!(missing(PaperKind::Advisory, &text, &event, &facts), ["press area", "contact phone"]);
        let (_, text) = draft(PaperKind::AfterTheDay, &event, "Alder Bend Fire District", &facts);
        assert!(missing(PaperKind::AfterTheDay, &text, &event, &facts).contains(&"minutes and seconds".to_owned()));
    }

    #[test]
    fn a_text_with_an_old_date_or_another_number_lacks_the_new_ones() {
        let (mut event, facts) = (event(), facts());
        let (_, text) = draft(PaperKind::Advisory, &event, "Alder Bend Fire District", &facts);
        event.details.burn_on = date!(2027 - 01 - 16);
        event.details.rain_on = None;
        assert_eq!(
            missing(PaperKind::Advisory, &text, &event, &facts),
            ["burn day: Saturday 16 January 2027 isn't in the text"]
        );
        let facts = Facts { phone: "555-0199".to_owned(), ..facts };
        assert!(missing(PaperKind::AfterTheDay, &text, &event, &facts)[0].starts_with("contact phone: 555-0199"));
    }

    #[test]
    fn days_are_known_in_several_ways_and_not_within_others() {
        let on = date!(2027 - 01 - 02);
        for text in ["on Sat 2 Jan 2027", "January 2, 2027", "Saturday, January 2nd", "2 january"] {
            assert!(names_day(text, on), "{text}");
        }
        for text in ["12 January 2027", "January 20", "2 February", "January 2027"] {
            assert!(!names_day(text, on), "{text}");
        }
    }
}
