//! Email addresses and phone numbers.

use super::texts::{line, optional_line};

/// An email address, as far as its form shows.
///
/// # Errors
/// What to tell the person who typed it.
pub fn mail(text: &str) -> Result<String, String> {
    let text = line(text, 254)?;
    // We ask no email server to accept quoted names (RFC 5321, section 4.1.2), numeric hosts,
    // or hosts without a domain.
    let fits = text
        .parse::<lettre::Address>()
        .is_ok_and(|address| !address.user().starts_with('"') && address.domain().contains('.') && !text.contains('['));
    if fits { Ok(text) } else { Err("Enter an email address like name@example.org.".to_owned()) }
}

/// A phone number, written any way, with or without an extension.
///
/// # Errors
/// What to tell the person who typed it.
pub fn phone(text: &str) -> Result<String, String> {
    let phone = optional_line(text, 40)?;
    let digits = phone.chars().filter(char::is_ascii_digit).count();
    if phone.is_empty() || digits >= 3 { Ok(phone) } else { Err("Enter a phone number, like 555-0117.".to_owned()) }
}
