//! In which order guests are introduced and speak, and why.
//!
//! The rules, with where they were read:
//!
//! 1. Offices go by the department's own list, high to low; within one office
//!    by length of service; an official in their own jurisdiction before one
//!    outside it (R. Hickey, greatplacesdirectory.com/news/44).
//! 2. Whoever holds an office goes before whoever once did, and a companion has
//!    no rank of their own (R. Hickey, roberthickey.wordpress.com, Precedence
//!    Q&A). Companions are therefore none of the claims here.
//! 3. In a mayor's own town nobody goes before the mayor but the offices that
//!    the list says do: the governor and the lieutenant governor (protocol
//!    manual of Guam, section 2.1.2).
//! 4. Sponsors follow officials, by level, then by the alphabet; partners close.
//!    Common practice, no published source.
//! 5. Somebody sent by an official stands behind all who hold that office and
//!    came themselves, and before the next office. The first place in one's own
//!    town, and going before it, are for the holder alone. Common practice.
//!
//! A place given by hand stands whatever the rules say, and says so.

use std::cmp::Ordering;
use time::Date;

/// One guest, as the rules see them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Claim {
    /// Tells two of one name apart.
    pub id: i64,
    /// The name as others read it.
    pub name: String,
    /// The name as the alphabet has it.
    pub sorts_as: String,
    pub rank: Rank,
    /// A place chosen by a person, counted from 1, and the reason.
    pub by_hand: Option<(usize, String)>,
}

/// What gives somebody their place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rank {
    Official(Office),
    /// The level, and its place in the department's list.
    Sponsor {
        level: String,
        place: Option<u16>,
    },
    Partner,
}

/// An official's post.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Office {
    pub title: String,
    /// Its place in the department's list, from 1; none if it isn't there.
    pub place: Option<u16>,
    /// The list says: first in its own town, as a mayor.
    pub is_host: bool,
    /// The list says: before a host even in the host's town, as a governor.
    pub before_host: bool,
    /// Does the burn take place where this office holds?
    pub in_own: bool,
    /// In office since; none if it isn't known.
    pub since: Option<Date>,
    pub is_former: bool,
    /// Somebody else comes on behalf of the holder.
    pub is_deputy: bool,
}

/// A guest's place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    /// Which of the claims.
    pub of: usize,
    /// From 1.
    pub place: usize,
    /// The place without any change by hand.
    pub by_rule: usize,
    pub is_by_hand: bool,
    /// The place in words.
    pub why: String,
}

/// Groups in the order they come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Group {
    BeforeHost,
    Host,
    Own,
    Visiting,
    Former,
    Sponsor,
    Partner,
}

/// What is compared, from the most to the least telling.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Key<'a> {
    group: Group,
    /// An office or level that isn't in the list comes last.
    place: u16,
    is_deputy: bool,
    /// An unknown day comes last.
    since: Date,
    sorts_as: &'a str,
    name: &'a str,
    id: i64,
}

impl Claim {
    fn key(&self) -> Key<'_> {
        let (group, place, is_deputy, since) = match &self.rank {
            Rank::Official(office) => {
                (office.group(), office.place, office.is_deputy, office.since.unwrap_or(Date::MAX))
            }
            Rank::Sponsor { place, .. } => (Group::Sponsor, *place, false, Date::MAX),
            Rank::Partner => (Group::Partner, None, false, Date::MAX),
        };
        let place = place.unwrap_or(u16::MAX);
        Key { group, place, is_deputy, since, sorts_as: &self.sorts_as, name: &self.name, id: self.id }
    }

    fn says(&self) -> String {
        match &self.rank {
            Rank::Official(office) => office.says(),
            Rank::Sponsor { level, place: Some(place) } => format!("sponsor, {level}, level {place} of your list"),
            Rank::Sponsor { .. } => "sponsor without a level of your list".to_owned(),
            Rank::Partner => "partner".to_owned(),
        }
    }
}

impl Office {
    fn group(&self) -> Group {
        match (self.is_former, self.in_own, self.is_deputy) {
            (true, ..) => Group::Former,
            (_, true, false) if self.before_host => Group::BeforeHost,
            (_, true, false) if self.is_host => Group::Host,
            (_, true, _) => Group::Own,
            (_, false, _) => Group::Visiting,
        }
    }

    fn says(&self) -> String {
        let title = if self.title.is_empty() { "an office" } else { &self.title };
        let who = match (self.is_former, self.is_deputy) {
            (true, _) => format!("former {title}"),
            (_, true) => format!("on behalf of the {title}"),
            _ => title.to_owned(),
        };
        let rank = match self.place {
            Some(place) => format!("rank {place} of your list"),
            None => "which isn't in your list".to_owned(),
        };
        let more = match self.group() {
            Group::Host => ", first in their own town",
            Group::Visiting => ", outside their own jurisdiction",
            _ => "",
        };
        format!("{who}, {rank}{more}")
    }
}

