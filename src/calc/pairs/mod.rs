//! Room A against room B: which items are paired, and how similar they are.
//!
//! Only items of the same kind and type are paired ("sofa" with "sofa"; nobody guesses that
//! a couch is one, too). A pair gets the best of these grades that fits:
//!
//! 1. *Same model*: both models are known and equal, and no known material or size
//!    contradicts that.
//! 2. *Same type and material*: both materials are known and equal, and each dimension is
//!    either known for both and within the tolerance, or known for neither.
//! 3. *Alike* ("similar" on pages): the same type; material or size differs or isn't known.
//!
//! Whatever is left over is an *orphan*. Condition and position never change the grade; they
//! are listed next to it.
//!
//! Of all ways to pair the rooms, this picks one with the fewest orphans; of those, one with
//! the fewest pairs that are only similar; then one with the fewest that only share type and
//! material: an audience judges by the worst pair. Ties go to the fewest differences, then to
//! the smallest gaps in size, then to whatever comes first alphabetically. So the result is
//! the same in whatever order items were typed, however counts are split over lines, and
//! whichever room is called A.
//!
//! The grades and the tolerance are common practice. No published source is known.

mod flow;

use crate::calc::letters::fold;
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// The kinds of items: what furnishes the room, or what it is built of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// It furnishes the room.
    Furnishing,
    /// The room is built of it.
    Part,
}

/// Length, width and height in tenths of a millimeter, so that an inch is a whole number.
pub type Size = [Option<u32>; 3];

/// A line of a room's list. Unknown text is empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thing {
    /// Furnishing or part.
    pub kind: Kind,
    /// What it is, as in "sofa".
    pub what: String,
    /// The maker's model.
    pub model: String,
    /// What it is made of.
    pub material: String,
    /// Its size.
    pub size: Size,
    /// Where it is in the room.
    pub position: String,
    /// What condition it is in.
    pub condition: String,
    /// How many.
    pub quantity: u32,
}

/// Two sizes match if they differ by no more than a percentage of the larger one or a
/// length, whichever is more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tolerance {
    /// A share of the larger one, in %.
    pub percent: u32,
    /// Tenths of a millimeter.
    pub length: u32,
}

/// 5% or 2.5 cm: common practice, no published source.
pub const USUAL: Tolerance = Tolerance { percent: 5, length: 250 };

/// How similar a pair is, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grade {
    /// The same model.
    Model,
    /// Of the same type, material, and size.
    TypeAndMaterial,
    /// Of one type.
    Alike,
}

impl Grade {
    /// All grades, the best first.
    pub const ALL: [Self; 3] = [Self::Model, Self::TypeAndMaterial, Self::Alike];
}

/// What differs between two items. Something known for only one of them differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Aspect {
    /// What they are made of.
    Material,
    /// How large they are.
    Size,
    /// The maker's model.
    Model,
    /// What condition they are in.
    Condition,
    /// Where they are.
    Position,
}

/// This many of one line of A are paired with as many of one line of B.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pair {
    /// The line of A
    pub a: usize,
    /// and of B.
    pub b: usize,
    /// How many of each.
    pub quantity: u32,
    /// How alike they are.
    pub grade: Grade,
    /// What isn't the same.
    pub differs: Vec<Aspect>,
}

/// The rooms, paired.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Pairing {
    /// The worst first.
    pub pairs: Vec<Pair>,
    /// Lines of A, and how many of each have no match in B.
    pub only_a: Vec<(usize, u32)>,
    /// Lines of B, and how many of each have no match in A.
    pub only_b: Vec<(usize, u32)>,
}

/// How fair it was, in counts; there is no score.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Fairness {
    /// Pairs by grade, as in `Grade::ALL`.
    pub pairs: [u32; 3],
    /// Items of A without a match.
    pub only_a: u32,
    /// Items of B without a match.
    pub only_b: u32,
}

impl Fairness {
    /// All items in both rooms.
    #[must_use]
    pub fn things(&self) -> u32 {
        self.paired() + self.only_a + self.only_b
    }

    /// The items with a match in the other room.
    #[must_use]
    pub fn paired(&self) -> u32 {
        2 * self.pairs.iter().sum::<u32>()
    }

    /// The pairs of one grade.
    #[must_use]
    pub fn of(&self, grade: Grade) -> u32 {
        self.pairs[grade as usize]
    }

