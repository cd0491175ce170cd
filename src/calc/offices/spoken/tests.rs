use super::*;

#[test]
fn titles_go_before_a_surname_as_they_are_spoken() {
    for (office, jurisdiction, title) in [
        ("Mayor", "Alder Bend", "Mayor"),
        ("The Honorable Mayor", "", "Mayor"),
        ("Governor", "Iowa", "Governor"),
        ("U.S. Senator", "", "Senator"),
        ("Senator", "", "Senator"),
        ("Rep.", "", "Representative"),
        ("State representative", "District 4", "Representative"),
        ("Congresswoman", "", "Congresswoman"),
        ("County Commissioner", "Alder County", "Commissioner"),
        ("Alder County Commissioner", "", "Commissioner"),
        ("County Supervisor", "", "Supervisor"),
        ("Member of the Board of Supervisors", "", "Supervisor"),
        ("Chair of the Board of Commissioners", "", "Commissioner"),
        ("County Executive", "", "County Executive"),
        ("County council member", "", "Council Member"),
        ("Council Member, Ward 3", "Alder Bend", "Council Member"),
        ("Alderman, Ward 3", "Alder Bend", "Alderman"),
        ("Councilwoman", "", "Councilwoman"),
        ("Council president", "", "Council President"),
        ("Village President", "", "President"),
        ("Sheriff", "Alder County", "Sheriff"),
        ("Superintendent of schools", "", "Superintendent"),
        ("Fire Chief", "", "Chief"),
        ("Chief of the Fire Department", "", "Chief"),
        ("Police Chief", "", "Chief"),
        ("Deputy Chief", "", "Chief"),
        ("Chief", "", "Chief"),
        ("Judge", "", "Judge"),
        ("District Court Judge", "Alder County", "Judge"),
        ("Judge of the District Court", "", "Judge"),
        ("Attorney General", "Iowa", "Attorney General"),
    ] {
        assert_eq!(spoken_title(office, jurisdiction), Some(title), "{office}");
    }
}

#[test]
fn other_work_and_past_offices_give_no_title() {
    for office in [
        "",
        "Owner",
        "City manager",
        "School board member",
        "Public works director",
        "Chief of staff",
        "Chief engineer",
        "Deputy mayor",
        "Former mayor",
        "Retired fire chief",
        "Judge advocate",
        "Secretary to the mayor",
    ] {
        assert_eq!(spoken_title(office, "Alder Bend"), None, "{office}");
    }
}

#[test]
fn the_honorable_is_for_elected_officials_and_judges() {
    for office in ["Mayor", "Senator", "Council Member, Ward 3", "Former mayor", "County Judge", "Governor"] {
        assert!(is_honorable(office, "Alder Bend"), "{office}");
    }
    for office in ["", "Owner", "Sheriff", "Fire Chief", "Superintendent of schools", "City manager"] {
        assert!(!is_honorable(office, "Alder Bend"), "{office}");
    }
}