/// Why one claim comes before the next.
fn because(one: &Claim, next: &Claim) -> String {
    let (a, b) = (one.key(), next.key());
    if a.group != b.group {
        return match (a.group, b.group) {
            (Group::BeforeHost, Group::Host) => "who hosts, but not before this office",
            (Group::Host, _) if b.group <= Group::Visiting => "who is not the host",
            (_, Group::Visiting) => "who is outside their own jurisdiction",
            (_, Group::Former) => "who holds the office no more",
            (_, Group::Sponsor) => "as officials come before sponsors",
            (_, Group::Partner) => "as partners come last",
            _ => "whose office comes later",
        }
        .to_owned();
    }
    if a.place != b.place {
        let what = if a.group == Group::Sponsor { "level" } else { "office" };
        return format!("by the higher {what}");
    }
    if a.is_deputy != b.is_deputy {
        return "who comes on behalf of somebody".to_owned();
    }
    match (a.since.cmp(&b.since), b.since == Date::MAX) {
        (Ordering::Less, false) if a.since.year() == b.since.year() => {
            return "by the longer time in office".to_owned();
        }
        (Ordering::Less, false) => {
            return format!("by the longer time in office: since {}, not {}", a.since.year(), b.since.year());
        }
        (Ordering::Less, true) => return "whose time in office isn't known".to_owned(),
        _ => {}
    }
    "by the alphabet".to_owned()
}

/// "first", "twelfth", "23rd".
#[must_use]
pub fn ordinal(place: usize) -> String {
    const WORDS: [&str; 12] = [
        "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh",
        "twelfth",
    ];
    if let Some(word) = place.checked_sub(1).and_then(|place| WORDS.get(place)) {
        return (*word).to_owned();
    }
    let ending = match (place % 10, place % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{place}{ending}")
}

/// Everybody in order, the first first.
///
/// The order doesn't depend on the order of the claims: what they are decides
/// alone, in the end the name and the number.
///
/// ```
/// use burnday::calc::precedence::{Claim, Office, Rank, order};
///
/// let official = |id, name: &str, title: &str, place, is_host| Claim {
///     id,
///     name: name.to_owned(),
///     sorts_as: name.to_lowercase(),
///     rank: Rank::Official(Office {
///         title: title.to_owned(),
///         place: Some(place),
///         is_host,
///         before_host: false,
///         in_own: true,
///         since: None,
///         is_former: false,
///         is_deputy: false,
///     }),
///     by_hand: None,
/// };
/// let senator = official(1, "Yusra Halloran", "state senator", 6, false);
/// let mayor = official(2, "Marguerite Vance", "mayor", 9, true);
/// let placed = order(&[senator, mayor]);
/// assert_eq!(placed[0].of, 1);
/// assert_eq!(
///     placed[0].why,
///     "first: mayor, rank 9 of your list, first in their own town; before Yusra Halloran, who is not the host"
/// );
/// ```
#[must_use]
pub fn order(claims: &[Claim]) -> Vec<Placed> {
    let mut ruled: Vec<usize> = (0..claims.len()).collect();
    ruled.sort_by(|a, b| claims[*a].key().cmp(&claims[*b].key()));
    let by_rule = |of: usize| ruled.iter().position(|other| *other == of).map_or(0, |place| place + 1);
    let mut order: Vec<usize> = ruled.iter().copied().filter(|of| claims[*of].by_hand.is_none()).collect();
    // Those placed by hand go in from the front, so that each gets the place
    // that was meant, as far as there are so many.
    let mut by_hand: Vec<(usize, usize)> =
        ruled.iter().filter_map(|of| claims[*of].by_hand.as_ref().map(|(place, _)| (*place, *of))).collect();
    by_hand.sort_by_key(|(place, of)| (*place, by_rule(*of)));
    for (place, of) in by_hand {
        order.insert(place.saturating_sub(1).min(order.len()), of);
    }
    let placed = order.iter().enumerate().map(|(before, &of)| {
        let place = before + 1;
        Placed {
            of,
            place,
            by_rule: by_rule(of),
            is_by_hand: claims[of].by_hand.is_some(),
            why: why(&claims[of], (place, by_rule(of)), order.get(place).map(|next| &claims[*next])),
        }
    });
    placed.collect()
}

fn why(claim: &Claim, (place, by_rule): (usize, usize), next: Option<&Claim>) -> String {
    let place = ordinal(place);
    if let Some((_, reason)) = &claim.by_hand {
        return format!("{place} by hand: {reason}; by the rules {}: {}", ordinal(by_rule), claim.says());
    }
    let before = next.map_or_else(String::new, |next| match next.by_hand {
        Some(_) => format!("; before {}, who is placed by hand", next.name),
        None => format!("; before {}, {}", next.name, because(claim, next)),
    });
    format!("{place}: {}{before}", claim.says())
}

#[cfg(test)]
mod tests;
