//! The store: one SQLite file, a pool of readers that can't write, and one writer.

mod checking;
mod copying;
mod folder;
mod handle;
pub mod journal;
mod latest;
pub mod once;
mod opening;
mod place;
mod reserve;
mod trouble;
mod tx;
pub mod wording;
mod writer;

pub use folder::{FILE, lock, make_folder};
pub use handle::Db;
pub use latest::Latest;
pub use trouble::Trouble;
pub use tx::{Keep, Tx};
pub use writer::Write;
