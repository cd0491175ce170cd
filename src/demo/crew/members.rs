//! The people of the crew.

/// People who are only in the crew: name, last two digits of the phone, duty, qualification.
pub(super) const NEW: [(&str, &str, &str, &str); 27] = [
    ("Ephraim Castaldi", "60", "ignition officer", "Firefighter II"),
    ("Nadia Broussard", "61", "ignition line", "Firefighter I"),
    ("Tobias Fenn", "62", "ignition line", "Firefighter I"),
    ("Imre Kovalenko", "63", "attack line", "Firefighter II"),
    ("Lucinda Ashe", "64", "attack line", "Firefighter I"),
    ("Rashid Penhallow", "65", "back-up line", "Firefighter I"),
    ("Greta Dale", "66", "back-up line", "Firefighter II"),
    (SHORT, "67", "pump operator", DRIVER),
    ("Solveig Marchetti", "68", "pump operator", DRIVER),
    ("Amos Tillinghast", "69", "rapid intervention", "Firefighter II"),
    ("Ione Baptista", "70", "rapid intervention", "Firefighter II"),
    ("Carmen Wojcik", "71", "medical standby", "Basic life support"),
    ("Hugo Abernethy", "72", "medical standby", "Basic life support"),
    ("Zelda Quarrie", "73", "weather watcher", ""),
    ("Basil Nkemelu", "74", "timekeeper", ""),
    ("Perpetua Lang", "75", "media escort", ""),
    ("Orla Hendry", "76", "crowd steward", "Crowd manager"),
    ("Caspian Roe", "77", "crowd steward", "Crowd manager"),
    ("Juniper Sallow", "78", "gate and materials", ""),
    ("Ivo Marchbanks", "79", "gate and materials", ""),
    ("Thea Drummond", "80", "gate and materials", ""),
    ("Linus Bell", "81", "gate and materials", ""),
    ("Dov Aldine", "82", "parking", ""),
    ("Marnie Estrada", "83", "parking", ""),
    ("Felicity Arkwright", "84", "lost-child point", "Background check"),
    ("Odile Varga", "85", "lost-child point", "Background check"),
    ("Bram Ostrander", "86", "", DRIVER),
];
/// Their certificate expires before the rain date.
pub(super) const SHORT: &str = "Ray Ortiz";
const DRIVER: &str = "Driver/operator";
/// People the demo already has for their tasks or offices: name, duty, qualification.
pub(super) const KNOWN: [(&str, &str, &str); 7] = [
    ("Fenwick Tamura", "incident commander", "Fire officer"),
    ("Dele Aldous", "safety officer", "Safety officer"),
    ("Ana Ruiz", "burn boss", "Instructor in charge, live fire"),
    ("Tomás Brandt", "accountability", ""),
    ("Odette Marsh", "presenter", "Fire and life safety educator"),
    ("Wren Ibarra", "timekeeper", ""),
    ("Jun Castellane", "public information officer", ""),
];

/// People whose certificates the safety officer hasn't checked yet.
pub(super) const UNCHECKED: [&str; 2] = ["Odile Varga", "Bram Ostrander"];
