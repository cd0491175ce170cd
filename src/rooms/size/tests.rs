use super::*;
use proptest::prelude::*;

const CM: Unit = Unit::Centimetre;
const IN: Unit = Unit::Inch;

/// An inch is 25.4 mm exactly: the international yard and pound agreement of
/// 1959, as NIST Special Publication 811 has it, from memory. The lengths below
/// are worked out by hand from that.
#[test]
fn a_length_is_read_as_people_write_it() {
    for (text, tenths, unit) in [
        ("24 in", 6_096, IN),
        ("24in", 6_096, IN),
        ("24 in.", 6_096, IN),
        ("24-in", 6_096, IN),
        ("24 inches", 6_096, IN),
        ("24\"", 6_096, IN),
        ("24″", 6_096, IN),
        ("24”", 6_096, IN),
        ("24''", 6_096, IN),
        ("24’’", 6_096, IN),
        ("24 1/2 in", 6_223, IN),
        ("24 1⁄2 in", 6_223, IN),
        ("24½ in", 6_223, IN),
        ("24 ½ in", 6_223, IN),
        ("24-1/2\"", 6_223, IN),
        ("24-½\"", 6_223, IN),
        ("24.5 in", 6_223, IN),
        ("24,5 in", 6_223, IN),
        ("1/2 in", 127, IN),
        ("½\"", 127, IN),
        (".5 in", 127, IN),
        ("3/16 in", 48, IN),
        ("5' 2\"", 15_748, IN),
        ("5'2\"", 15_748, IN),
        ("5'-2\"", 15_748, IN),
        ("5' - 2\"", 15_748, IN),
        ("5'2", 15_748, IN),
        ("5' 2''", 15_748, IN),
        ("5 ft 2 in", 15_748, IN),
        ("5 FT 2 IN", 15_748, IN),
        ("5 ft. 2 in.", 15_748, IN),
        ("5ft2", 15_748, IN),
        ("5 feet 2 inches", 15_748, IN),
        ("1 foot 1 inch", 3_302, IN),
        ("5′ 2½″", 15_875, IN),
        ("5’ 2 1/2”", 15_875, IN),
        ("5'-2 1/2\"", 15_875, IN),
        ("2½ ft", 7_620, IN),
        ("2.5'", 7_620, IN),
        ("1 yd", 9_144, IN),
        ("60 cm", 6_000, CM),
        ("60cm", 6_000, CM),
        ("60,5 cm", 6_050, CM),
        ("60.5 cm", 6_050, CM),
        ("0,125 m", 1_250, CM),
        ("1.52 m", 15_200, CM),
        ("1,52 m", 15_200, CM),
        ("1 m 52 cm", 15_200, CM),
        ("610 mm", 6_100, CM),
        ("1,200.5 mm", 12_005, CM),
        ("12.5 millimeters", 125, CM),
        ("  2 Metres ", 20_000, CM),
        ("24 in (61 cm)", 6_096, IN),
    ] {
        assert_eq!(Length::read(text), Ok(Length { tenths, unit }), "{text}");
        assert_eq!(Size::read(text), Ok(Size { lengths: [Some(tenths), None, None], unit }), "{text}");
    }
}

#[test]
fn several_lengths_are_read_as_people_write_them() {
    for (text, lengths, unit) in [
        ("60 × 40 × 120 cm", [Some(6_000), Some(4_000), Some(12_000)], CM),
        ("60x40 CM", [Some(6_000), Some(4_000), None], CM),
        ("60cmx40cm", [Some(6_000), Some(4_000), None], CM),
        ("60 * 40 cm", [Some(6_000), Some(4_000), None], CM),
        ("2 ft by 30 in", [Some(6_096), Some(7_620), None], IN),
        ("24 x 36 in", [Some(6_096), Some(9_144), None], IN),
        ("24\"x36\"", [Some(6_096), Some(9_144), None], IN),
        ("24in x 36in x 18in", [Some(6_096), Some(9_144), Some(4_572)], IN),
        ("1 1/2 x 3 1/2 x 96 in", [Some(381), Some(889), Some(24_384)], IN),
        ("1½×3½×96″", [Some(381), Some(889), Some(24_384)], IN),
        ("4 x 8 ft", [Some(12_192), Some(24_384), None], IN),
        ("5' 2\" x 3'", [Some(15_748), Some(9_144), None], IN),
        ("6 ft 8 in by 2 ft 6 in", [Some(20_320), Some(7_620), None], IN),
        ("60,5 x 40,25 cm", [Some(6_050), Some(4_025), None], CM),
        ("60 × 40 × 120 cm (23.6 × 15.7 × 47.2 in)", [Some(6_000), Some(4_000), Some(12_000)], CM),
        ("", [None; 3], CM),
    ] {
        assert_eq!(Size::read(text), Ok(Size { lengths, unit }), "{text}");
    }
    for text in ["24 x 36 in", "60 × 40 × 120 cm"] {
        let why = Length::read(text).unwrap_err();
        assert!(why.contains("Type one, as in"), "{text}: {why}");
    }
}

