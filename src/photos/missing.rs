//! Photos without their files.

use super::files::{Size, path};
use super::store::digests;
use crate::db::Db;
use crate::error::Result;
use std::path::Path;

/// How many photos have no file in this data folder.
pub async fn missing(db: &Db, data: &Path) -> Result<usize> {
    let digests = digests(db.read()).await?;
    let lies_there = |digest: &String| path(data, digest, Size::Large).is_file();
    Ok(digests.iter().filter(|digest| !lies_there(digest)).count())
}
