//! Which questions the list shows, part by part and page by page.

use crate::asks::Request;
use crate::people::{Person, fold, search_words};
use crate::web::query::query_escape;
use serde::Deserialize;

/// Which questions to show, and which page of each part, counted from 1. An address may hold
/// anything.
#[derive(Debug, Default, Clone, Deserialize)]
#[serde(default)]
pub(in crate::asks) struct Filter {
    /// Words of a name or an organization.
    pub q: String,
    pub kind: String,
    pub state: String,
    tell: String,
    stale: String,
    calls: String,
    waiting: String,
    answered: String,
}

/// A part of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::asks) enum Name {
    Tell,
    Stale,
    Calls,
    Waiting,
    Answered,
}

impl Name {
    /// Its field in an address, and its place on the page.
    fn as_str(self) -> &'static str {
        match self {
            Self::Tell => "tell",
            Self::Stale => "stale",
            Self::Calls => "calls",
            Self::Waiting => "waiting",
            Self::Answered => "answered",
        }
    }

    /// How many lines a page of it shows. All of them together make a page that a phone
    /// loads quickly, and the buttons of a call are the longest.
    fn size(self) -> usize {
        match self {
            Self::Tell | Self::Stale | Self::Calls => 25,
            Self::Waiting => 30,
            Self::Answered => 40,
        }
    }
}

/// One page of a part.
#[derive(Debug)]
pub(in crate::asks) struct Part<T> {
    pub lines: Vec<T>,
    /// How many lines there are on all pages.
    pub total: usize,
    /// The addresses of the page before and the next one. Empty without one.
    pub before: String,
    pub next: String,
}

impl<T> Part<T> {
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }
}

impl Filter {
    pub fn is_empty(&self) -> bool {
        self.q.trim().is_empty() && self.kind.is_empty() && self.state.is_empty()
    }

    /// The words to look for.
    pub fn words(&self) -> Vec<String> {
        search_words(&self.q)
    }

    /// Is this one of the questions to show? The words are those of this filter.
    pub fn fits(&self, words: &[String], request: &Request, state: &str, person: Option<&Person>) -> bool {
        let is_kind = self.kind.is_empty() || self.kind == request.kind.as_str();
        let is_state = self.state.is_empty() || self.state == state;
        let has_words = || {
            let Some(details) = person.map(|person| &person.details) else { return false };
            let text = fold(&format!("{}\n{}", details.name, details.organization));
            words.iter().all(|word| text.contains(word.as_str()))
        };
        is_kind && is_state && (words.is_empty() || has_words())
    }

    fn page(&self, name: Name) -> usize {
        let typed = match name {
            Name::Tell => &self.tell,
            Name::Stale => &self.stale,
            Name::Calls => &self.calls,
            Name::Waiting => &self.waiting,
            Name::Answered => &self.answered,
        };
        typed.parse().unwrap_or(1).max(1)
    }

    /// Does the address ask for a further page of it?
    pub fn is_further(&self, name: Name) -> bool {
        self.page(name) > 1
    }

    /// "?q=ray&kind=post", as this page's address has it. Empty without a filter.
    pub fn query(&self) -> String {
        let all = [("q", self.q.trim()), ("kind", self.kind.as_str()), ("state", self.state.as_str())];
        let pages = [Name::Tell, Name::Stale, Name::Calls, Name::Waiting, Name::Answered];
        let pages = pages.into_iter().filter(|name| self.is_further(*name));
        let pages: Vec<(&str, String)> = pages.map(|name| (name.as_str(), self.page(name).to_string())).collect();
        let filter = all.into_iter().filter(|(_, value)| !value.is_empty());
        let pairs = filter.chain(pages.iter().map(|(name, page)| (*name, page.as_str())));
        let pairs: Vec<String> = pairs.map(|(name, value)| format!("{name}={}", query_escape(value))).collect();
        if pairs.is_empty() { String::new() } else { format!("?{}", pairs.join("&")) }
    }

    /// The page of a part that the address asks for, or its last one. `weight` says how many
    /// lines something takes.
    pub fn part<S, T>(
        &self,
        name: Name,
        all: Vec<S>,
        weight: impl Fn(&S) -> usize,
        line: impl FnMut(S) -> T,
    ) -> Part<T> {
        let total = all.len();
        let starts = starts(all.iter().map(weight), name.size());
        let page = self.page(name).min(starts.len());
        let (from, until) = (starts[page - 1], starts.get(page).copied().unwrap_or(total));
        Part {
            lines: all.into_iter().skip(from).take(until - from).map(line).collect(),
            total,
            before: if page > 1 { self.href(name, page - 1) } else { String::new() },
            next: if page < starts.len() { self.href(name, page + 1) } else { String::new() },
        }
    }

    /// Where a page of a part is, as an address below the list's. The other parts begin anew.
    fn href(&self, name: Name, page: usize) -> String {
        let plain = Self { q: self.q.clone(), kind: self.kind.clone(), state: self.state.clone(), ..Self::default() };
        let query = plain.query();
        let and = if query.is_empty() { "?" } else { "&" };
        let name = name.as_str();
        format!("{query}{and}{name}={page}#{name}")
    }
}

/// Where each page begins, when things take so many lines. There is always a first page.
fn starts(weights: impl Iterator<Item = usize>, size: usize) -> Vec<usize> {
    let (mut starts, mut used) = (vec![0], 0);
    for (place, weight) in weights.enumerate() {
        if used > 0 && used + weight > size {
            starts.push(place);
            used = 0;
        }
        used += weight;
    }
    starts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_begins_where_the_one_before_is_full() {
        assert_eq!(starts([].into_iter(), 4), [0]);
        assert_eq!(starts([1, 1, 1, 1].into_iter(), 4), [0]);
        assert_eq!(starts([1, 1, 1, 1, 1].into_iter(), 4), [0, 4]);
        assert_eq!(starts([3, 2, 2, 9, 1].into_iter(), 4), [0, 1, 3, 4], "what is too long has a page of its own");
    }

    #[test]
    fn every_line_is_on_one_page() {
        let size = Name::Waiting.size();
        let all: Vec<usize> = (0..=size * 2).collect();
        let at = |page: &str| {
            let filter = Filter { q: "ray & co".to_owned(), waiting: page.to_owned(), ..Filter::default() };
            filter.part(Name::Waiting, all.clone(), |_| 1, |line| line)
        };
        let (first, last) = (at(""), at("3"));
        assert_eq!((first.total, first.lines.len(), first.before.as_str()), (all.len(), size, ""));
        assert_eq!(first.next, "?q=ray%20%26%20co&waiting=2#waiting");
        assert_eq!((last.lines.as_slice(), last.next.as_str()), (&all[size * 2..], ""));
        assert_eq!([at("2").lines, at("9").lines].map(|lines| lines[0]), [size, size * 2], "past the end is the end");
        for odd in ["0", "-1", "x", "99999999999999999999999"] {
            assert_eq!(at(odd).lines[0], 0, "{odd}");
        }
    }

    #[test]
    fn an_address_keeps_the_filter_and_the_page() {
        assert_eq!(Filter::default().query(), "");
        let filter = Filter { q: " Ray Ortiz ".to_owned(), kind: "post".to_owned(), ..Filter::default() };
        assert_eq!(filter.query(), "?q=Ray%20Ortiz&kind=post");
        assert_eq!(
            Filter { calls: "2".to_owned(), answered: "x".to_owned(), ..filter }.query(),
            "?q=Ray%20Ortiz&kind=post&calls=2"
        );
    }
}
