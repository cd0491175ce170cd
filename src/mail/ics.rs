//! Calendar files: RFC 5545 (the format), RFC 5546 (invitations) and RFC 6047
//! (invitations by email). Depends on no slice.
//!
//! All times are in UTC, so a file needs no time zone of its own. The same input gives
//! the same bytes, so a calendar that fetches a feed again sees no change where there is
//! none.
//!
//! The `icalendar` crate names and escapes properties. We always give it what it would
//! otherwise make up, UID and DTSTAMP, and do here what it leaves open: texts lose the
//! characters that no text may hold, parameters lose their double quotes, and lines are
//! folded again.

use super::{Mailbox, Method};
use icalendar::{Calendar, Component, Event, Property};
use time::format_description::StaticFormatDescription;
use time::macros::format_description;
use time::{OffsetDateTime, UtcOffset};

/// Who made the file, as RFC 5545 section 3.7.3 requires.
const PRODID: &str = "-//Burnday//Burnday//EN";
/// How often a calendar program should fetch a feed (RFC 7986 section 5.7).
const REFRESH: &str = "PT1H";
/// Octets in a line, without the line break (RFC 5545 section 3.1).
const LINE: usize = 75;
/// How the title begins when a date is only being held.
const HOLD: &str = "HOLD - rain date";

/// How certain it is that something takes place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    Confirmed,
    Tentative,
    Cancelled,
}

/// One entry in a calendar. An empty text is left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Unique in the world, and the same when the date changes: it tells a calendar that
    /// a file is about an entry it already has.
    pub uid: String,
    /// Counts the changes of time or place from 0. A cancellation counts too: if it had
    /// the number of the file before it, calendars would ignore it (RFC 5546 section
    /// 3.2.5).
    pub sequence: u32,
    /// When the entry was last changed, not the present time.
    pub stamp: OffsetDateTime,
    pub start: OffsetDateTime,
    /// Left out unless it is after the start.
    pub end: OffsetDateTime,
    pub summary: String,
    pub place: String,
    /// Where that is on a map: latitude and longitude with a semicolon between them (RFC
    /// 5545 section 3.8.1.6).
    pub geo: String,
    /// May have several lines.
    pub description: String,
    pub status: Status,
    pub organizer: Mailbox,
    /// Who an invitation is for; this person has already said yes. Feeds name no one.
    pub attendee: Option<Mailbox>,
    /// A full web address, never one person's own link, since calendars are shared. The
    /// mark of such a link wouldn't work here.
    pub url: String,
}

impl Entry {
    /// The same entry for a rain date: held, as its title says.
    #[must_use]
    pub fn hold(self) -> Self {
        Self { summary: format!("{HOLD}: {}", self.summary), status: Status::Tentative, ..self }
    }

    /// What an invitation to this asks a calendar to do.
    #[must_use]
    pub fn method(&self) -> Method {
        if self.status == Status::Cancelled { Method::Cancel } else { Method::Request }
    }

    fn event(&self) -> Event {
        let mut event = Event::new();
        event
            .add_property("UID", one_line(&self.uid))
            .add_property("SEQUENCE", self.sequence.to_string())
            .add_property("DTSTAMP", utc(self.stamp))
            .add_property("DTSTART", utc(self.start))
            .add_property("STATUS", self.status.as_str());
        if self.end > self.start {
            event.add_property("DTEND", utc(self.end));
        }
        let texts = [
            ("SUMMARY", one_line(&self.summary)),
            ("LOCATION", one_line(&self.place)),
            ("GEO", bare(&self.geo)),
            ("DESCRIPTION", lines(&self.description)),
            ("URL", bare(&self.url)),
        ];
        for (name, text) in texts {
            if !text.is_empty() {
                event.add_property(name, text);
            }
        }
        // An organizer is an address; without one there is no organizer to name.
        if !self.organizer.address.is_empty() {
            event.append_property(person("ORGANIZER", &self.organizer));
        }
        event
    }
}

impl Status {
    /// RFC 5545 section 3.8.1.11.
    fn as_str(self) -> &'static str {
        match self {
            Self::Confirmed => "CONFIRMED",
            Self::Tentative => "TENTATIVE",
            Self::Cancelled => "CANCELLED",
        }
    }
}

