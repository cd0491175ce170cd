//! Newsrooms.

use crate::press::OutletKind;

/// Name, type, deadline in words, lead time in days, people there and their roles.
pub(super) type Known = (&'static str, OutletKind, &'static str, u8, &'static [(&'static str, &'static str)]);

pub(super) const OUTLETS: [Known; 7] = [
    (
        "Alder Bend Gazette",
        OutletKind::Daily,
        "pages close at 6 p.m. the day before",
        1,
        &[("Clementine Ashgrove", "city desk"), ("Rafferty Stone", "photo desk")],
    ),
    (
        "Bend Valley Weekly",
        OutletKind::Weekly,
        "closes Tuesday at noon for Thursday",
        10,
        &[("Thessaly Marchetti", "editor")],
    ),
    (
        "Radio Bend",
        OutletKind::Radio,
        "morning show is planned the day before",
        1,
        &[("Zdenka Moravec", "morning show"), ("Isidore Blackwood", "news")],
    ),
    (
        "River Valley Television",
        OutletKind::Television,
        "crews are assigned at the 9 a.m. meeting",
        1,
        &[("Wilhelmina Oyelaran", "assignment desk"), ("Cosmo Delacroix-Hill", "camera")],
    ),
    ("East Bend Notes", OutletKind::Online, "posts at any time", 0, &[("Kwabena Strand", "editor")]),
    (
        "The School Letter",
        OutletKind::Community,
        "goes home with students on the first of the month",
        28,
        &[("Eugenia Fontaine", "school district")],
    ),
    (
        "Tri-County Wire",
        OutletKind::Newswire,
        "daybook closes at 3 p.m. the day before",
        2,
        &[("Lucinda Abernathy", "daybook")],
    ),
];

/// People in the list above who are nowhere else in the demo: name, outlet, last two digits
/// of the phone, wants no announcements.
pub(super) const NEW: [(&str, &str, &str, bool); 3] = [
    ("Thessaly Marchetti", "Bend Valley Weekly", "60", false),
    // Wants no announcements, so that the list of people to call isn't empty.
    ("Kwabena Strand", "East Bend Notes", "61", true),
    ("Lucinda Abernathy", "Tri-County Wire", "62", false),
];
