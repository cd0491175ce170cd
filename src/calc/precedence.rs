//! The order in which guests are introduced and speak, and the reason for each place.
//!
//! The rules and their sources:
//!
//! 1. Offices rank by the department's own list, high to low; within one office, by
//!    length of service; an official in their own jurisdiction goes before one outside
//!    it (R. Hickey, greatplacesdirectory.com/news/44).
//! 2. People in office go before former officeholders, and a companion has no rank of
//!    their own (R. Hickey, roberthickey.wordpress.com, Precedence Q&A). That is why
//!    companions make no claim here.
//! 3. In a mayor's own town no one goes before the mayor except the offices that the
//!    list puts there: the governor and the lieutenant governor (protocol manual of
//!    Guam, section 2.1.2).
//! 4. Sponsors follow officials, by level, then alphabetically; partners come last.
//!    Common practice, no published source.
//! 5. A deputy goes after everyone who holds that office and came in person, and before
//!    the next office. First place in one's own town, and the right to go before the
//!    host, belong to the officeholder alone. Common practice.
//!
//! A place set by hand overrides the rules, and the reason says so.

use std::cmp::Ordering;
use time::Date;

/// One guest, as the rules see them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Claim {
    /// Tells two people with the same name apart.
    pub id: i64,
    /// The name as people read it.
    pub name: String,
    /// The name as it is sorted.
    pub sorts_as: String,
    /// What decides their place.
    pub rank: Rank,
    /// A place set by hand, counted from 1, and the reason.
    pub by_hand: Option<(usize, String)>,
}

/// What a guest's place depends on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rank {
    /// Someone in an office, or who was.
    Official(Office),
    /// The level, and its place on the department's list.
    Sponsor {
        /// What the department calls the level.
        level: String,
        /// Its place on the list, from 1; none if it isn't there.
        place: Option<u16>,
    },
    /// Anyone else who helps.
    Partner,
}

/// The office an official holds or held.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Office {
    /// The title of the office.
    pub title: String,
    /// Its place on the department's list, from 1; none if it isn't there.
    pub place: Option<u16>,
    /// Marked on the list as first in its own town, like a mayor.
    pub is_host: bool,
    /// Marked on the list as going before a host even in the host's town, like a governor.
    pub before_host: bool,
    /// Is the burn in this office's jurisdiction?
    pub in_own: bool,
    /// In office since this day; none if unknown.
    pub since: Option<Date>,
    /// They held it once.
    pub is_former: bool,
    /// A deputy comes on behalf of the officeholder.
    pub is_deputy: bool,
}

/// A guest's place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    /// Index of the claim.
    pub of: usize,
    /// Counted from 1.
    pub place: usize,
    /// The place the rules alone would give.
    pub by_rule: usize,
    /// Someone set this place by hand.
    pub is_by_hand: bool,
    /// The place and its reason, in words.
    pub why: String,
}

/// Groups, in order.
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

/// What is compared, in order of weight.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Key<'a> {
    group: Group,
    /// An office or level that isn't on the list comes last.
    place: u16,
    is_deputy: bool,
    /// An unknown date comes last.
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
            Rank::Sponsor { level, place: Some(place) } => format!("sponsor ({level}), level {place} on your list"),
            Rank::Sponsor { .. } => "sponsor with no level on your list".to_owned(),
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
            Some(place) => format!("rank {place} on your list"),
            None => "not on your list".to_owned(),
        };
        let more = match self.group() {
            Group::Host => ", first in their own town",
            Group::Visiting => ", outside their own jurisdiction",
            _ => "",
        };
        format!("{who}, {rank}{more}")
    }
}

/// Why one claim comes before the next, said about the next.
fn because(one: &Claim, next: &Claim) -> String {
    let (a, b) = (one.key(), next.key());
    if a.group != b.group {
        return match (a.group, b.group) {
            (Group::BeforeHost, Group::Host) => "the host, because this office goes before any host",
            (Group::Host, _) if b.group <= Group::Visiting => "who isn't the host",
            (_, Group::Visiting) => "who is outside their own jurisdiction",
            (_, Group::Former) => "who no longer holds the office",
            (_, Group::Sponsor) => "because officials come before sponsors",
            (_, Group::Partner) => "because partners come last",
            _ => "whose office comes later",
        }
        .to_owned();
    }
    if a.place != b.place {
        let what = if a.group == Group::Sponsor { "at a lower level" } else { "whose office ranks lower" };
        return what.to_owned();
    }
    if a.is_deputy != b.is_deputy {
        return "who is a deputy".to_owned();
    }
    match (a.since.cmp(&b.since), b.since == Date::MAX) {
        (Ordering::Less, false) if a.since.year() == b.since.year() => {
            return "who took office later".to_owned();
        }
        (Ordering::Less, false) => {
            return format!("who took office later: {}, not {}", b.since.year(), a.since.year());
        }
        (Ordering::Less, true) => return "whose time in office isn't known".to_owned(),
        _ => {}
    }
    "in alphabetical order".to_owned()
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

/// Everyone in order, first to last.
///
/// The order of the claims makes no difference: each place follows from the claims
/// alone, with the name and the number as the last tiebreakers.
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
///     "first: mayor, rank 9 on your list, first in their own town; before Yusra Halloran, who isn't the host"
/// );
/// ```
#[must_use]
pub fn order(claims: &[Claim]) -> Vec<Placed> {
    let mut ruled: Vec<usize> = (0..claims.len()).collect();
    ruled.sort_by(|a, b| claims[*a].key().cmp(&claims[*b].key()));
    let by_rule = |of: usize| ruled.iter().position(|other| *other == of).map_or(0, |place| place + 1);
    let mut order: Vec<usize> = ruled.iter().copied().filter(|of| claims[*of].by_hand.is_none()).collect();
    // Those placed by hand go in from the front, so each gets the place it was given,
    // as long as there are that many.
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
        return format!("{place}, set by hand: {reason}; by the rules, {}: {}", ordinal(by_rule), claim.says());
    }
    let before = next.map_or_else(String::new, |next| match next.by_hand {
        Some(_) => format!("; before {}, who is placed by hand", next.name),
        None => format!("; before {}, {}", next.name, because(claim, next)),
    });
    format!("{place}: {}{before}", claim.says())
}

#[cfg(test)]
mod tests;
