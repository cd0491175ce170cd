//! The bar at the top of every page: the places, the pages of each, and where a page
//! belongs. A page's address says all of it, so no page has to.

use super::Event;
use super::places::{BESIDE, PLACES, Section, full};
use crate::accounts::User;
use crate::web::page::{Entry, Place, Up};

/// Where a page belongs.
#[derive(Debug, Default)]
pub(super) struct Bar {
    pub places: Vec<Place>,
    pub beside: Vec<Place>,
    /// The name of the place, and its pages.
    pub here: &'static str,
    pub pages: Vec<Entry>,
    /// The page above this one; none if this one is in the row of pages.
    pub up: Option<Up>,
}

/// Is this page that one, or below it?
fn is_below(path: &str, page: &str) -> bool {
    path.strip_prefix(page).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

impl Bar {
    /// The bar of a page with this address. `due` holds the addresses of what needs someone.
    pub fn of(user: &User, event: Option<&Event>, path: &str, due: &[String]) -> Self {
        let event = event.map(Event::href);
        let event = event.as_deref();
        let nearest = |path: &str, sections: &'static [Section]| {
            let pages = sections.iter().flat_map(|section| section.pages.iter().map(move |page| (section, page)));
            let fitting = pages.filter(|(section, page)| page.0.starts_with('~') || !is_place(section));
            let full = fitting.filter_map(|(section, page)| Some((section, full(page.0, event)?)));
            full.filter(|(_, page)| is_below(path, page)).max_by_key(|(_, page)| page.len())
        };
        // An event's pages are below the list of events, too: the longer address counts.
        let here = [nearest(path, &PLACES), nearest(path, &BESIDE)].into_iter().flatten();
        let Some((section, page)) = here.max_by_key(|(_, page)| page.len()) else {
            return Self { places: places(user, event, "", &[]), beside: beside(user, ""), ..Self::default() };
        };
        let entries: Vec<(String, &str)> = section.entries(event, user).collect();
        let up = entries.iter().find(|(href, _)| *href == page && *href != path);
        let mut counts = [0; PLACES.len()];
        for address in due {
            let address = address.split(['?', '#']).next().unwrap_or_default();
            let place = nearest(address, &PLACES).and_then(|(section, _)| position(section));
            counts[place.unwrap_or_default()] += 1;
        }
        // The countdown lists all of it anyway.
        counts[0] = 0;
        Self {
            places: places(user, event, section.name, &counts),
            beside: beside(user, section.name),
            here: section.name,
            up: up.map(|(href, name)| Up { href: href.clone(), name: (*name).to_owned() }),
            pages: entries
                .into_iter()
                .map(|(href, name)| Entry { is_here: href == page, is_above: href != path, name, href })
                .collect(),
        }
    }
}

fn position(section: &Section) -> Option<usize> {
    PLACES.iter().position(|place| place.name == section.name)
}

fn is_place(section: &Section) -> bool {
    position(section).is_some()
}

fn places(user: &User, event: Option<&str>, here: &str, counts: &[usize]) -> Vec<Place> {
    let shown = PLACES.iter().enumerate().filter_map(|(number, section)| {
        let (href, _) = section.entries(event, user).next()?;
        let count = counts.get(number).copied().unwrap_or_default();
        Some(Place { name: section.name, href, is_here: section.name == here, count })
    });
    if event.is_none() { Vec::new() } else { shown.collect() }
}

fn beside(user: &User, here: &str) -> Vec<Place> {
    let shown = BESIDE.iter().filter_map(|section| {
        let (href, _) = section.entries(None, user).next()?;
        Some(Place { name: section.name, href, is_here: section.name == here, count: 0 })
    });
    shown.collect()
}

#[cfg(test)]
mod tests;