#[test]
fn what_is_no_length_is_refused_with_what_to_write() {
    for (text, says) in [
        ("60", "Add the unit"),
        ("24 in x 36", "Add the unit"),
        ("4 x 5' 2\"", "Add the unit"),
        ("1 m 52", "Add the unit"),
        ("cm", "Type a number before “cm”"),
        ("24 x in", "Type a number before “in”"),
        ("24 x", "before and after each ×"),
        ("x 24 in", "before and after each ×"),
        ("-4 cm", "can't be less than 0"),
        ("24-36 in", "not a range"),
        ("24 in - 36 in", "Put an ×"),
        ("24 36 in", "Put an ×"),
        ("24 in 36 in", "Put an ×"),
        ("2 in 5 ft", "Put an ×"),
        ("60, 40, 120 cm", "not “,”"),
        ("24 in; 36 in", "not “;”"),
        ("5 ft 14 in", "Type it in inches only"),
        ("5.5 ft 2 in", "Type it in inches only"),
        ("5 ft 2 cm", "feet and centimeters"),
        ("1,200 mm", "Is “1,200” 1200 or 1.200?"),
        ("1.200,5 mm", "isn't a number"),
        ("1.2.3 cm", "isn't a number"),
        (".", "isn't a number"),
        ("1/0 in", "Type a fraction"),
        ("24 3/2 in", "Type a fraction"),
        ("24.5 1/2 in", "Type a fraction"),
        ("/2 in", "Type a fraction"),
        ("1e3 cm", "“e” isn't a length"),
        ("sixty cm", "“sixty” isn't a length"),
        ("six in", "“six” isn't a length"),
        ("NaN cm", "“nan” isn't a length"),
        ("about 24 in", "“about” isn't a length"),
        ("30 in high", "Remove “high”"),
        ("24\"W x 36\"H", "Remove “w”"),
        ("24 in (each)", "Remove what is in parentheses"),
        ("24 in (90 cm)", "Remove what is in parentheses"),
        ("(24 in)", "Remove “(”"),
        ("24°", "Remove “°”"),
        ("31 m", "up to 98 ft (30 m)"),
        ("0.001 mm", "above 0"),
    ] {
        let why = Size::read(text).unwrap_err();
        assert!(why.contains(says), "{text}: {why}");
        assert!(why.ends_with(['.', '?']), "{text}: {why}");
    }
    assert!(Size::read("4 x 4 x 4 x 4 in").unwrap_err().contains("You typed 4 lengths"));
    assert!(Size::read("0 cm").unwrap_err().contains("above 0"));
    assert_eq!(Length::read("0 in"), Ok(Length { tenths: 0, unit: IN }));
    assert!(Length::read("").unwrap_err().contains("Type a length with its unit"));
}

#[test]
fn sizes_are_shown_in_both_units() {
    let shown = |text: &str| Size::read(text).unwrap().to_string();
    assert_eq!(shown("24 in"), "24 in (61 cm)");
    assert_eq!(shown("5' 2 1/2\""), "62.5 in (158.8 cm)");
    assert_eq!(shown("60 × 40 × 120 cm"), "60 × 40 × 120 cm (23.6 × 15.7 × 47.2 in)");
    assert_eq!(shown(""), "");
    for text in
        ["24.25 in", "48 × 96 × 0.625 in", "23.6 in", "60.5 × 40 cm", "0.5 in", "12.55 cm", "0.0625 in", "100 cm"]
    {
        assert_eq!(Size::read(text).unwrap().typed(), text);
    }
    assert_eq!(Length::read("2.5 cm").unwrap().to_string(), "2.5 cm (1 in)");
}

fn unit() -> impl Strategy<Value = Unit> {
    prop_oneof![Just(IN), Just(CM)]
}

proptest! {
    #[test]
    fn what_is_shown_is_read_as_the_same_size(
        lengths in prop::collection::vec(1..=typed::LONGEST, 0..=3), unit in unit()
    ) {
        let known = |place: usize| lengths.get(place).copied();
        // A size that isn't known has no unit either.
        let unit = if lengths.is_empty() { CM } else { unit };
        let size = Size { lengths: [known(0), known(1), known(2)], unit };
        prop_assert_eq!(Size::read(&size.typed()), Ok(size));
        prop_assert_eq!(Size::read(&size.to_string()), Ok(size));
    }

    #[test]
    fn what_is_shown_is_read_as_the_same_length(tenths in 0..=typed::LONGEST, unit in unit()) {
        let length = Length { tenths, unit };
        prop_assert_eq!(Length::read(&length.typed()), Ok(length));
        prop_assert_eq!(Length::read(&length.to_string()), Ok(length));
    }

    #[test]
    fn feet_and_sixteenths_of_an_inch_are_read_exactly(feet in 0..90_u32, inches in 0..12_u32, sixteenths in 1..16_u32) {
        let exact = f64::from(feet * 12 + inches) + f64::from(sixteenths) / 16.0;
        for text in [
            format!("{feet} ft {inches} {sixteenths}/16 in"),
            format!("{feet}'-{inches}-{sixteenths}/16\""),
            format!("{exact} in"),
        ] {
            let read = Length::read(&text).unwrap();
            prop_assert!((f64::from(read.tenths) - exact * 254.0).abs() <= 0.5, "{}: {:?}", text, read);
        }
    }

    #[test]
    fn anything_typed_is_read_or_refused(text in "[0-9 xX×.,/'\"½⁄()a-z-]{0,24}") {
        let _ = (Size::read(&text), Length::read(&text));
    }
}
