//! Words before, in, and after names.

/// Words before a name: "Chief Ortiz" has no given name.
pub(super) const TITLES: &[&str] = &[
    "mr",
    "mrs",
    "ms",
    "miss",
    "mx",
    "dr",
    "prof",
    "professor",
    "rev",
    "reverend",
    "fr",
    "father",
    "sister",
    "brother",
    "pastor",
    "rabbi",
    "imam",
    "hon",
    "honorable",
    "judge",
    "justice",
    "chief",
    "capt",
    "captain",
    "lt",
    "lieutenant",
    "sgt",
    "sergeant",
    "cpl",
    "maj",
    "major",
    "col",
    "colonel",
    "gen",
    "general",
    "officer",
    "deputy",
    "sheriff",
    "marshal",
    "mayor",
    "gov",
    "governor",
    "sen",
    "senator",
    "rep",
    "commissioner",
    "coach",
    "principal",
];

/// Words that may begin a surname: "Van Buren" may be someone's whole surname, or Van's full
/// name.
pub(super) const PARTICLES: &[&str] = &[
    "de", "del", "della", "di", "da", "dos", "du", "la", "le", "van", "von", "der", "den", "ter", "el", "bin", "ibn",
    "mac", "mc", "st", "saint", "san", "santa", "the",
];

/// Words after a name.
pub(super) const SUFFIXES: &[&str] =
    &["jr", "sr", "ii", "iii", "iv", "v", "md", "phd", "dds", "dvm", "esq", "cpa", "rn", "emt", "ret"];

/// Words that end the name of a place to call, not of a person: "News Desk".
pub(super) const PLACES: &[&str] = &[
    "desk",
    "office",
    "department",
    "dept",
    "district",
    "newsroom",
    "clerk",
    "team",
    "school",
    "center",
    "company",
    "inc",
    "llc",
];

/// A word in the form of the lists above.
pub(super) fn key(word: &str) -> String {
    word.replace(['.', ','], "").to_ascii_lowercase()
}

pub(super) fn is_one_of(list: &[&str], word: &str) -> bool {
    list.contains(&key(word).as_str())
}

/// "J." or "J".
pub(super) fn is_initial(word: &str) -> bool {
    key(word).chars().count() == 1
}

pub(super) fn is_given(word: &str) -> bool {
    !is_one_of(TITLES, word) && !is_one_of(PARTICLES, word)
}

pub(super) fn is_surname(word: &str) -> bool {
    !is_initial(word) && !is_one_of(SUFFIXES, word) && !is_one_of(PLACES, word)
}

/// One word of letters.
pub(super) fn is_plain(word: &str) -> bool {
    let is_other = |c: char| c.is_whitespace() || c.is_ascii_digit() || ",;:/&@()\"".contains(c);
    !key(word).is_empty() && !word.contains(is_other)
}
