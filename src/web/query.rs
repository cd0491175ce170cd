//! Query strings.

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};

/// What a query string may hold as it is (RFC 3986, section 2.3), and the slash.
const IN_QUERY: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~').remove(b'/');

/// A text as part of a query string.
#[must_use]
pub fn query_escape(text: &str) -> String {
    utf8_percent_encode(text, IN_QUERY).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_query_keeps_nothing_that_could_end_it() {
        assert_eq!(query_escape("/events/1?a=b&c"), "/events/1%3Fa%3Db%26c");
    }
}
