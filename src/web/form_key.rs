//! The form fields that hold a form's key.

/// The form field that holds the key.
pub const FIELD: &str = "form-key";
/// The same for a form whose buttons are tapped one after another, as on a phone: each tap
/// is separate, and the last one counts.
pub(super) const TAPS: &str = "tap-key";
/// Is this a field that holds a key, not something someone typed?
#[must_use]
pub fn is_key(field: &str) -> bool {
    field == FIELD || field == TAPS
}