/// A file that goes to one person by email. The method must match the email's
/// Content-Type (RFC 6047 section 2.4); [`Entry::method`] says which it is. The file goes
/// out after the person says yes, so it lists them as accepted and their calendar has
/// nothing to ask. A file that cancels says CANCELLED, whatever the status of the entry,
/// and asks for no reply; one that publishes names no one.
#[must_use]
pub fn invitation(entry: &Entry, method: Method) -> String {
    let mut event = entry.event();
    if method == Method::Cancel {
        event.add_property("STATUS", Status::Cancelled.as_str());
    }
    if let (Some(attendee), true) = (&entry.attendee, method != Method::Publish) {
        let mut attendee = person("ATTENDEE", attendee);
        if method == Method::Request {
            attendee
                .add_parameter("CUTYPE", "INDIVIDUAL")
                .add_parameter("ROLE", "REQ-PARTICIPANT")
                .add_parameter("PARTSTAT", "ACCEPTED")
                .add_parameter("RSVP", "FALSE");
        }
        event.append_multi_property(attendee);
    }
    write(calendar(method).push(event))
}

/// A file for a calendar program to fetch from time to time, in the order given. It names
/// no attendees (RFC 5546 section 3.2.1).
#[must_use]
pub fn feed(name: &str, entries: &[Entry]) -> String {
    let mut calendar = calendar(Method::Publish);
    calendar
        .append_property(Property::new("X-WR-CALNAME", one_line(name)))
        .append_property(Property::new("REFRESH-INTERVAL", REFRESH).add_parameter("VALUE", "DURATION").done())
        // Some programs know it by this name.
        .append_property(Property::new("X-PUBLISHED-TTL", REFRESH))
        .extend(entries.iter().map(Entry::event));
    write(&calendar)
}

fn calendar(method: Method) -> Calendar {
    let mut calendar = Calendar::empty();
    let properties = [("VERSION", "2.0"), ("PRODID", PRODID), ("CALSCALE", "GREGORIAN"), ("METHOD", method.as_str())];
    for property in properties {
        calendar.append_property(property);
    }
    calendar
}

fn write(calendar: &Calendar) -> String {
    fold(&calendar.to_string())
}

/// Folds lines at 75 octets and between characters (RFC 5545 section 3.1). The crate has
/// folded them already, but may leave 76 in the last piece. No text contains a line
/// break, so each one before a space is a fold.
fn fold(file: &str) -> String {
    let mut folded = String::with_capacity(file.len());
    for line in file.replace("\r\n ", "").split_terminator("\r\n") {
        let (mut rest, mut room) = (line, LINE);
        while rest.len() > room {
            let (piece, after) = rest.split_at(rest.floor_char_boundary(room));
            folded.push_str(piece);
            folded.push_str("\r\n ");
            // The space counts.
            (rest, room) = (after, LINE - 1);
        }
        folded.push_str(rest);
        folded.push_str("\r\n");
    }
    folded
}

/// "20270102T160000Z", whatever the offset.
fn utc(at: OffsetDateTime) -> String {
    const FORMAT: StaticFormatDescription = format_description!("[year][month][day]T[hour][minute][second]Z");
    at.to_offset(UtcOffset::UTC).format(FORMAT).expect("a moment has these parts")
}

/// A person as a calendar user: `ORGANIZER;CN=Priya Okafor:mailto:…`.
fn person(role: &str, person: &Mailbox) -> Property {
    let mut property = Property::new(role, format!("mailto:{}", bare(&person.address)));
    // A parameter can't hold a double quote (RFC 5545 section 3.2).
    let name = one_line(&person.name).replace('"', "'");
    if !name.is_empty() {
        property.add_parameter("CN", &name);
    }
    property
}

/// A text of several lines, without the characters that no text may hold.
fn lines(text: &str) -> String {
    let ended = text.replace("\r\n", "\n");
    let plain = |c| match c {
        '\n' | '\r' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}' => '\n',
        c if char::is_control(c) => ' ',
        c => c,
    };
    ended.chars().map(plain).collect::<String>().trim().to_owned()
}

/// A text without line breaks.
fn one_line(text: &str) -> String {
    lines(text).replace('\n', " ")
}

/// A web or email address, which has no spaces or quotes.
fn bare(address: &str) -> String {
    address.chars().filter(|c| !c.is_whitespace() && !c.is_control() && *c != '"').collect()
}

#[cfg(test)]
mod tests;
