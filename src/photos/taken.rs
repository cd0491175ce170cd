//! A photo whose files are saved.

/// A photo whose files are saved, before anything refers to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// SHA-256 of the file's content, in hexadecimal digits.
    pub digest: String,
    /// In pixels, as saved.
    pub width: u32,
    pub height: u32,
    pub bytes: u64,
}
