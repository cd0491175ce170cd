use super::*;
use crate::calc::talk::{Concern, Found, check};
use std::collections::BTreeSet;

/// Each form on the lists, with what to say instead.
fn forms() -> Vec<(Concern, &'static str, &'static str)> {
    let lists = [
        (Concern::Jargon, PLAIN),
        (Concern::Jargon, ABBREVIATIONS),
        (Concern::Frightening, CALM),
        (Concern::Promise, HONEST),
    ];
    let entries = lists.into_iter().flat_map(|(kind, list)| list.iter().map(move |entry| (kind, *entry)));
    entries.flat_map(|(kind, (said, instead))| said.split(", ").map(move |said| (kind, said, instead))).collect()
}

#[test]
fn each_listed_word_is_found() {
    let mut seen = BTreeSet::new();
    for (kind, form, instead) in forms() {
        assert!(seen.insert(form), "{form} is listed twice");
        let capital = form[..1].to_uppercase() + &form[1..];
        let apart = form.replace('-', " ");
        for form in [form.to_owned(), capital, apart, form.replace(' ', "-"), form.replace('\'', "’")] {
            let found = check(&format!("Look: “{form}”, and more.")).found;
            assert_eq!(found, [Found { kind, said: form, instead }]);
        }
    }
}

#[test]
fn other_forms_of_a_word_are_found() {
    for form in [
        "activates",
        "activated",
        "actuation",
        "discharged",
        "evacuated",
        "evacuation",
        "victims",
        "occupants",
        "sprinkler heads",
        "smoke detectors",
        "extinguished",
        "ventilated",
        "retrofitted",
        "mitigation",
        "spectators",
        "flashed over",
        "combustibles",
        "suppressed",
        "exposures",
        "evolutions",
        "backup lines",
    ] {
        let found = check(&format!("They {form} there.")).found;
        assert_eq!(found.iter().map(|one| &*one.said).collect::<Vec<_>>(), [form]);
    }
}

#[test]
fn what_to_say_instead_is_plain_itself() {
    for (_, form, instead) in forms() {
        assert_eq!(check(&format!("Say: {instead}.")).found, [], "{form}");
    }
}

/// A table of the trade's words and plain ones: common practice, no source.
#[test]
fn the_words_of_the_trade_have_plain_ones() {
    for (trade, plain) in [
        ("flashover", "the moment everything in the room catches fire"),
        ("fully involved", "the whole room is burning"),
        ("occupant/victim", "person"),
        ("egress", "way out"),
        ("ingress/entry", "going in"),
        ("evacuate", "get out"),
        ("activate", "turn on"),
        ("actuate", "open"),
        ("discharge", "spray"),
        ("sprinkler head", "sprinkler"),
        ("fusible element", "the little glass tube that breaks with heat"),
        ("automatic fire sprinkler system", "home fire sprinklers"),
        ("smoke detector", "smoke alarm"),
        ("tenability", "whether people can stay alive in there"),
        ("products of combustion", "smoke and gases"),
        ("thermal layer/stratification", "hot smoke sits at the top"),
        ("ventilation", "air getting in"),
        ("combustible load/fuel load", "things that can burn"),
        ("contents", "furniture and belongings"),
        ("ignition source", "what started it"),
        ("origin", "where it started"),
        ("suppression/knockdown", "putting it out"),
        ("overhaul", "checking for hidden fire"),
        ("extinguishment", "fire is out"),
        ("apparatus", "fire engine or ladder truck"),
        ("personnel", "firefighters"),
        ("PPE/turnout gear", "firefighter clothing"),
        ("SCBA", "air mask and tank"),
        ("RIT/RIC", "rescue team standing by"),
        ("IC", "the officer in charge"),
        ("AHJ", "the local authority"),
        ("GPM", "gallons each minute"),
        ("PSI", "water pressure"),
        ("attack line", "the hose"),
        ("back-up line", "the second hose"),
        ("draft", "pulling water from a tank"),
        ("exposure", "things nearby that could catch fire"),
        ("compartmentation", "closed doors hold back smoke and fire"),
        ("residential occupancy", "home"),
        ("retrofit", "adding to an older home"),
        ("nuisance alarm", "alarm from cooking or steam"),
        ("interconnected", "when one sounds, all sound"),
        ("CO", "carbon monoxide, a gas you cannot smell"),
        ("mitigate", "make smaller, or prevent"),
        ("community risk reduction", "stopping fires and injuries before they happen"),
        ("evolution", "one practice burn"),
        ("spectator", "people watching"),
        ("go/no-go", "whether we burn today"),
    ] {
        let found = check(trade).found;
        assert!(!found.is_empty() && found.iter().all(|one| one.kind == Concern::Jargon), "{trade}");
        assert!(found.iter().all(|one| one.instead.starts_with(plain)), "{trade}: {found:?}");
        let written: Vec<&str> = found.iter().map(|one| &*one.said).collect();
        assert_eq!(written.join("/"), trade);
    }
}
