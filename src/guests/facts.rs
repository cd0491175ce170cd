//! What an office needs to know in advance.

use super::called::introduced;
use super::guest::Side;
use super::program::slot::Slot;
use super::record::GuestRecord;
use super::snapshot::GuestSnapshot;
use crate::calc::program;
use crate::web::form;
use crate::web::words::Reader;
use time::{Date, Duration};

/// What an office needs to know in advance, from the guest's settings and the event.
pub(super) fn facts(snapshot: &GuestSnapshot, known: &GuestRecord) -> Vec<(String, String)> {
    let details = &known.guest.details;
    let event = &snapshot.event.details;
    let arrives = if details.arrives.is_empty() {
        Reader::App.time(event.burn_time - Duration::minutes(30))
    } else {
        details.arrives.clone()
    };
    let named = if details.side == Side::Official { "introduce" } else { "thank" };
    let named = format!("The presenter will {named} you.");
    let part = match (snapshot.program.slot(snapshot, known), details.side) {
        (Slot::Speaks(seconds), _) => {
            format!("{named} Then you have {} to speak.", speaks(seconds, snapshot.settings.rate))
        }
        (Slot::LeftOut, _) => format!("{named} There is no time for remarks."),
        (Slot::None, Side::Official) => format!("{named} You don't need to speak."),
        (Slot::None, _) => named,
    };
    let name = [known.addressed(), known.place()].into_iter().filter(|text| !text.is_empty());
    let all = [
        ("For", name.collect::<Vec<_>>().join(", ")),
        (ARRIVE, arrives),
        ("Your part", part),
        ("Microphone", details.microphone.clone()),
        ("Met by", details.met_by.clone()),
        ("Seat", details.seat.clone()),
        ("Parking", details.parking.clone()),
        ("Wear", details.clothing.clone()),
        ("Press", details.press.clone()),
        ("Invited with you", details.also_comes.clone()),
    ];
    let known = all.into_iter().filter(|(_, text)| !text.is_empty());
    known.map(|(label, text)| (label.to_owned(), text)).collect()
}

/// How long someone speaks: "2 min, about 260 words"; empty if they don't.
pub(super) fn speaks(seconds: u32, rate: u32) -> String {
    if seconds == 0 {
        return String::new();
    }
    format!("{}, about {} words", program::says(seconds), program::words(seconds, rate))
}

/// The line with the arrival time. It is stored with the invitation, where calendar
/// entries read the time back.
const ARRIVE: &str = "Arrive";

/// The same lines with the arrival time in the reader's style.
pub(super) fn shown_to(reader: Reader, mut facts: Vec<(String, String)>) -> Vec<(String, String)> {
    for (label, text) in &mut facts {
        if label.as_str() == ARRIVE
            && let Ok(at) = form::time_of_day(text)
        {
            *text = reader.time(at);
        }
    }
    facts
}

/// The other officials who are coming.
pub(super) fn others(snapshot: &GuestSnapshot, known: &GuestRecord, on: Date) -> Vec<String> {
    let wanted = |other: &GuestRecord| {
        other.guest.id != known.guest.id && other.guest.details.side == Side::Official && other.status(on).is_expected()
    };
    snapshot.order(on, wanted).iter().map(|placed| introduced(&snapshot.guests[placed.of], on)).collect()
}
