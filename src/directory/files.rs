//! Uploaded files that wait in the data folder between two pages, for one user only and for
//! an hour at most.

use crate::error::Result;
use crate::state::App;
use crate::web::link::Secret;
use anyhow::Context;
use axum::extract::multipart::{Field, MultipartError};
use axum::http::StatusCode;
use std::fs::OpenOptions;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use time::Duration;
use tokio::io::AsyncWriteExt;

use super::reading::MOST_BYTES;

/// The largest request with a file in it.
pub const MOST_SENT: usize = MOST_BYTES + 64 * 1024;

/// How long a file waits.
pub(super) const WAITS: Duration = Duration::HOUR;

fn folder(data: &Path) -> PathBuf {
    data.join("incoming")
}

/// Removes files left behind by an earlier run.
///
/// # Errors
/// When the folder can't be emptied.
pub fn sweep(data: &Path) -> anyhow::Result<()> {
    let folder = folder(data);
    if folder.exists() {
        std::fs::remove_dir_all(&folder).with_context(|| format!("can't empty {}", folder.display()))?;
    }
    Ok(())
}

/// What became of an uploaded file.
pub(super) enum Sent {
    /// It is waiting under this name.
    Waits(String),
    TooLarge,
    Broken,
}

/// Writes a file to disk as it arrives, so that none of it stays in memory. It is removed
/// after an hour, even if the upload breaks off.
pub(super) async fn take(app: &App, field: Field<'_>) -> Result<Sent> {
    let folder = folder(&app.config.data);
    crate::db::make_folder(&folder)?;
    let key = Secret::new().reveal().to_owned();
    let path = folder.join(&key);
    let file = OpenOptions::new().create_new(true).write(true).mode(0o600).open(&path)?;
    let late = path.clone();
    tokio::spawn(async move {
        tokio::time::sleep(WAITS.unsigned_abs()).await;
        let _ = tokio::fs::remove_file(late).await;
    });
    let sent = write(tokio::fs::File::from_std(file), field, key).await;
    if !matches!(sent, Ok(Sent::Waits(_))) {
        tokio::fs::remove_file(&path).await?;
    }
    sent
}

async fn write(mut file: tokio::fs::File, mut field: Field<'_>, key: String) -> Result<Sent> {
    let mut length = 0;
    loop {
        match field.chunk().await {
            Ok(Some(chunk)) => {
                length += chunk.len();
                if length > MOST_BYTES {
                    return Ok(Sent::TooLarge);
                }
                file.write_all(&chunk).await?;
            }
            Ok(None) => break,
            Err(error) if is_too_large(&error) => return Ok(Sent::TooLarge),
            Err(_) => return Ok(Sent::Broken),
        }
    }
    file.flush().await?;
    Ok(Sent::Waits(key))
}

/// Did the upload exceed the size limit? The layer that counts says so deep in its error.
pub(super) fn is_too_large(error: &MultipartError) -> bool {
    let mut cause: Option<&dyn std::error::Error> = Some(error);
    while let Some(error) = cause {
        if error.to_string().contains("length limit exceeded") {
            return true;
        }
        cause = error.source();
    }
    error.status() == StatusCode::PAYLOAD_TOO_LARGE
}

/// The file with that name; none if it is gone.
pub(super) async fn read(app: &App, key: &str) -> Option<Vec<u8>> {
    tokio::fs::read(folder(&app.config.data).join(key)).await.ok()
}

/// Removes it.
pub(super) async fn remove(app: &App, key: &str) {
    // If it is already gone, that is fine too.
    let _ = tokio::fs::remove_file(folder(&app.config.data).join(key)).await;
}
