use super::*;

fn said(text: &str) -> Vec<(Concern, String)> {
    check(text).found.into_iter().map(|found| (found.kind, found.said)).collect()
}

fn only(kind: Concern, text: &str) -> Vec<String> {
    said(text).into_iter().filter(|(found, _)| *found == kind).map(|(_, said)| said).collect()
}

#[test]
fn only_whole_words_and_the_longest_are_found() {
    let long = "An Automatic Fire Sprinkler System has sprinkler heads.";
    assert_eq!(only(Concern::Jargon, long), ["Automatic Fire Sprinkler System", "sprinkler heads"]);
    assert_eq!(said("Here is a sprinkler. Heads up! The attack; lines, from the hydrant."), []);
    assert_eq!(said("Contented residents entrust everybody; he'll codify safety, skilled."), []);
    let limits = "Occupant load: the ventilation limited it.";
    assert_eq!(only(Concern::Jargon, limits), ["Occupant load", "ventilation limited"]);
    assert_eq!(said("co-workers write it rit by rit"), []);
    assert_eq!(only(Concern::Jargon, "The IC’s radio and two SCBAs; 13 gpm."), ["IC’s", "SCBAs", "gpm"]);
    assert_eq!(only(Concern::Jargon, "the victim’s and the occupants' doors"), ["victim’s", "occupants"]);
    for form in ["backup line", "back-up line", "back up line", "BACK‑UP LINE"] {
        assert_eq!(only(Concern::Jargon, &format!("A {form}.")), [form]);
    }
    assert_eq!(said(""), []);
    assert_eq!(said("— é’ ’’ 🔥 ’ -"), []);
    assert_eq!(only(Concern::Jargon, "🔥flashover’"), ["flashover"]);
}

#[test]
fn fear_and_promises_are_found() {
    assert_eq!(only(Concern::Frightening, "Nobody died in our body of work."), ["died", "body"]);
    assert_eq!(only(Concern::Promise, "Ask the safety officer. It is safe; don't worry!"), ["safe", "don't worry"]);
    assert_eq!(
        only(Concern::Promise, "There is no\ndanger. Nothing can happen."),
        ["no\ndanger", "Nothing can happen"]
    );
    assert_eq!(said("Know two ways out. Get low and go. Stay out. Call 911."), []);
}

#[test]
fn lengths_and_grades() {
    let checked = check("Hear it? What do we do? Get low, go out, and stay out.");
    assert_eq!((checked.words, checked.longest_sentence), (13, 7));
    assert!(checked.grade.unwrap() < CHILDREN_GRADE);
    // 13 words of 24 syllables in one sentence are of grade 11.265.
    let hard = check("The Australian platypus is seemingly a hybrid of a mammal and reptilian creature.");
    assert!((hard.grade.unwrap() - 11.265).abs() < 1e-3);
    assert_eq!(check(" ").grade, None);
    assert_eq!(Audience::ALL.map(Audience::sentence_limit), [Some(10), None, None]);
    assert!(Audience::ALL.map(Audience::grade_limit).iter().zip([3.0, 6.0, 6.0]).all(|(a, b)| (a - b).abs() < 1e-12));
}
