use super::*;
use proptest::prelude::*;
use serde_json::Value;

fn thing(what: &str, model: &str, material: &str, length: u32, quantity: u32) -> Thing {
    Thing {
        kind: Kind::Furnishing,
        what: what.to_owned(),
        model: model.to_owned(),
        material: material.to_owned(),
        size: [Some(length).filter(|length| *length > 0), None, None],
        position: String::new(),
        condition: String::new(),
        quantity,
    }
}

/// The only pair of two lists of one thing each.
fn only(a: &Thing, b: &Thing) -> Pair {
    let all = pair(std::slice::from_ref(a), std::slice::from_ref(b), USUAL);
    assert_eq!((all.pairs.len(), &all.only_a, &all.only_b), (1, &vec![], &vec![]));
    all.pairs[0].clone()
}

#[test]
fn a_lamp_of_60_centimetres_and_one_of_24_inches_are_alike_in_size() {
    let (sixty, two_feet) = (6_000, 24 * 254);
    let pair = only(&thing("lamp", "", "steel", sixty, 1), &thing("lamp", "", "steel", two_feet, 1));
    assert_eq!((pair.grade, pair.differs), (Grade::TypeAndMaterial, vec![]));
}

#[test]
fn the_tolerance_is_the_wider_of_the_two_and_has_no_sides() {
    for (one, other, alike) in [
        (1_000, 1_250, true),
        (1_000, 1_251, false),
        (10_000, 9_500, true),
        (10_000, 9_499, false),
        (0, 250, true),
        (u32::MAX, u32::MAX - 200_000_000, true),
    ] {
        assert_eq!(USUAL.allows(one, other), alike, "{one} {other}");
        assert_eq!(USUAL.allows(other, one), alike, "{other} {one}");
    }
    assert!(!Tolerance { percent: 0, length: 0 }.allows(1, 2));
}

#[test]
fn grades_say_what_is_known_and_no_more() {
    let sofa = |model, material, length| thing("sofa", model, material, length, 1);
    for (a, b, grade, differs) in [
        (sofa("Bend 3", "linen", 0), sofa("bend  3", "", 0), Grade::Model, vec![Aspect::Material]),
        (sofa("Bend 3", "linen", 0), sofa("Bend 3", "leather", 0), Grade::Alike, vec![Aspect::Material]),
        (sofa("Bend 3", "", 2_000), sofa("Bend 3", "", 9_000), Grade::Alike, vec![Aspect::Size]),
        (sofa("Bend 3", "", 2_000), sofa("Bend 3", "", 0), Grade::Model, vec![Aspect::Size]),
        (sofa("", "Líñen", 0), sofa("", "LINEN ", 0), Grade::TypeAndMaterial, vec![]),
        (sofa("Bend 3", "linen", 0), sofa("Bend 4", "linen", 0), Grade::TypeAndMaterial, vec![Aspect::Model]),
        (sofa("", "linen", 2_000), sofa("", "linen", 0), Grade::Alike, vec![Aspect::Size]),
        (sofa("", "", 0), sofa("", "", 0), Grade::Alike, vec![]),
    ] {
        let pair = only(&a, &b);
        assert_eq!((pair.grade, pair.differs), (grade, differs), "{a:?} {b:?}");
    }
}

#[test]
fn where_things_stand_and_how_worn_they_are_is_told_beside_the_grade() {
    let old = Thing { condition: "worn".to_owned(), position: "left".to_owned(), ..thing("chair", "Oak 1", "", 0, 1) };
    let new = Thing { condition: "new".to_owned(), position: "right".to_owned(), ..old.clone() };
    let pair = only(&old, &new);
    assert_eq!((pair.grade, pair.differs), (Grade::Model, vec![Aspect::Condition, Aspect::Position]));
}

