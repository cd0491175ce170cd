//! The list is the one a department starts with: the usual local order of precedence,
//! as protocol manuals give it. The forms are how letters, newspapers and business
//! cards name these offices: common practice, no published source.

use super::*;

const LIST: [&str; 17] = [
    "Governor",
    "United States senator",
    "United States representative",
    "Lieutenant governor",
    "State officer",
    "State senator",
    "State representative",
    "Commissioner",
    "Mayor",
    "Council president",
    "Council member",
    "School board member",
    "Sheriff",
    "Superintendent of schools",
    "Visiting fire chief",
    "City manager",
    "Department head",
];

fn found(text: &str, jurisdiction: &str) -> Result<&'static str, Vec<&'static str>> {
    match find(&LIST, text, jurisdiction) {
        Found::At(place) => Ok(LIST[place]),
        Found::Perhaps(near) => Err(near.into_iter().map(|place| LIST[place]).collect()),
    }
}

/// The title as written, the jurisdiction, and the office it means.
const KNOWN: &[(&str, &str, &str)] = &[
    ("Governor", "", "Governor"),
    ("Gov.", "Iowa", "Governor"),
    ("GOVERNOR OF IOWA", "", "Governor"),
    ("The Honorable Governor", "Iowa", "Governor"),
    ("U.S. Senator", "", "United States senator"),
    ("US Sen.", "", "United States senator"),
    ("United States Senator for Iowa", "", "United States senator"),
    ("Senator", "Iowa", "United States senator"),
    ("Senator from Iowa", "", "United States senator"),
    ("U.S. Representative", "", "United States representative"),
    ("U. S. Representative", "", "United States representative"),
    ("US Rep", "", "United States representative"),
    ("U.S. Rep.", "IA-02", "United States representative"),
    ("Congresswoman", "", "United States representative"),
    ("Congressman", "", "United States representative"),
    ("Congressperson", "", "United States representative"),
    ("Member of Congress", "", "United States representative"),
    ("Congresswoman for Iowa's 2nd district", "", "United States representative"),
    ("Rep.", "2nd Congressional District", "United States representative"),
    ("Representative", "U.S. House, District 2", "United States representative"),
    ("Lieutenant Governor", "", "Lieutenant governor"),
    ("Lt. Governor", "", "Lieutenant governor"),
    ("Lt. Gov.", "Iowa", "Lieutenant governor"),
    ("Lieutenant Governor of Iowa", "", "Lieutenant governor"),
    ("Attorney General", "Iowa", "State officer"),
    ("Secretary of State", "", "State officer"),
    ("State Fire Marshal", "", "State officer"),
    ("State Treasurer", "", "State officer"),
    ("State Senator", "District 12", "State senator"),
    ("State Sen.", "", "State senator"),
    ("state senator, District 12", "", "State senator"),
    ("Iowa State Senator", "", "State senator"),
    ("Senator", "District 12", "State senator"),
    ("Sen.", "Senate District 12", "State senator"),
    ("State Representative", "", "State representative"),
    ("State Rep", "", "State representative"),
    ("State Rep.", "House District 31", "State representative"),
    ("Assemblywoman", "", "State representative"),
    ("Assembly Member", "", "State representative"),
    ("Rep.", "House District 31", "State representative"),
    ("Commissioner", "Alder County", "Commissioner"),
    ("County Commissioner", "", "Commissioner"),
    ("Alder County Commissioner", "Alder County", "Commissioner"),
    ("Commissioner, District 2", "Alder County", "Commissioner"),
    ("Commissioner of Alder County", "", "Commissioner"),
    ("County Supervisor", "", "Commissioner"),
    ("County Executive", "", "Commissioner"),
    ("Chair of the County Board", "", "Commissioner"),
    ("Sheriff", "", "Sheriff"),
    ("County Sheriff", "", "Sheriff"),
    ("Sheriff of Alder County", "", "Sheriff"),
    ("Alder County Sheriff", "Alder County", "Sheriff"),
    ("Mayor", "Alder Bend", "Mayor"),
    ("mayor of Alder Bend", "", "Mayor"),
    ("Mayor, City of Alder Bend", "", "Mayor"),
    ("Alder Bend Mayor", "City of Alder Bend", "Mayor"),
    ("Village President", "", "Mayor"),
    ("Council President", "", "Council president"),
    ("President of the City Council", "", "Council president"),
    ("Councilmember", "", "Council member"),
    ("Council Member", "", "Council member"),
    ("COUNCIL-MEMBER", "", "Council member"),
    ("Councilwoman", "", "Council member"),
    ("Councilman", "", "Council member"),
    ("City Council Member", "", "Council member"),
    ("City Councilor", "", "Council member"),
    ("Alderman", "", "Council member"),
    ("Alderwoman, Ward 3", "", "Council member"),
    ("Alderman for Ward 3", "", "Council member"),
    ("Selectman", "", "Council member"),
    ("Member of the City Council", "", "Council member"),
    ("School Board Member", "", "School board member"),
    ("Member of the Board of Education", "", "School board member"),
    ("Superintendent", "", "Superintendent of schools"),
    ("School Superintendent", "", "Superintendent of schools"),
    ("Supt.", "", "Superintendent of schools"),
    ("Superintendent of Schools", "", "Superintendent of schools"),
    ("Fire Chief", "", "Visiting fire chief"),
    ("fire chief", "Oxbow", "Visiting fire chief"),
    ("Chief of the Fire Department", "", "Visiting fire chief"),
    ("Chief, Fire Department", "", "Visiting fire chief"),
    ("Fire Dept. Chief", "", "Visiting fire chief"),
    ("Fire Chief of the City of Oxbow", "", "Visiting fire chief"),
    ("Chief of Police", "", "Department head"),
    ("Police Chief", "", "Department head"),
    ("City Manager", "", "City manager"),
    ("City Administrator", "", "City manager"),
    ("Town Manager", "", "City manager"),
    ("Public Works Director", "", "Department head"),
    ("Department Head", "", "Department head"),
];

