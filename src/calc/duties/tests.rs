use super::*;
use time::macros::{date, datetime, time};

/// The table of pairs as the trade draws it, written out by hand. X: never the same person
/// at the same time; o: allowed; dot: the same duty. The pump operator's row is missing
/// there, so it is as strict as the rows around it.
const DRAWN: &str = "
    SO IC BB IG AT BU RI PU ME MC TK PI
SO   .  X  X  X  X  X  X  X  X  X  X  X
IC      .  o  X  X  X  X  X  X  X  X  X
BB         .  X  X  X  X  X  X  X  X  X
IG            .  X  X  X  X  X  X  X  X
AT               .  X  X  X  X  X  X  X
BU                  .  X  X  X  X  X  X
RI                     .  X  X  X  X  X
PU                        .  X  X  X  X
ME                           .  X  X  X
MC                              .  X  X
TK                                 .  X
PI                                    .
";

/// Duties that the drawn table leaves out, with everything they go with.
const BESIDE: [(Duty, &[Duty]); 9] = [
    (Duty::AssistantSafetyOfficer, &[Duty::WeatherWatcher]),
    (Duty::WeatherWatcher, &[Duty::AssistantSafetyOfficer]),
    (Duty::IgnitionLine, &[]),
    (Duty::Accountability, &[]),
    (Duty::LostChild, &[]),
    (Duty::MediaEscort, &[Duty::Gate]),
    (Duty::CrowdSteward, &[Duty::Gate]),
    (Duty::Parking, &[Duty::Gate]),
    (Duty::Gate, &[Duty::MediaEscort, Duty::CrowdSteward, Duty::Parking]),
];

fn duty(short: &str) -> Duty {
    match short {
        "SO" => Duty::SafetyOfficer,
        "IC" => Duty::IncidentCommander,
        "BB" => Duty::BurnBoss,
        "IG" => Duty::IgnitionOfficer,
        "AT" => Duty::AttackLine,
        "BU" => Duty::BackUpLine,
        "RI" => Duty::RapidIntervention,
        "PU" => Duty::PumpOperator,
        "ME" => Duty::MedicalStandby,
        "MC" => Duty::Presenter,
        "TK" => Duty::Timekeeper,
        "PI" => Duty::InformationOfficer,
        _ => panic!("{short}"),
    }
}

/// Row by row: the two duties and the mark drawn for them.
fn cells() -> Vec<(Duty, Duty, &'static str)> {
    let mut lines = DRAWN.trim_matches('\n').lines();
    let head: Vec<&str> = lines.next().unwrap().split_whitespace().collect();
    let mut cells = Vec::new();
    for (row, line) in lines.enumerate() {
        let mut marks = line.split_whitespace();
        let name = marks.next().unwrap();
        assert_eq!(name, head[row]);
        let columns: Vec<_> = marks.zip(&head[row..]).collect();
        assert_eq!(columns.len(), head.len() - row);
        cells.extend(columns.into_iter().map(|(mark, column)| (duty(name), duty(column), mark)));
    }
    cells
}

fn hours(from: Time, until: Time) -> Hours {
    Hours::on(date!(2027 - 01 - 02), from, until).unwrap()
}

/// Hours that overlap, that only touch, and that are apart, also across midnight, and
/// whether they overlap.
fn pairs_of_hours() -> Vec<(Hours, Hours, bool)> {
    let next = |from, until| Hours::on(date!(2027 - 01 - 03), from, until).unwrap();
    let night = hours(time!(22:00), time!(2:00));
    vec![
        (hours(time!(9:00), time!(12:00)), hours(time!(11:59), time!(13:00)), true),
        (hours(time!(9:00), time!(12:00)), hours(time!(9:00), time!(12:00)), true),
        (hours(time!(9:00), time!(12:00)), hours(time!(10:00), time!(11:00)), true),
        (hours(time!(9:00), time!(12:00)), hours(time!(12:00), time!(13:00)), false),
        (hours(time!(9:00), time!(12:00)), hours(time!(13:00), time!(14:00)), false),
        (night, next(time!(1:00), time!(3:00)), true),
        (night, hours(time!(23:00), time!(0:00)), true),
        (night, next(time!(2:00), time!(3:00)), false),
        (night, hours(time!(1:00), time!(3:00)), false),
        (hours(time!(20:00), time!(0:00)), next(time!(0:00), time!(1:00)), false),
    ]
}