#[test]
fn a_couch_is_no_sofa_and_a_panel_no_piece_of_furniture() {
    let part = Thing { kind: Kind::Part, ..thing("sofa", "", "", 0, 1) };
    let all = pair(&[thing("sofa", "", "", 0, 2)], &[thing("couch", "", "", 0, 1), part], USUAL);
    assert_eq!((all.pairs, all.only_a, all.only_b), (vec![], vec![(0, 2)], vec![(0, 1), (1, 1)]));
}

#[test]
fn two_chairs_are_a_chair_and_a_chair() {
    let all = pair(
        &[thing("chair", "Oak 1", "", 0, 2)],
        &[thing("chair", "Oak 1", "", 0, 1), thing("Chair", "OAK 1", "", 0, 2)],
        USUAL,
    );
    let says: Vec<_> = all.pairs.iter().map(|pair| (pair.a, pair.b, pair.quantity, pair.grade)).collect();
    assert_eq!(says, [(0, 0, 1, Grade::Model), (0, 1, 1, Grade::Model)]);
    assert_eq!(all.only_b, [(1, 1)]);
}

#[test]
fn two_middling_pairs_are_fairer_than_a_good_and_a_bad_one() {
    let lamp = |model, length| thing("lamp", model, "steel", length, 1);
    let a = [lamp("Glow", 6_000), lamp("", 5_800)];
    let b = [lamp("Glow", 6_000), lamp("", 6_200)];
    let fair = pair(&a, &b, USUAL).fairness(&a, &b, Kind::Furnishing);
    assert_eq!((fair.pairs, fair.things(), fair.paired()), ([0, 2, 0], 4, 4));
}

#[test]
fn the_worst_comes_first() {
    let a = [
        thing("armchair", "", "oak", 0, 1),
        thing("lamp", "Glow", "", 0, 1),
        thing("sofa", "", "linen", 0, 1),
        thing("rug", "", "", 0, 1),
    ];
    let b = [thing("sofa", "", "leather", 0, 1), thing("lamp", "Glow", "", 0, 1), thing("armchair", "", "oak", 0, 1)];
    let all = pair(&a, &b, USUAL);
    assert_eq!(all.pairs.iter().map(|pair| a[pair.a].what.as_str()).collect::<Vec<_>>(), ["sofa", "armchair", "lamp"]);
    assert_eq!(all.only_a, [(3, 1)]);
    let fair = all.fairness(&a, &b, Kind::Furnishing);
    assert_eq!((fair.things(), fair.paired(), fair.orphans(), fair.of(Grade::Alike)), (7, 6, 1, 1));
    assert_eq!(all.fairness(&a, &b, Kind::Part), Fairness::default());
}

fn read(room: &Value) -> Vec<Thing> {
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let number = |value: &Value| value.as_u64().and_then(|number| u32::try_from(number).ok());
    let one = |row: &Value| Thing {
        kind: if row[0] == "part" { Kind::Part } else { Kind::Furnishing },
        what: text(&row[1]),
        model: text(&row[2]),
        material: text(&row[3]),
        size: std::array::from_fn(|place| number(&row[4][place])),
        condition: text(&row[5]),
        position: text(&row[6]),
        quantity: number(&row[7]).unwrap(),
    };
    room.as_array().unwrap().iter().map(one).collect()
}

/// The total cost of a pairing, as the fixture counts it.
fn costs(all: &Pairing, a: &[Thing], b: &[Thing], tolerance: Tolerance) -> [i64; 4] {
    let each = all.pairs.iter().map(|pair| {
        let flow::Cost(cost) = Key::of(&a[pair.a]).cost(&Key::of(&b[pair.b]), tolerance);
        flow::Cost(cost.map(|number| number * i64::from(pair.quantity)))
    });
    each.sum::<flow::Cost>().0
}

