//! Who signs invitations: the sender, the chief, or anyone with a contact record.

use super::settings::GuestSettings;
use crate::accounts;
use crate::asks::Signer;
use crate::error::Result;
use crate::people;
use crate::state::App;
use sqlx::SqliteConnection;

/// Reads the name of someone with a contact record; empty means the sender.
///
/// # Errors
/// The store's; inside, what to say to the person who typed it.
pub(super) async fn read(app: &App, name: &str) -> Result<Result<Option<(i64, String)>, String>> {
    let name = name.trim();
    if name.is_empty() {
        return Ok(Ok(None));
    }
    let mut db = app.db.read().acquire().await?;
    let Some(id) = people::by_name(&mut db, name).await? else {
        return Ok(Err("Enter the name of someone in your contact records, or leave this empty.".to_owned()));
    };
    let found = people::find(&mut db, id).await?;
    Ok(Ok(found.map(|person| (id, person.details.name))))
}

/// A signer's name and title.
pub(super) async fn signer(db: &mut SqliteConnection, id: Option<i64>) -> Result<Option<Signer>> {
    let Some(id) = id else { return Ok(None) };
    let found = people::find(db, id).await?;
    Ok(found.map(|person| Signer { name: person.details.name, title: person.details.office }))
}

/// Names to choose from: the usual signer and everyone with an account.
pub(super) async fn names(app: &App, settings: &GuestSettings) -> Result<Vec<String>> {
    let holders = accounts::holders(&mut *app.db.read().acquire().await?).await?;
    let mut names: Vec<String> = holders.into_iter().map(|holder| holder.name).collect();
    names.extend(settings.signer.iter().map(|(_, name)| name.clone()));
    names.sort_by_cached_key(|name| (people::sort_key(name), name.clone()));
    names.dedup();
    Ok(names)
}
