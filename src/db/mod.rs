//! The store: one SQLite file, a pool of readers that can't write, and one writer.

pub mod journal;
mod latest;
pub mod once;
mod place;
mod reserve;
mod trouble;
pub mod wording;
mod writer;

use crate::error::Error;
use anyhow::{Context, anyhow, bail};
use futures_util::future::BoxFuture;
pub use latest::Latest;
use reserve::Reserve;
use sqlx::migrate::Migrator;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use sqlx::{ConnectOptions, Connection, SqliteConnection, SqlitePool};
use std::collections::BTreeMap;
use std::fs::{File, OpenOptions, Permissions, TryLockError};
use std::ops::{Deref, DerefMut};
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt, PermissionsExt};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};
use tokio::sync::Mutex;
use trouble::LastCommit;
pub use trouble::Trouble;
pub use writer::Write;

static MIGRATIONS: Migrator = sqlx::migrate!();

/// The store's file in the data folder.
pub const FILE: &str = "burnday.db";

/// A file beside it, locked by the process that has the store open.
const LOCK: &str = "lock";

/// Readers: two per core on a small machine.
const READERS: u32 = 4;

/// A monitor's check makes a write no more often than this.
const PROBED_WITHIN: Duration = Duration::from_secs(30);

/// How long a start waits for a folder that another process holds.
const LOCKED_WITHIN: Duration = Duration::from_secs(5);
/// How often it looks again meanwhile.
const LOOK_AGAIN: Duration = Duration::from_millis(50);

/// Inside a write: everything done on it is committed together or not at all.
#[derive(Debug)]
pub struct Tx {
    connection: SqliteConnection,
    /// Journal entries of the writes in this commit.
    entries: Vec<journal::Waiting>,
    /// Other rows they add, by table.
    later: BTreeMap<&'static str, Later>,
}

/// Rows of one table that are written at the commit, all in one statement. Each statement
/// is a trip to the connection's own thread and back, which costs more than the rows.
#[derive(Debug, Clone)]
struct Later {
    rows: Vec<Arc<str>>,
    keep: Keep,
}

/// Adds the rows of a JSON array to a table.
pub type Keep = for<'c> fn(&'c mut SqliteConnection, String) -> BoxFuture<'c, sqlx::Result<()>>;

impl From<SqliteConnection> for Tx {
    fn from(connection: SqliteConnection) -> Self {
        Self { connection, entries: Vec::new(), later: BTreeMap::new() }
    }
}

impl Deref for Tx {
    type Target = SqliteConnection;

    fn deref(&self) -> &SqliteConnection {
        &self.connection
    }
}

impl DerefMut for Tx {
    fn deref_mut(&mut self) -> &mut SqliteConnection {
        &mut self.connection
    }
}

impl Tx {
    async fn begin(&mut self) -> sqlx::Result<()> {
        self.run("begin immediate").await
    }

    /// Commits what was done since `begin`, with its journal entries.
    ///
    /// # Errors
    /// The store's. Nothing was saved then.
    async fn commit(&mut self) -> sqlx::Result<()> {
        self.flush().await?;
        self.run("commit").await
    }

    async fn roll_back(&mut self) -> sqlx::Result<()> {
        self.forget();
        self.run("rollback").await
    }

    /// Adds a row, a JSON object, to a table at the commit.
    pub fn later(&mut self, table: &'static str, row: Arc<str>, keep: Keep) {
        self.later.entry(table).or_insert_with(|| Later { rows: Vec::new(), keep }).rows.push(row);
    }

    /// Writes what was waiting for the commit.
    async fn flush(&mut self) -> sqlx::Result<()> {
        for Later { rows, keep } in std::mem::take(&mut self.later).into_values() {
            keep(&mut self.connection, format!("[{}]", rows.join(","))).await?;
        }
        journal::keep(&mut self.connection, &std::mem::take(&mut self.entries)).await
    }

    /// How many rows are waiting for the commit, from all its writes.
    fn waiting(&self) -> usize {
        self.entries.len() + self.later.values().map(|later| later.rows.len()).sum::<usize>()
    }

    fn forget(&mut self) {
        self.entries.clear();
        self.later.clear();
    }

    #[expect(clippy::disallowed_methods, reason = "transaction control has no columns to check")]
    async fn run(&mut self, sql: &'static str) -> sqlx::Result<()> {
        sqlx::query(sql).execute(&mut self.connection).await.map(|_| ())
    }
}

