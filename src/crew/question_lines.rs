//! The lines about positions under a question.

use super::{Assignment, Post};
use crate::asks;

/// The lines about each position under a question. The hours are in the 24-hour form that
/// questions store; letters show them the way their reader reads times.
pub(super) fn lines_of(posts: &[(&Assignment, &Post)]) -> Vec<(String, String)> {
    let facts = posts.iter().flat_map(|(one, post)| {
        let details = &post.details;
        let name = format!("{}{}", details.name, if one.is_standby { asks::AS_ALTERNATE } else { "" });
        let lines = [
            ("Position", name),
            ("What you do", details.duty.does().to_owned()),
            ("Time", details.hours.says()),
            ("Where", details.spot.clone()),
            ("Reports to", details.reports_to.clone()),
            ("Wear", details.wear.clone()),
            ("Bring", details.bring.clone()),
        ];
        lines.into_iter().filter(|(_, text)| !text.is_empty()).map(|(label, text)| (label.to_owned(), text))
    });
    facts.collect()
}
