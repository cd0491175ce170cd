//! The paths of the tools that npm installs.

use std::path::PathBuf;

/// A file of an npm package.
pub fn npm(file: &str) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/browser/node_modules").join(file);
    assert!(path.is_file(), "{file} is missing: run tests/run, or npm ci in tests/browser");
    path
}
