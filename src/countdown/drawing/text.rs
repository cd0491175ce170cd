//! How wide a text is in Public Sans: never less than in a browser, and seldom much more.

/// How wide the characters from space to tilde are, in thousandths of the type size: the
/// wider of the weights 400 and 700, and with digits, periods, and commas as tables set them
/// (`tnum`). Read from `static/public-sans.woff2`; the hyphen has the kern after an "s".
const ASCII: [u16; 95] = [
    243, 282, 480, 616, 700, 939, 784, 261, 333, 337, 473, 589, 300, 443, 300, 381, 700, 700, 700, 700, 700, 700, 700,
    700, 700, 700, 270, 279, 578, 589, 578, 535, 831, 727, 685, 718, 720, 635, 614, 759, 770, 308, 402, 717, 578, 918,
    782, 761, 653, 773, 696, 692, 616, 724, 704, 969, 717, 668, 670, 337, 381, 337, 484, 553, 264, 567, 609, 547, 609,
    577, 397, 629, 593, 267, 289, 580, 329, 896, 593, 576, 607, 607, 412, 527, 417, 595, 521, 789, 588, 563, 497, 385,
    269, 384, 612,
];
/// Kerning widens few pairs, and a text by no more than this.
const KERNING: f64 = 1.02;

fn thousandths(letter: char) -> u16 {
    let ascii = u8::try_from(letter).ok().and_then(|byte| byte.checked_sub(b' '));
    if let Some(known) = ascii.and_then(|place| ASCII.get(usize::from(place))) {
        return *known;
    }
    match letter {
        '…' => 895,
        '·' | '‘' | '’' => 265,
        '“' | '”' => 480,
        '–' => 595,
        'à'..='ÿ' => 920,
        // Of what else is in the font, nothing is wider than the em dash.
        '\u{a0}'..='\u{24f}' | '\u{2010}'..='\u{2027}' => 1150,
        // Other letters come from the reader's own fonts.
        _ => 1500,
    }
}

/// How wide a text is in type of this size, in any weight from 400 to 700.
pub(in crate::countdown) fn width(text: &str, size: f64) -> f64 {
    let sum: u32 = text.chars().map(|letter| u32::from(thousandths(letter))).sum();
    f64::from(sum) / 1000.0 * KERNING * size
}

/// The text, or as much of its beginning as fits, with "…".
pub(in crate::countdown) fn shortened(text: &str, size: f64, room: f64) -> String {
    if width(text, size) <= room {
        return text.to_owned();
    }
    let mut kept = text.to_owned();
    while !kept.is_empty() && width(&kept, size) + width("…", size) > room {
        kept.pop();
    }
    format!("{}…", kept.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::countdown::drawing::number;

    /// As Chromium 156 measured them in the app's font at a size of 100, with `tnum`: in
    /// weight 400 and in weight 700.
    const MEASURED: [(&str, f64, f64); 9] = [
        ("Get an answer for both dates from every crew member and volunteer · volunteers", 3737.6, 3824.3),
        ("burn day: Sat, Jan 2, 10:00", 1267.0, 1289.6),
        ("WALK-THROUGH 7½", 975.2, 998.3),
        ("Tomás Núñez’s “go/no-go” limits", 1487.3, 1541.6),
        ("ill-lit… jig, fjord", 702.7, 740.3),
        ("26 wk", 297.8, 299.0),
        ("AVATAR Type To. 1,234.00 $7", 1447.1, 1462.2),
        ("s-s-s-s-s XX YY gj", 851.7, 888.0),
        ("Site and permits", 762.4, 784.9),
    ];

    #[test]
    fn a_text_is_never_wider_than_we_think() {
        for (text, regular, bold) in MEASURED {
            assert!(width(text, 100.0) >= f64::max(regular, bold), "{text}: {}", width(text, 100.0));
        }
    }

    #[test]
    fn what_we_think_wastes_little_room_on_english() {
        for (text, regular, _) in MEASURED.into_iter().filter(|(text, ..)| text.is_ascii()) {
            assert!(width(text, 100.0) < 1.1 * regular, "{text}: {}", width(text, 100.0));
        }
    }

    #[test]
    fn letters_of_other_scripts_are_thought_wide() {
        for text in ["放火", "🔥🔥", "Ω"] {
            assert!(width(text, 10.0) >= 15.0 * number(text.chars().count()), "{text}");
        }
    }

    #[test]
    fn a_text_is_shortened_only_if_it_does_not_fit() {
        let text = "Pick burn day and the rain date";
        assert_eq!(shortened(text, 10.0, width(text, 10.0)), text);
        for room in [1.0, 20.0, 60.0, 100.0] {
            let short = shortened(text, 10.0, room);
            assert!(short.ends_with('…') && text.starts_with(short.trim_end_matches('…')), "{short}");
            assert!(width(&short, 10.0) <= room || short == "…", "{short}");
        }
        assert_eq!(shortened("Pick a day", 10.0, width("Pick a…", 10.0) + 1.0), "Pick a…");
    }
}
