use super::*;
use time::OffsetDateTime;
use time::macros::{date, time};

/// Someone's sheet for two positions, one of them against a rule.
pub fn content() -> Content {
    let pump = PostContent {
        name: "Pump operators".to_owned(),
        is_standby: false,
        hours: Hours::between(time!(6:30), time!(12:00)),
        spot: "North pump".to_owned(),
        reports_to: "burn boss".to_owned(),
        wear: String::new(),
        bring: "radio".to_owned(),
        cautions: "hot hose".to_owned(),
        with: vec!["Solveig Marchetti".to_owned(), "Bram Ostrander".to_owned()],
        overridden: Some(RuleOverride {
            rules: vec!["“Driver/operator” is required and not on record.".to_owned()],
            keys: vec!["not-recorded 6".to_owned()],
            reason: "Certificate seen".to_owned(),
            by: "Dele Aldous".to_owned(),
            at: OffsetDateTime::UNIX_EPOCH,
        }),
    };
    let night = PostContent {
        name: "Parking".to_owned(),
        is_standby: true,
        hours: Hours::between(time!(18:00), time!(1:00)),
        spot: String::new(),
        reports_to: String::new(),
        wear: "vest".to_owned(),
        bring: String::new(),
        cautions: String::new(),
        with: Vec::new(),
        overridden: None,
    };
    Content {
        burn_on: date!(2027 - 06 - 05),
        site: "East lot".to_owned(),
        visitors: VisitorFacts::default(),
        posts: vec![pump, night],
        rain: Some((date!(2027 - 06 - 12), ReplyStatus::Confirmed)),
        in_charge: vec![
            (Duty::IncidentCommander, vec!["Fenwick Tamura".to_owned()]),
            (Duty::SafetyOfficer, vec!["Dele Aldous".to_owned()]),
            (Duty::BurnBoss, Vec::new()),
        ],
    }
}

#[test]
fn the_key_is_the_one_that_stores_in_use_hold() {
    assert_eq!(content().key(), "21ccaab7c2158b56");
}

#[test]
fn whatever_changes_on_a_sheet_changes_its_key() {
    let changes: [fn(&mut Content); 21] = [
        |sheet| sheet.burn_on = date!(2027 - 06 - 19),
        |sheet| sheet.site = "West lot".to_owned(),
        |sheet| sheet.visitors.address = "1200 Fairground Road".to_owned(),
        |sheet| sheet.visitors.place = Coordinates::new(41.59, -93.62),
        |sheet| sheet.visitors.parking = "West gate".to_owned(),
        |sheet| sheet.rain = None,
        |sheet| sheet.rain = Some((date!(2027 - 06 - 13), ReplyStatus::Confirmed)),
        |sheet| sheet.rain = Some((date!(2027 - 06 - 12), ReplyStatus::Declined)),
        |sheet| sheet.in_charge[0].1.push("Ana Ruiz".to_owned()),
        |sheet| sheet.in_charge[2].1.push("Ana Ruiz".to_owned()),
        |sheet| drop(sheet.posts.pop()),
        |sheet| sheet.posts[0].name = "Pump".to_owned(),
        |sheet| sheet.posts[0].is_standby = true,
        |sheet| sheet.posts[0].hours = Hours::between(time!(6:31), time!(12:00)),
        |sheet| sheet.posts[0].spot = "South pump".to_owned(),
        |sheet| sheet.posts[0].reports_to.clear(),
        |sheet| sheet.posts[0].wear = "boots".to_owned(),
        |sheet| sheet.posts[0].bring = "ear plugs".to_owned(),
        |sheet| sheet.posts[0].cautions.clear(),
        |sheet| sheet.posts[0].with[0] = "Solveig Marchetti-Roe".to_owned(),
        |sheet| sheet.posts[0].overridden = None,
    ];
    for (place, change) in changes.iter().enumerate() {
        let mut other = content();
        change(&mut other);
        assert_ne!(other.key(), content().key(), "change {place}");
    }
}

#[test]
fn what_everyone_wears_is_on_a_sheet_only_if_no_position_says_it() {
    let mut dressed = content();
    dressed.visitors.clothing = "warm clothes".to_owned();
    assert_eq!(dressed.key(), content().key(), "Parking wears a vest");
    let bare = |visitors: VisitorFacts| {
        let mut sheet = Content { visitors, ..content() };
        sheet.posts.truncate(1);
        sheet.key()
    };
    assert_ne!(bare(dressed.visitors), bare(VisitorFacts::default()));
}

#[test]
fn the_order_of_names_and_the_words_of_a_rule_are_no_change() {
    let mut same = content();
    same.posts[0].with.reverse();
    if let Some(overridden) = &mut same.posts[0].overridden {
        overridden.rules = vec!["The same rule in other words.".to_owned()];
    }
    assert_eq!(same.key(), content().key());
    let rain = |said| Content { rain: Some((date!(2027 - 06 - 12), said)), ..content() };
    let other = rain(ReplyStatus::OtherDate(date!(2027 - 06 - 05)));
    assert_eq!(other.key(), rain(ReplyStatus::NotAsked).key(), "a sheet says the same of both");
}
