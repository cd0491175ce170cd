//! The first text of a release: marks for what the event and the press facts say,
//! and square brackets for what someone still has to find out.
//!
//! The form is common practice in the United States: for a release, who to call,
//! then a headline in the present tense, a dateline, a first paragraph that says who
//! will do what, when and where, a quote, what there is to see, facts with their
//! sources, the rain date, what visitors should know, and the department. An
//! advisory answers one question to a line and fits on a page.

use super::PaperKind;
use super::dateline::dateline;
use crate::calc::homes::Home;
use crate::press::facts::Facts;
use time::Date;

/// What the first text needs besides the facts.
pub(super) struct Start<'a> {
    /// Where the department is, for the dateline.
    pub home: &'a Home,
    pub today: Date,
}

/// Who outlets call.
const CONTACT: &str = "CONTACT: {contact}, {contact phone}, {contact email}";

impl Start<'_> {
    fn dateline(&self) -> String {
        dateline(self.home, self.today)
    }
}

/// Headline and text.
pub(super) fn draft(kind: PaperKind, facts: &Facts, start: &Start<'_>) -> (String, String) {
    let (headline, parts) = match kind {
        PaperKind::Advisory => ("Two rooms burn in public to show how fast a home fire spreads", advisory()),
        PaperKind::Release => {
            ("{department} burns two rooms to show how little time a home fire leaves", release(facts, start))
        }
        PaperKind::AfterTheDay => {
            ("Crowd watches two rooms burn, one with a fire sprinkler and one without", after_the_day(facts, start))
        }
    };
    (headline.to_owned(), parts.join("\n\n"))
}

fn advisory() -> Vec<String> {
    [
        "WHAT: {what happens}",
        "WHO: {department}",
        "WHEN: {time} {burn day}\nRain date: {rain date}. {decision}",
        "WHERE: {place}",
        "WHY: {why}",
        "VISUALS: {what to film}",
        "INTERVIEWS: {interviews}",
        "MEDIA ARRIVAL AND PARKING: {arrival}\nMedia staging area: {press area}\nClothing: {clothing}\nPower: {power}",
        CONTACT,
    ]
    .map(str::to_owned)
    .to_vec()
}

fn release(facts: &Facts, start: &Start<'_>) -> Vec<String> {
    let mut parts = vec![
        CONTACT.to_owned(),
        format!(
            "{} The {{department}} will burn two furnished rooms, one with a sprinkler, in public at {{time}} \
             {{burn day}}, at {{place}}.",
            start.dateline()
        ),
    ];
    let mut add = |part: &str| parts.push(part.to_owned());
    add("{why}");
    add("“[Quote from the fire chief, one or two sentences],” said [title and full name].");
    add("{what happens} What people will see: {what to film}");
    if !facts.printed_messages().is_empty() {
        add("{messages}");
    }
    add("[A fact about home fires or sprinklers], according to [source and year].");
    add("Rain date: {rain date}. {decision}");
    add(
        "The demonstration is free and open to the public. [Where visitors park]. [Wheelchair access and other help]. \
         [How loud and smoky it will be, and where to status].",
    );
    add("About the {department}: [Whom it serves and from where, in one or two sentences].");
    parts
}

fn after_the_day(facts: &Facts, start: &Start<'_>) -> Vec<String> {
    let mut parts = vec![
        CONTACT.to_owned(),
        format!(
            "{} [How many] people watched {{burn day}} as the {{department}} burned two furnished rooms, one with a \
             sprinkler, at {{place}}.",
            start.dateline()
        ),
    ];
    let mut add = |part: &str| parts.push(part.to_owned());
    add("The room without a sprinkler was fully on fire after about [minutes and seconds]. In the other room, the \
         sprinkler opened after about [minutes and seconds].");
    add("“[What someone in the crowd said],” said [full name and town].");
    if !facts.printed_messages().is_empty() {
        add("{messages}");
    }
    add("About the {department}: [Whom it serves and from where, in one or two sentences].");
    parts
}

#[cfg(test)]
mod tests {
    use super::super::Layout;
    use super::super::marks::PaperFacts;
    use super::*;
    use crate::events::{Details, Format, Weekdays};
    use crate::zone::Zone;
    use time::macros::{date, datetime, time};
    use time::{OffsetDateTime, Weekday};

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
            name: "Two Rooms".to_owned(),
            site: "Alder Bend fairground, east lot".to_owned(),
            zone: Zone::named("America/Chicago").unwrap(),
            burn_on: date!(2027 - 01 - 09),
            burn_time: time!(10:00),
            rain_on: Some(date!(2027 - 01 - 16)),
            format: Format::OneAtATime,
            audience: None,
            weekdays: Weekdays::new([Weekday::Saturday]).unwrap(),
            visitors: crate::events::VisitorFacts::default(),
        };
        let home = Home { city: "Alder Bend".to_owned(), state: "Iowa".to_owned(), ..Home::default() };
        let start = Start { home: &home, today: TODAY };
        let (headline, text) = draft(kind, facts, &start);
        let facts = PaperFacts::of(&details, "Alder Bend Fire District", facts, NOW);
        Layout::of(kind, (&facts.fill(&headline), &facts.fill(&text), ""), TODAY)
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
            "smoky",
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
}
