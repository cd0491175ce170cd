//! One field of a form: how it is typed, what it must hold, and what the journal says about
//! it.

use crate::events::Event;
use crate::web::form::Mistakes;
use serde_json::Value;

/// A field of the form for a `T`.
pub(super) struct Field<T> {
    /// In the form
    pub name: &'static str,
    /// and as people read it.
    pub label: &'static str,
    /// Its name in the journal, if it is in it.
    pub journal: Option<&'static str>,
    /// What it holds, as it is typed
    pub typed: fn(&T, &Event) -> String,
    /// and as the journal has it.
    pub value: fn(&T) -> Value,
    /// Takes what was typed, or says what is wrong with it.
    pub take: fn(&mut T, &str) -> Result<(), String>,
}

impl<T> Field<T> {
    pub const fn new(
        (name, label): (&'static str, &'static str),
        typed: fn(&T, &Event) -> String,
        value: fn(&T) -> Value,
        take: fn(&mut T, &str) -> Result<(), String>,
    ) -> Self {
        Self { name, label, journal: None, typed, value, take }
    }

    pub const fn in_journal(self, name: &'static str) -> Self {
        Self { journal: Some(name), ..self }
    }

    /// Takes what was typed, or notes the mistake.
    pub fn read(&self, into: &mut T, text: &str, mistakes: &mut Mistakes) {
        mistakes.note(self.name, (self.take)(into, text));
    }
}

// The macros are for fields of the `Details` that are in scope where they are used.

/// A text of at most this many characters, and how it is read.
macro_rules! text {
    ($name:literal, $label:literal, $read:path, $most:literal, $($place:ident).+) => {
        $crate::loans::field::Field::new(
            ($name, $label),
            |it: &Details, _| it.$($place).+.clone(),
            |it: &Details| ::serde_json::json!(it.$($place).+),
            |it, typed| {
                it.$($place).+ = $read(typed, $most)?;
                Ok(())
            },
        )
    };
}

/// A line that may be left empty, of at most this many characters.
macro_rules! line {
    ($name:literal, $label:literal, $most:literal, $($place:ident).+) => {
        text!($name, $label, $crate::web::form::optional_line, $most, $($place).+)
    };
}

/// One of the values of an enum made by `named!`, and the function that says it in the journal.
macro_rules! one_of {
    ($name:literal, $label:literal, $place:ident, $says:ident) => {
        $crate::loans::field::Field::new(
            ($name, $label),
            |it: &Details, _| it.$place.to_string(),
            |it: &Details| ::serde_json::json!(it.$place.$says()),
            |it, text| {
                it.$place = text.parse()?;
                Ok(())
            },
        )
    };
}

/// A checkbox.
macro_rules! tick {
    ($name:literal, $label:literal, $place:ident) => {
        $crate::loans::field::Field::new(
            ($name, $label),
            |it: &Details, _| if it.$place { "yes".to_owned() } else { String::new() },
            |it: &Details| ::serde_json::json!(if it.$place { "yes" } else { "no" }),
            |it, text| {
                it.$place = text == "yes";
                Ok(())
            },
        )
    };
}

/// Something that may be left empty: how it is typed, and how that is read.
macro_rules! optional_one {
    ($name:literal, $label:literal, $($place:ident).+, $typed:expr, $read:expr) => {
        $crate::loans::field::Field::new(
            ($name, $label),
            |it: &Details, _| it.$($place).+.map($typed).unwrap_or_default(),
            |it: &Details| ::serde_json::json!(it.$($place).+.map($typed)),
            |it, text| {
                it.$($place).+ = $crate::loans::field::optional(text, $read)?;
                Ok(())
            },
        )
    };
}

pub(super) use {line, one_of, optional_one, text, tick};

/// Nothing if nothing was typed.
pub(super) fn optional<T>(text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<Option<T>, String> {
    if text.trim().is_empty() { Ok(None) } else { read(text).map(Some) }
}

/// The number of another row.
pub(super) fn id(text: &str) -> Result<i64, String> {
    text.trim().parse().map_err(|_| "Choose one from the list.".to_owned())
}
