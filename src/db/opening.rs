//! Opening a store and bringing it up to date.

use super::folder::{FILE, lock, private};
use super::handle::{Db, Home};
use super::place;
use super::reserve::Reserve;
use super::trouble::LastCommit;
use super::tx::Tx;
use super::writer::Writer;
use anyhow::{Context, bail};
use sqlx::migrate::Migrator;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use sqlx::{ConnectOptions, SqliteConnection};
use std::fs::OpenOptions;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Mutex;

pub(super) static MIGRATIONS: Migrator = sqlx::migrate!();

/// Readers: two per core on a small machine.
const READERS: u32 = 4;

impl Db {
    /// Opens the store in a folder, creating both if they aren't there, and brings its
    /// schema up to date. If the store wasn't served in this place before, all its email
    /// is put on hold.
    ///
    /// # Errors
    /// When another process has the folder open, a newer version made the store, or the
    /// files can't be read.
    pub async fn open(folder: &Path) -> anyhow::Result<Self> {
        let path = folder.join(FILE);
        let lock = lock(folder)?;
        private(OpenOptions::new().append(true))
            .open(&path)
            .with_context(|| format!("can't open {}", path.display()))?;
        let mut connection = options(&path).connect().await.context("can't open the database")?;
        refuse_newer(&mut connection).await?;
        MIGRATIONS.run(&mut connection).await.context("can't update the database to this version")?;
        let mut tx = Tx::from(connection);
        tx.begin().await?;
        if let Err(error) = place::take(&mut tx, folder).await {
            tx.roll_back().await?;
            return Err(error.cause()).context("can't save where the database is used");
        }
        tx.commit().await.context("can't save where the database is used")?;
        place::sweep(&mut tx, folder).await?;
        Self::with(tx, &path, Some(Home { folder: folder.to_owned(), _lock: lock })).await
    }

    /// Opens a store that another process of this version may be serving at the same time.
    ///
    /// # Errors
    /// When there is none, or a newer version made it.
    pub async fn open_beside(folder: &Path) -> anyhow::Result<Self> {
        let path = folder.join(FILE);
        if !path.is_file() {
            bail!("there is no Burnday data in {}. Name its folder with --data", folder.display());
        }
        let mut connection = options(&path).connect().await.context("can't open the database")?;
        refuse_newer(&mut connection).await?;
        Self::with(connection.into(), &path, None).await
    }

    async fn with(tx: Tx, path: &Path, home: Option<Home>) -> anyhow::Result<Self> {
        let readers = SqlitePoolOptions::new()
            .max_connections(READERS)
            .min_connections(READERS)
            .acquire_timeout(Duration::from_secs(5))
            .test_before_acquire(false)
            .connect_with(options(path).read_only(true))
            .await
            .context("can't open the database for reading")?;
        let watch = options(path).read_only(true).connect().await.context("can't open the database to watch it")?;
        let watch = Arc::new(Mutex::new(Some(watch)));
        let last_commit = LastCommit::default();
        let reserve = Arc::new(Reserve::of(home.as_ref().map(|home| home.folder.as_path())));
        let writer = Writer::start(tx, last_commit.clone(), Arc::clone(&reserve));
        Ok(Self { readers, watch, writer, last_commit, reserve, home: home.map(Arc::new) })
    }
}

fn options(path: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(path)
        .foreign_keys(true)
        .journal_mode(SqliteJournalMode::Wal)
        // A saved answer must survive a power cut.
        .synchronous(SqliteSynchronous::Full)
        .busy_timeout(Duration::from_secs(5))
        .pragma("journal_size_limit", "67108864")
        .pragma("temp_store", "memory")
        // In KiB when negative. With SQLite's default of 2 MB, a year's email would be read
        // from disk again and again.
        .pragma("cache_size", "-16384")
        // A list's rows arrive all at once, not one by one.
        .row_buffer_size(512)
        .log_statements(tracing::log::LevelFilter::Trace)
}

/// Refuses a store from a newer version, which may use old columns in a new way.
async fn refuse_newer(connection: &mut SqliteConnection) -> anyhow::Result<()> {
    #[expect(clippy::disallowed_methods, reason = "the table of migrations is sqlx's, and may not be there yet")]
    let newest: Option<i64> =
        match sqlx::query_scalar("select max(version) from _sqlx_migrations").fetch_one(connection).await {
            Ok(newest) => newest,
            Err(sqlx::Error::Database(error)) if error.message().starts_with("no such table") => None,
            Err(error) => return Err(error).context("can't read the version of the database"),
        };
    let known = MIGRATIONS.iter().map(|migration| migration.version).max();
    if newest > known {
        bail!(
            "a newer version of Burnday wrote this data (version {}, and this one knows {}). Start the newer version, or \
             restore a backup made with this one",
            newest.unwrap_or_default(),
            known.unwrap_or_default()
        );
    }
    Ok(())
}
