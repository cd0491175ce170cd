use super::*;

fn home() -> Home {
    Home {
        city: "Alder Bend".to_owned(),
        county: "Washington County".to_owned(),
        state: "Iowa".to_owned(),
        congress_district: "2".to_owned(),
        senate_district: "Senate District 12".to_owned(),
        house_district: "31st".to_owned(),
        others: vec!["Town of Oxbow".to_owned(), "School District 9".to_owned()],
    }
}

/// Common practice, no source.
#[test]
fn the_jurisdiction_decides_who_is_at_home() {
    use Usual::{
        Commissioner, CouncilMember, FireChief, Governor, Mayor, Sheriff, StateRepresentative, StateSenator,
        Superintendent, UsRepresentative, UsSenator,
    };
    for (office, jurisdiction, is_ours) in [
        (Some(Mayor), "Alder Bend", true),
        (Some(Mayor), "City of Alder Bend", true),
        (Some(Mayor), "ALDER BEND, IA", true),
        (Some(Mayor), "Alder Bend, Iowa", true),
        (Some(Mayor), "Alder Bend, Ohio", false),
        (Some(Mayor), "Riverton", false),
        // A city that shares our county's name.
        (Some(Mayor), "Washington", false),
        (Some(Mayor), "Oxbow", true),
        (Some(Mayor), "", false),
        (Some(CouncilMember), "Alder Bend", true),
        (Some(CouncilMember), "Alder Bend, Ward 3", true),
        (Some(CouncilMember), "Riverton, Ward 3", false),
        (Some(Commissioner), "Washington County, District 2", true),
        (Some(Commissioner), "Alder County, District 2", false),
        (Some(Commissioner), "Washington County", true),
        (Some(Commissioner), "Washington", true),
        (Some(Commissioner), "Alder County", false),
        (Some(Sheriff), "County of Washington", true),
        (Some(Governor), "Iowa", true),
        (Some(Governor), "State of Iowa", true),
        (Some(Governor), "Washington", false),
        (Some(UsSenator), "IA", true),
        (Some(UsSenator), "Ohio", false),
        (Some(UsRepresentative), "2nd Congressional District", true),
        (Some(UsRepresentative), "Iowa's 2nd district", true),
        (Some(UsRepresentative), "IA-02", true),
        (Some(UsRepresentative), "Ohio's 2nd district", false),
        (Some(UsRepresentative), "District 12", false),
        (Some(StateSenator), "District 12", true),
        (Some(StateSenator), "12", true),
        (Some(StateSenator), "Senate District 13", false),
        (Some(StateRepresentative), "HD 31", true),
        (Some(StateRepresentative), "District 12", false),
        (None, "District 12", false),
        (None, "Alder Bend", true),
        (None, "Washington", true),
        (Some(FireChief), "Alder Bend", true),
        (Some(FireChief), "Riverton", false),
        (Some(Superintendent), "School District 9", true),
    ] {
        assert_eq!(home().has(office, jurisdiction), is_ours, "{office:?}, {jurisdiction}");
    }
}

#[test]
fn without_a_home_nobody_is_at_home() {
    for (office, jurisdiction) in [(Some(Usual::Mayor), "Alder Bend"), (Some(Usual::Governor), "Iowa"), (None, "12")] {
        assert!(!Home::default().has(office, jurisdiction));
    }
    assert_eq!(Home::default().lacks(), ["city or town", "county", "state"]);
    assert!(home().lacks().is_empty());
}