#[test]
fn offices_are_known_by_their_usual_forms() {
    assert!(KNOWN.len() >= 60);
    for (text, jurisdiction, office) in KNOWN {
        assert_eq!(found(text, jurisdiction), Ok(*office), "{text}, {jurisdiction}");
    }
}

#[test]
fn what_is_like_an_office_and_is_none_is_not_placed() {
    for (text, near) in [
        // Two meanings, and nothing settles it.
        ("Senator", ["United States senator", "State senator"].as_slice()),
        ("Rep.", &["United States representative", "State representative"]),
        // Misspelled.
        ("Mayer", &["Mayor"]),
        ("Comissioner", &["Commissioner"]),
        ("Shariff", &["Sheriff"]),
        ("Superintendant", &["Superintendent of schools"]),
        // A different office with a similar name.
        ("Deputy Mayor", &["Mayor"]),
        ("Fire Commissioner", &["Commissioner"]),
        ("Deputy Sheriff", &["Sheriff"]),
        // Nothing is close.
        ("Poet laureate", &[]),
        ("", &[]),
        ("...", &[]),
    ] {
        assert_eq!(found(text, ""), Err(near.to_vec()), "{text}");
    }
    for text in ["Chief of Staff", "Chief of Staff to the Governor", "Commissioner of Baseball", "Assistant Fire Chief"]
    {
        assert!(found(text, "").is_err(), "{text}: {:?}", found(text, ""));
    }
}

#[test]
fn the_lists_own_names_come_first_and_one_that_is_missing_is_said_to_be() {
    let list = ["Mayor", "County executive", "Commissioner"];
    assert_eq!(find(&list, "County Exec.", ""), Found::At(1));
    assert_eq!(find(&["Mayor", "Poet laureate"], "poet laureate", ""), Found::At(1));
    assert_eq!(find(&["Mayor", "County commissioner"], "Commissioner", ""), Found::At(1));
    assert_eq!(find(&["Mayor"], "Governor", ""), Found::Perhaps(Vec::new()));
    assert_eq!(find(&[], "Mayor", ""), Found::Perhaps(Vec::new()));
}

#[test]
fn an_office_that_was_held_once_is_known_to_be() {
    assert_eq!(read("Former Mayor", ""), (Meaning::One(Usual::Mayor), true));
    assert_eq!(read("ex-Governor of Iowa", ""), (Meaning::One(Usual::Governor), true));
    assert_eq!(read("Mayor", ""), (Meaning::One(Usual::Mayor), false));
}

#[test]
fn forms_are_written_as_they_are_compared_and_stand_once() {
    for (place, (form, _)) in FORMS.iter().enumerate() {
        assert!(form.chars().all(|c| c.is_ascii_lowercase()), "{form}");
        assert!(FORMS[..place].iter().all(|(other, _)| other != form), "{form} stands twice");
    }
}

#[test]
fn distance_counts_letters() {
    // The textbook example of V. Levenshtein's measure: kitten and sitting are three
    // apart.
    assert_eq!(distance("kitten", "sitting"), 3);
    assert_eq!(distance("", "abc"), 3);
    assert_eq!(distance("mayor", "mayor"), 0);
}
