use super::super::kind::PaperKind;
use super::super::layout::{Layout, Printed};
use super::super::paper_facts::PaperFacts;
use super::super::testing::details;
use super::*;
use crate::events::Details;
use time::OffsetDateTime;
use time::macros::{date, datetime};

const TODAY: Date = date!(2026 - 11 - 19);
const NOW: OffsetDateTime = datetime!(2026-11-19 15:00 UTC);

fn known() -> Facts {
    let text = |text: &str| text.to_owned();
    Facts {
        contact: text("Jun Castellane, information officer"),
        phone: text("5555550118"),
        mail: text("jun@example.org"),
        in_people: None,
        why: text("Most people think they have longer than they do."),
        area: text("By the north fence."),
        arrival: text("From 9:15 a.m. by gate B; park along the east fence."),
        interviews: text("Fire chief at 11 a.m."),
        visuals: text("Smoke alarm at about minute 1, sprinkler at about minute 2."),
        decision: text("The decision is posted by 4 p.m. the day before on the recorded line, 555-0119."),
        clothing: text("Closed shoes and cotton or wool."),
        power: text("Two outlets; live trucks on the gravel by gate B."),
        messages: vec![text("Get out early."), text("Close doors.")],
        taught: Vec::new(),
        version: 1,
    }
}

/// As it goes out on Nov. 19, 2026.
fn laid_out(kind: PaperKind, facts: &Facts) -> Layout {
    let details = Details {
        site: "Alder Bend fairground, east lot".to_owned(),
        burn_on: date!(2027 - 01 - 09),
        rain_on: Some(date!(2027 - 01 - 16)),
        ..details()
    };
    let home = Home { city: "Alder Bend".to_owned(), state: "Iowa".to_owned(), ..Home::default() };
    let start = Start { home: &home, today: TODAY };
    let (headline, text) = kind.first_text(facts, &start);
    let facts = PaperFacts::of(&details, "Alder Bend Fire District", facts, NOW);
    let printed = Printed { headline: &facts.fill(&headline), text: &facts.fill(&text), embargo: "" };
    Layout::of(kind, printed, TODAY)
}

fn words(text: &str) -> usize {
    text.split_whitespace().count()
}

#[test]
fn a_release_has_the_parts_that_editors_look_for_in_their_order() {
    let release = laid_out(PaperKind::Release, &known());
    assert_eq!((release.hold.as_str(), release.dated.as_str()), ("FOR IMMEDIATE RELEASE", "Nov. 19, 2026"));
    assert_eq!(release.contact, "CONTACT: Jun Castellane, information officer, (555) 555-0118, jun@example.org");
    assert!(release.headline.contains(" burns two rooms "), "present tense: {}", release.headline);
    let lead = release.paragraphs[0].strip_prefix("ALDER BEND, Iowa (Nov. 19, 2026) – ").unwrap();
    assert!(words(lead) <= 30, "{} words: {lead}", words(lead));
    for part in ["Alder Bend Fire District will burn ", "10 a.m. Saturday, Jan. 9, at Alder Bend fairground"] {
        assert!(lead.contains(part), "{lead}");
    }
    let mut rest = release.paragraphs[1..].join("\n\n");
    for part in [
        "Most people think",
        "”",
        " said [title and full name]",
        " will burn, one after the other.",
        "What people will see: Smoke alarm",
        "Get out early.\n\nClose doors.",
        "according to [source",
        "Rain date: Saturday, Jan. 16. The decision is posted",
        " free and open to the public. [Where visitors park]. [Wheelchair access",
        "[How loud and smoky it will be, and where to stand].",
        "About the Alder Bend Fire District:",
    ] {
        let (_, after) = rest.split_once(part).unwrap_or_else(|| panic!("{part:?} is not next in {rest:?}"));
        rest = after.to_owned();
    }
    let plain = release.plain("Alder Bend Fire District");
    assert!(plain.ends_with("\n\n###\n"), "{plain}");
}

#[test]
fn an_advisory_has_its_labels_in_order_and_fits_on_a_page() {
    let advisory = laid_out(PaperKind::Advisory, &known());
    let labels: Vec<&str> = advisory.paragraphs.iter().map(|part| part.split_once(": ").unwrap().0).collect();
    let usual =
        ["WHAT", "WHO", "WHEN", "WHERE", "WHY", "VISUALS", "INTERVIEWS", "MEDIA ARRIVAL AND PARKING", "CONTACT"];
    assert_eq!(labels, usual);
    assert!(advisory.paragraphs[2].starts_with("WHEN: 10 a.m. Saturday, Jan. 9\nRain date: Saturday, Jan. 16. "));
    assert_eq!(advisory.contact, "", "who to call is on a line of its own");
    let plain = advisory.plain("Alder Bend Fire District");
    // A page has about 45 lines of 80 letters.
    let lines: usize = plain.lines().map(|line| line.chars().count() / 80 + 1).sum();
    assert!(lines <= 45, "{lines} lines:\n{plain}");
}

#[test]
fn a_release_after_the_day_has_a_dateline_and_speaks_of_the_past() {
    let after = laid_out(PaperKind::AfterTheDay, &known());
    assert!(after.paragraphs[0].starts_with("ALDER BEND, Iowa (Nov. 19, 2026) – [How many] people watched"));
    assert!(after.paragraphs.iter().all(|part| !part.contains(" will ")), "{after:?}");
    assert!(after.contact.starts_with("CONTACT: Jun Castellane"));
}

#[test]
fn an_email_nobody_knows_is_asked_for() {
    let unknown = Facts { mail: String::new(), ..known() };
    let contact = |facts: &Facts| laid_out(PaperKind::Release, facts).contact;
    assert!(contact(&unknown).ends_with("(555) 555-0118, [contact email]"), "{}", contact(&unknown));
    let in_people = Facts { in_people: Some("castellane@example.org".to_owned()), ..known() };
    assert!(contact(&in_people).ends_with("castellane@example.org"), "their own first: {}", contact(&in_people));
    let without = Facts { in_people: Some(String::new()), ..known() };
    assert!(contact(&without).ends_with("jun@example.org"), "{}", contact(&without));
}
