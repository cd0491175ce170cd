//! Finding the person that a page is about.

use crate::error::{Error, Result};
use crate::people::{self, Person};
use crate::state::App;

/// A person by number.
pub(super) async fn found(app: &App, id: i64) -> Result<Person> {
    people::find(&mut *app.db.read().acquire().await?, id).await?.ok_or(Error::NotFound)
}