fn check(one: Duty, other: Duty, forbidden: bool) {
    for (its, others, overlap) in pairs_of_hours() {
        for (a, x, b, y) in [(one, &its, other, &others), (other, &others, one, &its), (one, &others, other, &its)] {
            assert_eq!(clash(a, x, b, y).is_some(), forbidden && overlap, "{a} {x:?}, {b} {y:?}");
        }
    }
}

#[test]
fn every_cell_of_the_drawn_table_holds_in_overlapping_hours_alone() {
    let cells = cells();
    assert_eq!(cells.len(), 12 * 13 / 2);
    for (one, other, mark) in cells {
        // One person can't have two positions with the same duty either.
        check(one, other, mark != "o");
    }
}

#[test]
fn the_duties_beside_it_go_with_what_is_named_alone() {
    let mut seen = 0;
    for (one, with) in BESIDE {
        for other in Duty::ALL {
            check(one, other, !with.contains(&other));
            seen += 1;
        }
    }
    assert_eq!(seen, 9 * 21);
    // The two lists together hold every duty.
    let drawn = cells().into_iter().filter(|cell| cell.0 == cell.1).count();
    assert_eq!(drawn + BESIDE.len(), Duty::ALL.len());
}

/// NFPA 1403, from memory: the safety officer has nothing else to do.
#[test]
fn the_safety_officer_alone_has_a_published_basis() {
    for one in Duty::ALL {
        for other in Duty::ALL {
            let Some(rule) = rule(one, other) else { continue };
            let of_safety = one != other && (one == Duty::SafetyOfficer || other == Duty::SafetyOfficer);
            assert_eq!(matches!(rule.basis, Basis::Published { .. }), of_safety, "{one}, {other}");
            assert!(rule.words.ends_with('.'), "{}", rule.words);
        }
    }
    let basis = rule(Duty::SafetyOfficer, Duty::Parking).unwrap().basis.says();
    assert!(basis.starts_with("NFPA 1403") && basis.contains("adopted"), "{basis}");
}

#[test]
fn each_rule_is_said_of_some_pair() {
    for wanted in RULES {
        let is_said = |one| Duty::ALL.into_iter().any(|other| rule(one, other) == Some(wanted));
        assert!(Duty::ALL.into_iter().any(is_said), "{}", wanted.words);
    }
}

#[test]
fn hours_need_a_length() {
    assert_eq!(Hours::new(datetime!(2027-01-02 9:00), datetime!(2027-01-02 9:00)), None);
    assert_eq!(Hours::new(datetime!(2027-01-02 9:00), datetime!(2027-01-02 8:00)), None);
    assert_eq!(hours(time!(9:00), time!(9:00)).until(), datetime!(2027-01-03 9:00));
}

#[test]
fn hours_lie_within_others_that_touch() {
    let wanted = hours(time!(9:00), time!(12:00));
    let parts = |all: &[(Time, Time)]| all.iter().map(|(from, until)| hours(*from, *until)).collect::<Vec<_>>();
    for (all, holds) in [
        (parts(&[(time!(9:00), time!(12:00))]), true),
        (parts(&[(time!(10:30), time!(13:00)), (time!(8:00), time!(10:30))]), true),
        (parts(&[(time!(8:00), time!(13:00)), (time!(9:00), time!(9:30))]), true),
        (parts(&[(time!(8:00), time!(10:30)), (time!(10:31), time!(13:00))]), false),
        (parts(&[(time!(9:00), time!(11:59))]), false),
        (parts(&[(time!(9:01), time!(12:00))]), false),
        (parts(&[]), false),
    ] {
        assert_eq!(wanted.are_within(&all), holds, "{all:?}");
    }
    let night = hours(time!(22:00), time!(2:00));
    assert!(night.are_within(&[hours(time!(20:00), time!(3:00))]));
    assert!(!night.are_within(&parts(&[(time!(22:00), time!(23:59)), (time!(0:00), time!(3:00))])));
}
