//! How AP style writes a state after a city.

/// Postal letters, name and AP abbreviation. AP style never shortens eight states:
/// Alaska, Hawaii, Idaho, Iowa, Maine, Ohio, Texas and Utah (entry "state names").
const STATES: [(&str, &str, &str); 51] = [
    ("AL", "Alabama", "Ala."),
    ("AK", "Alaska", "Alaska"),
    ("AZ", "Arizona", "Ariz."),
    ("AR", "Arkansas", "Ark."),
    ("CA", "California", "Calif."),
    ("CO", "Colorado", "Colo."),
    ("CT", "Connecticut", "Conn."),
    ("DE", "Delaware", "Del."),
    ("DC", "District of Columbia", "D.C."),
    ("FL", "Florida", "Fla."),
    ("GA", "Georgia", "Ga."),
    ("HI", "Hawaii", "Hawaii"),
    ("ID", "Idaho", "Idaho"),
    ("IL", "Illinois", "Ill."),
    ("IN", "Indiana", "Ind."),
    ("IA", "Iowa", "Iowa"),
    ("KS", "Kansas", "Kan."),
    ("KY", "Kentucky", "Ky."),
    ("LA", "Louisiana", "La."),
    ("ME", "Maine", "Maine"),
    ("MD", "Maryland", "Md."),
    ("MA", "Massachusetts", "Mass."),
    ("MI", "Michigan", "Mich."),
    ("MN", "Minnesota", "Minn."),
    ("MS", "Mississippi", "Miss."),
    ("MO", "Missouri", "Mo."),
    ("MT", "Montana", "Mont."),
    ("NE", "Nebraska", "Neb."),
    ("NV", "Nevada", "Nev."),
    ("NH", "New Hampshire", "N.H."),
    ("NJ", "New Jersey", "N.J."),
    ("NM", "New Mexico", "N.M."),
    ("NY", "New York", "N.Y."),
    ("NC", "North Carolina", "N.C."),
    ("ND", "North Dakota", "N.D."),
    ("OH", "Ohio", "Ohio"),
    ("OK", "Oklahoma", "Okla."),
    ("OR", "Oregon", "Ore."),
    ("PA", "Pennsylvania", "Pa."),
    ("RI", "Rhode Island", "R.I."),
    ("SC", "South Carolina", "S.C."),
    ("SD", "South Dakota", "S.D."),
    ("TN", "Tennessee", "Tenn."),
    ("TX", "Texas", "Texas"),
    ("UT", "Utah", "Utah"),
    ("VT", "Vermont", "Vt."),
    ("VA", "Virginia", "Va."),
    ("WA", "Washington", "Wash."),
    ("WV", "West Virginia", "W.Va."),
    ("WI", "Wisconsin", "Wis."),
    ("WY", "Wyoming", "Wyo."),
];

/// Departments in these places burn, too.
const TERRITORIES: [&str; 5] =
    ["American Samoa", "Guam", "Northern Mariana Islands", "Puerto Rico", "U.S. Virgin Islands"];
/// A state as AP style writes it after a city; none if we don't know it.
pub(super) fn known_state(state: &str) -> Option<&'static str> {
    let letters = |text: &str| text.chars().filter(|c| c.is_alphabetic()).collect::<String>().to_lowercase();
    let typed = letters(state);
    let states = STATES.iter().find(|(postal, name, ap)| [*postal, *name, *ap].iter().any(|one| letters(one) == typed));
    let territory = || TERRITORIES.into_iter().find(|name| letters(name) == typed);
    states.map(|(_, _, ap)| *ap).or_else(territory)
}
