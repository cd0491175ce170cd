//! Reading a file that waits, and who in it is already here.

use crate::directory::files;
use crate::directory::reading::{self, Checked};
use crate::directory::store::Import;
use crate::error::Result;
use crate::people::{self, Details, fold, phone_digits};
use crate::state::App;
use std::collections::HashSet;
use time::OffsetDateTime;

/// Reads a waiting file, off the threads that serve pages.
pub(super) async fn check_file(app: &App, import: &Import, now: OffsetDateTime) -> Result<Result<Checked, String>> {
    let gone = || Err("That file is no longer here. Files are deleted after an hour. Choose it again.".to_owned());
    if now - import.created_at > files::WAITS {
        files::remove(app, &import.key).await;
        return Ok(gone());
    }
    let Some(bytes) = files::read(app, &import.key).await else { return Ok(gone()) };
    let (columns, has_heading) = (import.columns.clone(), import.has_heading);
    let read = tokio::task::spawn_blocking(move || {
        let text = reading::decode(&bytes)?;
        drop(bytes);
        reading::read_as(&text, columns.as_deref(), has_heading)
    });
    Ok(read.await?)
}

/// The indexes of people who are already here: someone has the same name and the same email,
/// or the same phone and organization.
pub(super) async fn known(app: &App, people: &[Details]) -> Result<HashSet<usize>> {
    if people.is_empty() {
        return Ok(HashSet::new());
    }
    let same = |details: &Details| {
        let reached = if details.mail.is_empty() {
            format!("{} {}", phone_digits(&details.phone), fold(&details.organization))
        } else {
            details.mail.to_lowercase()
        };
        (fold(&details.name), reached)
    };
    let there = people::everyone(&mut *app.db.read().acquire().await?).await?;
    let there: HashSet<_> = there.iter().map(|person| same(&person.details)).collect();
    Ok(people
        .iter()
        .enumerate()
        .filter(|(_, details)| there.contains(&same(details)))
        .map(|(place, _)| place)
        .collect())
}
