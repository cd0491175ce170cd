//! Enums whose values are words in the store, in forms, and on pages.

/// Makes an enum whose values are words in the store and in forms.
macro_rules! named {
    ($(#[$about:meta])* $name:ident, $wrong:literal, $all:ident: [$($value:ident = $text:literal),+ $(,)?]) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $(#[doc = $text] $value),+ }

        /// The names, for a form.
        pub const $all: [&str; [$($text),+].len()] = [$($text),+];

        impl $name {
            /// All of them, in order.
            pub const ALL: [Self; [$($text),+].len()] = [$(Self::$value),+];

            /// As forms and the store write it.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$value => $text),+ }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.as_str())
            }
        }

        impl std::str::FromStr for $name {
            type Err = String;

            fn from_str(text: &str) -> Result<Self, String> {
                Self::ALL.into_iter().find(|value| value.as_str() == text).ok_or_else(|| $wrong.to_owned())
            }
        }
    };
}

pub(crate) use named;