/// `linear_sum_assignment` of scipy on single items, with the rules written a second time in
/// Python: `tests/reference/pairs.py`.
#[test]
fn two_hundred_random_rooms_are_paired_as_well_as_scipy_pairs_them() {
    let known: Value = serde_json::from_str(include_str!("../../../tests/reference/pairs.json")).unwrap();
    let cases = known["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 200);
    for (number, case) in cases.iter().enumerate() {
        let (a, b) = (read(&case["a"]), read(&case["b"]));
        let length = |name: &str| u32::try_from(case[name].as_u64().unwrap()).unwrap();
        let tolerance = Tolerance { percent: length("percent"), length: length("length") };
        let all = pair(&a, &b, tolerance);
        let costs = costs(&all, &a, &b, tolerance);
        assert_eq!(serde_json::json!(costs), case["costs"], "case {number}");
        let mut pairs = [0; 3];
        let mut orphans = [0; 2];
        for kind in [Kind::Furnishing, Kind::Part] {
            let fair = all.fairness(&a, &b, kind);
            pairs = std::array::from_fn(|place| pairs[place] + fair.pairs[place]);
            orphans = [orphans[0] + fair.only_a, orphans[1] + fair.only_b];
        }
        assert_eq!(
            (serde_json::json!(pairs), serde_json::json!(orphans)),
            (case["pairs"].clone(), case["orphans"].clone())
        );
    }
}

fn any_thing() -> impl Strategy<Value = Thing> {
    let word = |words: &'static [&'static str]| prop::sample::select(words).prop_map(str::to_owned);
    let length = prop::option::of(prop::sample::select(vec![5_800_u32, 6_000, 6_096, 6_200, 9_000]));
    (
        prop::bool::weighted(0.2),
        word(&["sofa", "Sofa", "lamp"]),
        word(&["", "", "Glow", "glow ", "Beam"]),
        word(&["", "steel", "Stéel", "linen"]),
        (length.clone(), length),
        word(&["", "new", "worn"]),
        word(&["", "left", "right"]),
        1_u32..4,
    )
        .prop_map(|(is_part, what, model, material, (long, wide), condition, position, quantity)| Thing {
            kind: if is_part { Kind::Part } else { Kind::Furnishing },
            what,
            model,
            material,
            size: [long, wide, None],
            position,
            condition,
            quantity,
        })
}

fn room() -> impl Strategy<Value = Vec<Thing>> {
    prop::collection::vec(any_thing(), 0..7)
}

/// Chairs that differ only a little, so that there are many ways to pair them.
fn chairs() -> impl Strategy<Value = Vec<Thing>> {
    let chair = (0_u32..6, 0_u32..3, 1_u32..4).prop_map(|(position, length, quantity)| Thing {
        position: position.to_string(),
        condition: if length == 0 { String::new() } else { length.to_string() },
        ..thing("chair", "", "oak", 0, quantity)
    });
    prop::collection::vec(chair, 0..9)
}

type Side = (Kind, String, Key);
type Content = (BTreeMap<(Side, Side, Grade, Vec<Aspect>), u32>, BTreeMap<Side, u32>, BTreeMap<Side, u32>);

/// What a pairing says, regardless of the lines.
fn content(all: &Pairing, a: &[Thing], b: &[Thing]) -> Content {
    let side = |thing: &Thing| (thing.kind, folded(&thing.what), Key::of(thing));
    let mut pairs = BTreeMap::new();
    for pair in &all.pairs {
        let key = (side(&a[pair.a]), side(&b[pair.b]), pair.grade, pair.differs.clone());
        *pairs.entry(key).or_insert(0) += pair.quantity;
    }
    let alone = |lines: &[(usize, u32)], of: &[Thing]| {
        let mut all = BTreeMap::new();
        for (line, quantity) in lines {
            *all.entry(side(&of[*line])).or_insert(0) += quantity;
        }
        all
    };
    (pairs, alone(&all.only_a, a), alone(&all.only_b, b))
}

/// The lowest cost of any pairing, by trying them all.
fn least(a: &[Thing], b: &[Thing]) -> flow::Cost {
    let Some((first, rest)) = a.split_first() else { return flow::Cost::default() };
    let one = |place: usize| {
        let mut others = b.to_vec();
        let other = others.remove(place);
        Key::of(first).cost(&Key::of(&other), USUAL) + least(rest, &others)
    };
    (0..b.len()).map(one).min().unwrap_or_default()
}

