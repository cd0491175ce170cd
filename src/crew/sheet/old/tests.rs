use super::*;
use crate::crew::sheet::content::tests::content;
use time::OffsetDateTime;
use time::macros::date;

const LATELY: Date = date!(2027 - 05 - 31);

fn told(lines: &[(String, String)]) -> Vec<(&str, &str)> {
    lines.iter().map(|(label, text)| (label.as_str(), text.as_str())).collect()
}

fn mail(dedup: &str, text: &str) -> OldMail {
    let (dedup, text) = (dedup.to_owned(), text.to_owned());
    OldMail { dedup, person_id: 7, text, written_at: OffsetDateTime::UNIX_EPOCH }
}

#[test]
fn a_sheet_reads_as_each_version_worded_it() {
    let lines = |wording| lines(&content(), LATELY, wording);
    assert_eq!(
        told(&lines(Wording::First)),
        [
            ("Day", "Sat 5 Jun 2027"),
            ("Site", "East lot"),
            ("Post", "Pump operators"),
            ("Hours", "06:30 to 12:00"),
            ("Where", "North pump"),
            ("Reports to", "burn boss"),
            ("Bring", "radio"),
            ("Instructions", "hot hose"),
            ("With you", "Solveig Marchetti, Bram Ostrander"),
            ("Decided", "“Driver/operator” is required and not on record. Certificate seen, Dele Aldous"),
            ("Post", "Parking, as an alternate"),
            ("Hours", "18:00 to 01:00 the next day"),
            ("Wear", "vest"),
            (
                "If it is called off",
                "Sat 12 Jun, same hours; you said yes to that day too. You hear it by mail. If unsure, ring before \
                 you set off."
            ),
            ("Incident commander", "Fenwick Tamura"),
            ("Safety officer", "Dele Aldous"),
        ]
    );
    let early = lines(Wording::Early);
    assert_eq!((early[7].0.as_str(), early[10].1.as_str()), ("To mind", "Parking, as a stand-by"));
    let second = lines(Wording::Second);
    let second = told(&second);
    for line in [
        ("Day", "Sat, Jun 5, 2027"),
        ("Position", "Pump operators"),
        ("Hours", "6:30 a.m. to noon (06:30–12:00)"),
        ("Hours", "6 p.m. to 1 a.m. (18:00–01:00) the next day"),
        ("Override", "“Driver/operator” is required and not on record. Certificate seen (Dele Aldous)"),
        (
            "If postponed",
            "Sat, Jun 12, same hours. You said yes to that day too. We will let you know. If you aren't sure, \
             call before you leave home.",
        ),
    ] {
        assert!(second.contains(&line), "{line:?}: {second:?}");
    }
}

#[test]
fn a_rain_date_had_its_year_only_from_afar() {
    let rain = |today, is_second| rain(Some((date!(2027 - 06 - 12), ReplyStatus::Maybe)), today, is_second);
    for (today, first, second) in [
        (LATELY, "Sat 12 Jun, same", "Sat, Jun 12, same"),
        (date!(2026 - 12 - 31), "Sat 12 Jun 2027, same", "Sat, Jun 12, 2027, same"),
    ] {
        assert!(rain(today, false).starts_with(first), "{}", rain(today, false));
        assert!(rain(today, true).starts_with(second), "{}", rain(today, true));
    }
}

/// The digests are those that `sha256sum` finds for the sheets in the test above.
#[test]
fn an_email_is_recognized_by_its_digest_or_its_text() {
    let (first, second) = (lines(&content(), LATELY, Wording::First), lines(&content(), LATELY, Wording::Second));
    assert!(holds(&mail("call-sheet/1/7/fc60eccc68fa5bf9", ""), &first));
    assert!(holds(&mail("call-sheet/1/7/a3672ca00da5546a", ""), &second));
    assert!(!holds(&mail("call-sheet/1/7/fc60eccc68fa5bf9", ""), &second));

    let text = |lines: &[(String, String)]| {
        let lines: Vec<String> = lines.iter().map(|(label, text)| format!("{label}: {text}\n")).collect();
        format!("Hello Ray,\n\nHere is what you need.\n\n{}\nOlga Wren\n", lines.concat())
    };
    assert!(holds(&mail("reminder/7/question/3/1", &text(&first)), &first));
    assert!(!holds(&mail("reminder/7/question/3/1", &text(&first)), &second));
    let shorter = &first[..first.len() - 1];
    assert!(!holds(&mail("reminder/7/question/3/1", &text(&first)), shorter), "a line more");
    assert!(!holds(&mail("reminder/7/question/3/1", &text(shorter)), &first), "a line less");
}
