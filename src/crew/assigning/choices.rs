//! The people to choose from for a position.

use crate::crew::Post;
use crate::crew::snapshot::CrewSnapshot;
use crate::error::Result;
use crate::people::Person;
use crate::people::choosing::{Chooser, Find, Line};
use crate::state::App;
use time::Date;

/// At most this many people are listed to choose from.
const MOST_KNOWN: usize = 200;

/// Someone to choose.
pub(super) struct Choice {
    pub id: i64,
    pub name: String,
    pub place: String,
    /// The rules they would break on burn day, or else on the rain date. Empty if none.
    pub against: String,
    pub is_chosen: bool,
}

/// The people to choose from: the ones the crew knows, or the ones searched for. Those who
/// would break no rule come first.
pub(super) async fn choices(
    app: &App,
    snapshot: &CrewSnapshot,
    post: &Post,
    chosen: i64,
    find: &Find,
) -> Result<(Vec<Choice>, Chooser)> {
    let page = format!("/events/{}/crew/positions/{}", snapshot.event.id, post.id);
    let here: Vec<i64> =
        snapshot.assigned.iter().filter(|one| one.post_id == post.id).map(|one| one.person_id).collect();
    let mut db = app.db.read().acquire().await?;
    let chooser = Chooser::load(&mut db, page, find, &[], &here, Person::place).await?;
    drop(db);
    let line = |person: &Person| Line { id: person.id, name: person.details.name.clone(), detail: person.place() };
    let mut known: Vec<&Person> = snapshot.people.values().filter(|person| !here.contains(&person.id)).collect();
    known.sort_by_cached_key(|person| person.listing());
    let found: Vec<Line> = if find.is_empty() && !snapshot.people.is_empty() && find.find_act.is_empty() {
        known.into_iter().take(MOST_KNOWN).map(line).collect()
    } else {
        chooser.people.clone()
    };
    let mut choices: Vec<(usize, Choice)> = found
        .into_iter()
        .map(|Line { id, name, detail }| {
            let (count, against) = speaks_against(snapshot, post, id);
            (count, Choice { id, name, place: detail, against, is_chosen: chosen == id })
        })
        .collect();
    // Those of one weight stay in the order of lists.
    choices.sort_by_key(|(weight, _)| *weight);
    Ok((choices.into_iter().map(|(_, choice)| choice).collect(), chooser))
}

/// The rules someone would break in a position, and how much that weighs.
fn speaks_against(snapshot: &CrewSnapshot, post: &Post, person_id: i64) -> (usize, String) {
    let words = |on: Date| -> Vec<String> {
        snapshot.against(post, person_id, on).into_iter().map(|violation| violation.words).collect()
    };
    let mut parts = words(snapshot.event.details.burn_on);
    let weight = parts.len() * 2;
    if let Some(rain) = snapshot.event.details.rain_on.filter(|_| parts.is_empty()) {
        parts = words(rain);
    }
    let elsewhere = snapshot.posts_of(person_id).into_iter().filter(|(other, _)| !other.is_standby).count();
    if parts.is_empty() && elsewhere > 0 {
        parts.push("Also has another position.".to_owned());
    }
    (weight + parts.len(), parts.join(" "))
}