    /// The items without a match in the other room.
    #[must_use]
    pub fn orphans(&self) -> u32 {
        self.only_a + self.only_b
    }
}

impl Pairing {
    /// The counts of one kind.
    #[must_use]
    pub fn fairness(&self, a: &[Thing], b: &[Thing], kind: Kind) -> Fairness {
        let mut fair = Fairness::default();
        for pair in self.pairs.iter().filter(|pair| a[pair.a].kind == kind) {
            fair.pairs[pair.grade as usize] += pair.quantity;
        }
        let sum = |lines: &[(usize, u32)], of: &[Thing]| {
            lines.iter().filter(|(line, _)| of[*line].kind == kind).map(|(_, quantity)| quantity).sum()
        };
        fair.only_a = sum(&self.only_a, a);
        fair.only_b = sum(&self.only_b, b);
        fair
    }
}

impl Tolerance {
    /// Do these two lengths match?
    #[must_use]
    pub fn allows(self, one: u32, other: u32) -> bool {
        let gap = u64::from(one.abs_diff(other));
        gap <= u64::from(self.length) || gap * 100 <= u64::from(self.percent) * u64::from(one.max(other))
    }
}

/// A text as it is compared: without capitals, accents and repeated spaces.
#[must_use]
pub fn folded(text: &str) -> String {
    fold(text).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The first of these words, or of their plurals with an s, that a folded text has as a word
/// of its own. Anything but letters and digits separates words.
#[must_use]
pub fn first_word<'a>(text: &str, words: &[&'a str]) -> Option<&'a str> {
    let plain: String = text.chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    let plain = format!(" {} ", plain.split_whitespace().collect::<Vec<_>>().join(" "));
    let has = |word: &&&str| plain.contains(&format!(" {word} ")) || plain.contains(&format!(" {word}s "));
    words.iter().find(has).copied()
}

/// Everything about an item that is compared. Two lines with one key are the same items on
/// two lines.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct Key {
    model: String,
    material: String,
    size: Size,
    condition: String,
    position: String,
}

impl Key {
    fn of(thing: &Thing) -> Self {
        Self {
            model: folded(&thing.model),
            material: folded(&thing.material),
            size: thing.size,
            condition: folded(&thing.condition),
            position: folded(&thing.position),
        }
    }

    fn grade(&self, other: &Self, tolerance: Tolerance) -> Grade {
        let both = |one: &str, other: &str| !one.is_empty() && !other.is_empty();
        let clash = |one: &str, other: &str| both(one, other) && one != other;
        let fits = |one, other| match (one, other) {
            (Some(one), Some(other)) => Some(tolerance.allows(one, other)),
            (None, None) => Some(true),
            _ => None,
        };
        let sizes: Vec<Option<bool>> = self.size.iter().zip(other.size).map(|(one, other)| fits(*one, other)).collect();
        let is_model = both(&self.model, &other.model)
            && self.model == other.model
            && !clash(&self.material, &other.material)
            && !sizes.contains(&Some(false));
        let is_material = !self.material.is_empty() && self.material == other.material;
        if is_model {
            Grade::Model
        } else if is_material && sizes.iter().all(|fits| *fits == Some(true)) {
            Grade::TypeAndMaterial
        } else {
            Grade::Alike
        }
    }

    fn differs(&self, other: &Self, tolerance: Tolerance) -> Vec<Aspect> {
        let size = self.size.iter().zip(other.size).any(|(one, other)| match (*one, other) {
            (Some(one), Some(other)) => !tolerance.allows(one, other),
            (one, other) => one != other,
        });
        let all = [
            (Aspect::Material, self.material != other.material),
            (Aspect::Size, size),
            (Aspect::Model, self.model != other.model),
            (Aspect::Condition, self.condition != other.condition),
            (Aspect::Position, self.position != other.position),
        ];
        all.into_iter().filter(|(_, differs)| *differs).map(|(aspect, _)| aspect).collect()
    }

    /// The cost of pairing these two. It is lowest for identical items and higher for all
    /// others: the canonical choice relies on that.
    fn cost(&self, other: &Self, tolerance: Tolerance) -> flow::Cost {
        let grade = self.grade(other, tolerance);
        let gaps = self.size.iter().zip(other.size).map(|(one, other)| match (*one, other) {
            (Some(one), Some(other)) => i64::from(one.abs_diff(other)),
            _ => 0,
        });
        let differences = i64::try_from(self.differs(other, tolerance).len()).unwrap_or(i64::MAX);
        let is = |wanted| i64::from(grade == wanted);
        flow::Cost([is(Grade::Alike), is(Grade::TypeAndMaterial), differences, gaps.sum()])
    }
}

