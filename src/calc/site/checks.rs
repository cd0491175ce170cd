//! All checks of a drawing, the worst finding first.

mod distances;
mod finding;
mod ground;
mod people;
mod senses;
mod weather;

use super::shape::Site;

pub use finding::{Finding, Given, Grade, Heat, What};
pub use senses::{RowSeen, rows};

/// Checks a site. The worst findings come first.
#[must_use]
pub fn check(site: &Site, given: &Given) -> Vec<Finding> {
    let mut all = ground::missing(site);
    if site.rooms().is_empty() {
        return all;
    }
    all.extend(people::findings(site, given));
    all.extend(senses::findings(site, given));
    all.extend(weather::findings(site, given));
    all.extend(ground::findings(site, given));
    all.sort_by_key(|finding| finding.grade);
    all
}