/// The open store. Cheap to clone.
#[derive(Clone)]
pub struct Db {
    readers: SqlitePool,
    writer: writer::Writer,
    last_commit: LastCommit,
    reserve: Arc<Reserve>,
    /// Sees every commit by others, and makes none.
    watch: Arc<Mutex<Option<SqliteConnection>>>,
    /// The folder, if this process serves it.
    home: Option<Arc<Home>>,
}

/// A folder this process serves.
struct Home {
    folder: PathBuf,
    /// Held while the store is open.
    _lock: File,
}

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
        let writer = writer::Writer::start(tx, last_commit.clone(), Arc::clone(&reserve));
        Ok(Self { readers, watch, writer, last_commit, reserve, home: home.map(Arc::new) })
    }

    /// Writes the whole store as it is now to one new file, whether it is in use or not.
    /// The copy's email is on hold, wherever the copy goes.
    ///
    /// # Errors
    /// When the file isn't empty or can't be written.
    #[expect(clippy::disallowed_methods, reason = "a command with no columns to check")]
    pub async fn copy_into(&self, path: &Path) -> anyhow::Result<()> {
        // SQLite treats an empty file as none, and leaves its mode alone.
        private(OpenOptions::new().create_new(true).write(true))
            .open(path)
            .with_context(|| format!("can't create {}", path.display()))?
            .sync_all()?;
        let name = path.to_str().with_context(|| format!("the path {} can't be read as text", path.display()))?;
        sqlx::query("vacuum into ?").bind(name).execute(&self.readers).await.context("can't copy the database")?;
        // With a rollback journal instead of a log, the copy stays one file.
        let copy = SqliteConnectOptions::new().filename(path).journal_mode(SqliteJournalMode::Delete);
        let mut tx = Tx::from(copy.foreign_keys(true).connect().await.context("can't open the copy")?);
        tx.begin().await?;
        place::leave(&mut tx).await.map_err(Error::cause).context("can't put the copy's email on hold")?;
        tx.commit().await.context("can't put the copy's email on hold")?;
        tx.connection.close().await.context("can't close the copy")?;
        File::open(path)?.sync_all()?;
        Ok(())
    }

    /// What is wrong with the store; empty if all is well.
    ///
    /// # Errors
    /// When it can't be read at all.
    #[expect(clippy::disallowed_methods, reason = "pragmas have no columns to check")]
    pub async fn check(&self) -> crate::error::Result<Vec<String>> {
        let mut wrong: Vec<String> = sqlx::query_scalar("pragma integrity_check").fetch_all(&self.readers).await?;
        wrong.retain(|line| line != "ok");
        let orphans = sqlx::query("pragma foreign_key_check").fetch_all(&self.readers).await?.len();
        if orphans > 0 {
            wrong.push(format!("{orphans} rows refer to rows that no longer exist. Restore a backup"));
        }
        let version: i64 =
            sqlx::query_scalar("select max(version) from _sqlx_migrations").fetch_one(&self.readers).await?;
        let known = MIGRATIONS.iter().map(|migration| migration.version).max().unwrap_or_default();
        if version < known {
            wrong
                .push(format!("the data is in version {version}, older than {known}. Start the app once to update it"));
        }
        Ok(wrong)
    }

    /// For reading. A write through it fails.
    #[must_use]
    pub fn read(&self) -> &SqlitePool {
        &self.readers
    }

    /// A number that changes with every change, by this process or any other. While it
    /// stays the same, what was read is still true.
    ///
    /// # Errors
    /// The store's.
    pub async fn version(&self) -> crate::error::Result<i64> {
        let mut watch = self.watch.lock().await;
        let watch = watch.as_mut().ok_or_else(|| anyhow!("the store is closed"))?;
        #[expect(clippy::disallowed_methods, reason = "pragmas have no columns to check")]
        let version = sqlx::query_scalar("pragma data_version").fetch_one(watch).await?;
        Ok(version)
    }

    /// Waits for writes in progress, then closes the file.
    pub async fn close(&self) {
        if let Some(home) = &self.home
            && let Err(error) = self.renew_place(home).await
        {
            tracing::warn!("the mark of the folder could not be replaced: {error:?}");
        }
        // The last connection to close folds the log back into the file, and a reader isn't
        // allowed to.
        self.readers.close().await;
        if let Some(watch) = self.watch.lock().await.take() {
            let _ = watch.close().await;
        }
        self.writer.stop().await;
    }

    /// A copy made while the store was open must not pass for the original later.
    async fn renew_place(&self, home: &Arc<Home>) -> crate::error::Result<()> {
        let folder = Arc::clone(home);
        self.write(move |tx| Box::pin(async move { place::renew(tx, &folder.folder).await })).await?;
        let folder = Arc::clone(home);
        // Only once the new one is safely saved.
        self.write(move |tx| Box::pin(async move { Ok(place::sweep(tx, &folder.folder).await?) })).await
    }

    /// Sets aside space to give up when the disk is full, if there is room for it.
    ///
    /// # Errors
    /// When the disk can't hold it.
    pub async fn keep_reserve(&self) -> crate::error::Result<()> {
        let reserve = Arc::clone(&self.reserve);
        Ok(tokio::task::spawn_blocking(move || reserve.make()).await??)
    }

    /// Can the store be read and written? A write that was saved a moment ago answers the
    /// second question.
    ///
    /// # Errors
    /// When not.
    pub async fn probe(&self) -> crate::error::Result<()> {
        sqlx::query_scalar!("select at from heartbeat").fetch_one(&self.readers).await?;
        if self.last_commit.was_kept_within(PROBED_WITHIN) {
            return Ok(());
        }
        self.write(|tx| {
            Box::pin(async move {
                // There and back, so that a page goes to the disk and nothing changes. SQLite
                // skips a write that changes nothing.
                sqlx::query!("update heartbeat set at = at + 1").execute(&mut **tx).await?;
                sqlx::query!("update heartbeat set at = at - 1").execute(&mut **tx).await?;
                Ok(())
            })
        })
        .await
    }

    /// What kept the last write from being saved, or soon will; none if all is well.
    #[must_use]
    pub fn trouble(&self) -> Option<Trouble> {
        self.last_commit.trouble().or_else(|| self.reserve.is_given_up().then_some(Trouble::Low))
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

/// Creates the data folder if needed, for this user only.
///
/// # Errors
/// When it can't be created.
pub fn make_folder(folder: &Path) -> anyhow::Result<()> {
    if !folder.is_dir() {
        let mut builder = std::fs::DirBuilder::new();
        builder
            .recursive(true)
            .mode(0o700)
            .create(folder)
            .with_context(|| format!("can't create {}", folder.display()))?;
    }
    Ok(())
}

/// Nobody else on this machine may read a folder with people's names and the key to their
/// links.
fn close_to_others(folder: &Path) -> anyhow::Result<()> {
    let mode = || std::fs::metadata(folder).map(|about| about.permissions().mode());
    let is_closed = |mode: u32| mode & !0o077 == mode;
    let open = mode()?;
    if is_closed(open) {
        return Ok(());
    }
    // We don't change a folder that holds someone else's things.
    let is_ours = folder.join(FILE).exists() || std::fs::read_dir(folder)?.next().is_none();
    let closed = is_ours && std::fs::set_permissions(folder, Permissions::from_mode(open & !0o077)).is_ok();
    // Some file systems accept the change and do nothing.
    if !closed || !is_closed(mode()?) {
        bail!(
            "other users of this machine can read the folder {}. Its owner can close it with chmod 700. Or name another \
             folder with --data",
            folder.display()
        );
    }
    tracing::warn!(folder = %folder.display(), "other users could read the folder; it is now closed to them");
    Ok(())
}

fn private(options: &mut OpenOptions) -> &mut OpenOptions {
    // SQLite gives its side files the mode of the main file.
    options.create(true).mode(0o600)
}

/// Reserves the folder for this process while it holds the returned file.
///
/// # Errors
/// When another process has it.
pub fn lock(folder: &Path) -> anyhow::Result<File> {
    make_folder(folder)?;
    close_to_others(folder)?;
    let path: PathBuf = folder.join(LOCK);
    let file = private(OpenOptions::new().append(true))
        .open(&path)
        .with_context(|| format!("can't open {}", path.display()))?;
    match try_a_while(&file) {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => bail!(
            "another Burnday is already using the folder {}. Stop it first, or give this one its own folder with \
             --data",
            folder.display()
        ),
        Err(TryLockError::Error(error)) => Err(error).with_context(|| format!("can't lock {}", path.display())),
    }
}

/// The process that had it may be stopping, or a child it just started may hold it for
/// another moment.
fn try_a_while(file: &File) -> Result<(), TryLockError> {
    let start = Instant::now();
    loop {
        match file.try_lock() {
            Err(TryLockError::WouldBlock) if start.elapsed() < LOCKED_WITHIN => std::thread::sleep(LOOK_AGAIN),
            done => return done,
        }
    }
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