/// The lines of one room with the same key, in the order given.
type Lines = Vec<(usize, u32)>;
/// One type of item in both rooms, by key.
type Group = [BTreeMap<Key, Lines>; 2];

/// Pairs the rooms. Identical items are paired in the order of their lists.
///
/// ```
/// use burnday::calc::pairs::{Grade, Kind, Thing, USUAL, pair};
///
/// let sofa = |model: &str, quantity| Thing {
///     kind: Kind::Furnishing,
///     what: "Sofa".to_owned(),
///     model: model.to_owned(),
///     material: String::new(),
///     size: [None; 3],
///     position: String::new(),
///     condition: String::new(),
///     quantity,
/// };
/// let found = pair(&[sofa("Rowan 3", 2)], &[sofa("rowan 3", 1)], USUAL);
/// assert_eq!((found.pairs[0].quantity, found.pairs[0].grade), (1, Grade::Model));
/// assert_eq!(found.only_a, [(0, 1)]);
/// ```
#[must_use]
pub fn pair(a: &[Thing], b: &[Thing], tolerance: Tolerance) -> Pairing {
    let mut groups: BTreeMap<(Kind, String), Group> = BTreeMap::new();
    for (side, things) in [a, b].into_iter().enumerate() {
        for (line, thing) in things.iter().enumerate().filter(|(_, thing)| thing.quantity > 0) {
            let group = groups.entry((thing.kind, folded(&thing.what))).or_default();
            group[side].entry(Key::of(thing)).or_default().push((line, thing.quantity));
        }
    }
    let mut all = Pairing::default();
    for group in groups.into_values() {
        pair_group(group, tolerance, &mut all);
    }
    // Stable, so that equally bad pairs stay in alphabetical order.
    all.pairs.sort_by_key(|pair| (Reverse(pair.grade), Reverse(pair.differs.len())));
    all
}

fn pair_group([a, b]: Group, tolerance: Tolerance, all: &mut Pairing) {
    let (keys_a, mut lines_a): (Vec<Key>, Vec<Lines>) = a.into_iter().unzip();
    let (keys_b, mut lines_b): (Vec<Key>, Vec<Lines>) = b.into_iter().unzip();
    let count = |lines: &Lines| lines.iter().map(|(_, quantity)| i64::from(*quantity)).sum();
    let supply: Vec<i64> = lines_a.iter().map(count).collect();
    let demand: Vec<i64> = lines_b.iter().map(count).collect();
    let cost = |a: usize, b: usize| keys_a[a].cost(&keys_b[b], tolerance);
    // Decides between equally good ways, the same from either side.
    let mut order: Vec<(usize, usize)> =
        (0..keys_a.len()).flat_map(|a| (0..keys_b.len()).map(move |b| (a, b))).collect();
    order.sort_by_cached_key(|&(a, b)| {
        let (one, other) = (&keys_a[a], &keys_b[b]);
        (one.min(other).clone(), one.max(other).clone())
    });
    for (a, b, quantity) in flow::assign(&supply, &demand, cost, &order) {
        let grade = keys_a[a].grade(&keys_b[b], tolerance);
        let differs = keys_a[a].differs(&keys_b[b], tolerance);
        let mut left = u32::try_from(quantity).unwrap_or(u32::MAX);
        while let (true, Some(one), Some(other)) = (left > 0, lines_a[a].first_mut(), lines_b[b].first_mut()) {
            let now = left.min(one.1).min(other.1);
            all.pairs.push(Pair { a: one.0, b: other.0, quantity: now, grade, differs: differs.clone() });
            (one.1, other.1, left) = (one.1 - now, other.1 - now, left - now);
            lines_a[a].retain(|(_, quantity)| *quantity > 0);
            lines_b[b].retain(|(_, quantity)| *quantity > 0);
        }
    }
    all.only_a.extend(lines_a.into_iter().flatten());
    all.only_b.extend(lines_b.into_iter().flatten());
}

#[cfg(test)]
mod tests;
