//! What a text rests on: the facts it was made from, and words of a place that has changed.

use super::spoken::{digits, phone_digits, said};
use crate::calc::dates_in_text::{self, Named};
use crate::press::papers::marks::{self, BURN_DAY, PHONE, PLACE, Piece, RAIN_DATE, TIME};
use crate::press::papers::paper_facts::{Fact, PaperFacts};
use crate::press::papers::text::Draft;
use std::collections::BTreeMap;

/// The facts a text was made from, with their raw values: those whose marks are in it
/// and those it says in words.
pub(in crate::press::papers) fn used(draft: &Draft, facts: &PaperFacts) -> BTreeMap<String, String> {
    let whole = draft.whole();
    let all = marks::pieces(&whole);
    let has_mark = |mark: &str| all.contains(&Piece::Mark(mark));
    let words = said(&whole);
    let found = dates_in_text::find(&words);
    let has = |fits: &dyn Fn(Named) -> bool| found.iter().any(|found| fits(found.named));
    let in_words = |mark: &str, raw: &str| match mark {
        BURN_DAY => has(&|named| named.is_day(facts.burn_on)),
        TIME => has(&|named| named.is_time(facts.burn_time)),
        RAIN_DATE => facts.rain_on.is_some_and(|on| has(&|named| named.is_day(on))),
        PHONE => !phone_digits(raw).is_empty() && digits(&words).contains(&phone_digits(raw)),
        _ => raw.chars().count() > 3 && words.contains(raw),
    };
    let is_used = |fact: &&Fact| has_mark(fact.mark) || in_words(fact.mark, &fact.raw);
    facts.all.iter().filter(is_used).map(|fact| (fact.mark.to_owned(), fact.raw.clone())).collect()
}

/// Words from the places of earlier versions that are still in the text and not in
/// today's place, like "fairground". Short words are left out.
pub(in crate::press::papers) fn of_old_places(draft: &Draft, facts: &PaperFacts, places: &[&str]) -> Vec<String> {
    let cut = |text: &str| -> Vec<String> {
        let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| word.chars().count() > 4);
        words.map(str::to_lowercase).collect()
    };
    let now = cut(facts.get(PLACE).map(|fact| fact.raw.as_str()).unwrap_or_default());
    let text = cut(&said(&draft.whole()));
    let mut old: Vec<String> = places.iter().flat_map(|place| cut(place)).collect();
    old.retain(|word| text.contains(word) && !now.contains(word));
    old.sort();
    old.dedup();
    old
}