proptest! {
    #[test]
    fn the_order_of_entry_changes_nothing(a in room(), b in room(), turn in 0_usize..7) {
        let (mut other_a, mut other_b) = (a.clone(), b.clone());
        other_a.reverse();
        let by = turn.min(other_b.len());
        other_b.rotate_left(by);
        let one = content(&pair(&a, &b, USUAL), &a, &b);
        prop_assert_eq!(one, content(&pair(&other_a, &other_b, USUAL), &other_a, &other_b));
    }

    #[test]
    fn counts_split_over_lines_change_nothing(a in room(), b in room()) {
        let singles: Vec<Thing> = a.iter().flat_map(|thing| {
            std::iter::repeat_n(Thing { quantity: 1, ..thing.clone() }, thing.quantity as usize)
        }).collect();
        let one = content(&pair(&a, &b, USUAL), &a, &b);
        prop_assert_eq!(one, content(&pair(&singles, &b, USUAL), &singles, &b));
    }

    #[test]
    fn whichever_room_is_called_a_the_pairs_are_the_same(a in room(), b in room()) {
        let (pairs, only_a, only_b) = content(&pair(&a, &b, USUAL), &a, &b);
        let (turned, then_a, then_b) = content(&pair(&b, &a, USUAL), &b, &a);
        let turned: BTreeMap<_, _> =
            turned.into_iter().map(|((b, a, grade, differs), quantity)| ((a, b, grade, differs), quantity)).collect();
        prop_assert_eq!((pairs, only_a, only_b), (turned, then_b, then_a));
    }

    #[test]
    fn of_pairings_equally_good_it_is_the_same_from_either_side(a in chairs(), b in chairs()) {
        let (pairs, only_a, only_b) = content(&pair(&a, &b, USUAL), &a, &b);
        let (turned, then_a, then_b) = content(&pair(&b, &a, USUAL), &b, &a);
        let turned: BTreeMap<_, _> =
            turned.into_iter().map(|((b, a, grade, differs), quantity)| ((a, b, grade, differs), quantity)).collect();
        prop_assert_eq!((pairs, only_a, only_b), (turned, then_b, then_a));
    }

    #[test]
    fn everything_is_in_one_pair_or_an_orphan(a in room(), b in room()) {
        let all = pair(&a, &b, USUAL);
        for (place, thing) in a.iter().enumerate() {
            let paired: u32 = all.pairs.iter().filter(|pair| pair.a == place).map(|pair| pair.quantity).sum();
            let alone: u32 = all.only_a.iter().filter(|(line, _)| *line == place).map(|(_, quantity)| quantity).sum();
            prop_assert_eq!(paired + alone, thing.quantity);
        }
        // No orphan of A could have been paired with one of B.
        for (one, _) in &all.only_a {
            for (other, _) in &all.only_b {
                prop_assert!(a[*one].kind != b[*other].kind || folded(&a[*one].what) != folded(&b[*other].what));
            }
        }
    }

    #[test]
    fn a_room_and_its_copy_are_paired_thing_by_thing(a in room()) {
        let all = pair(&a, &a, USUAL);
        prop_assert!(all.only_a.is_empty() && all.only_b.is_empty());
        prop_assert!(all.pairs.iter().all(|pair| pair.differs.is_empty()));
    }

    #[test]
    fn no_other_pairing_is_better(
        a in prop::collection::vec(any_thing(), 0..6),
        b in prop::collection::vec(any_thing(), 6..7),
    ) {
        let same = |thing: Thing| Thing { kind: Kind::Furnishing, what: "lamp".to_owned(), quantity: 1, ..thing };
        let (a, b): (Vec<_>, Vec<_>) = (a.into_iter().map(same).collect(), b.into_iter().map(same).collect());
        let all = pair(&a, &b, USUAL);
        prop_assert_eq!(costs(&all, &a, &b, USUAL), least(&a, &b).0);
    }
}
