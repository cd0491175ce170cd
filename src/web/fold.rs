//! The parts of a long form that are folded away until someone needs them.

use super::form::Mistakes;

/// One part of a form, as it is shown.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Fold {
    /// How many of its fields are filled in.
    pub filled: usize,
    /// Nobody should have to look for a mistake, or for what they just typed.
    pub is_open: bool,
}

impl Fold {
    /// The part with these fields: the name of each, and whether it is filled in. `is_again`
    /// says that someone sent the form and sees it again.
    #[must_use]
    pub fn of<'a>(fields: impl IntoIterator<Item = (&'a str, bool)>, mistakes: &Mistakes, is_again: bool) -> Self {
        let (mut filled, mut is_wrong) = (0, false);
        for (name, is_filled) in fields {
            filled += usize::from(is_filled);
            is_wrong |= !mistakes.of(name).is_empty();
        }
        let is_again = is_again || !mistakes.is_empty();
        Self { filled, is_open: is_wrong || (is_again && filled > 0) }
    }

    /// The same, where each field is filled in that holds something else than an empty form.
    #[must_use]
    pub fn compared(
        names: &[&str],
        value: impl Fn(&str) -> String,
        usual: impl Fn(&str) -> String,
        mistakes: &Mistakes,
        is_again: bool,
    ) -> Self {
        let is_filled = |name: &str| !value(name).trim().is_empty() && value(name) != usual(name);
        Self::of(names.iter().map(|&name| (name, is_filled(name))), mistakes, is_again)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_opens_for_a_mistake_and_for_what_was_just_typed() {
        let fields = [("value", true), ("insured", false)];
        let fresh = Fold::of(fields, &Mistakes::default(), false);
        assert_eq!(fresh, Fold { filled: 1, is_open: false }, "it only says how much is in it");
        assert!(Fold::of(fields, &Mistakes::default(), true).is_open, "someone just typed it");
        let mut elsewhere = Mistakes::default();
        elsewhere.add("what", "Fill this in.");
        assert!(Fold::of(fields, &elsewhere, false).is_open);
        assert!(!Fold::of([("insured", false)], &elsewhere, true).is_open, "nothing in it needs anyone");
        let mut here = Mistakes::default();
        here.add("insured", "Choose who insures it.");
        assert!(Fold::of([("insured", false)], &here, false).is_open);
    }

    #[test]
    fn what_an_empty_form_holds_already_is_not_filled_in() {
        let text = str::to_owned;
        let value = |name: &str| text(if name == "insured" { "not agreed yet" } else { "12" });
        let usual = |name: &str| text(if name == "insured" { "not agreed yet" } else { "" });
        let part = Fold::compared(&["insured", "value"], value, usual, &Mistakes::default(), false);
        assert_eq!(part.filled, 1);
    }
}
