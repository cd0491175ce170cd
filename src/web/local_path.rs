//! Addresses on this site, from texts that could name any.

/// A path on this site that someone asked for; the start page for anything else.
#[must_use]
pub fn local_path(next: &str) -> &str {
    let local = next.starts_with('/')
        && !next.starts_with("//")
        && !next.contains(|c: char| c == '\\' || c.is_control() || c.is_whitespace())
        && !next.to_lowercase().starts_with("/%2f")
        && !next.to_lowercase().starts_with("/%5c");
    if local { next } else { "/" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_local_paths_are_followed() {
        assert_eq!(local_path("/events/1?strand=Crew"), "/events/1?strand=Crew");
        let elsewhere =
            ["//x.org", "/\\x.org", "https:x", "x", "", "/%2f%2fx", "/%5Cx", "/\tx", "/a\nb", "javascript:1"];
        for next in elsewhere {
            assert_eq!(local_path(next), "/", "{next:?}");
        }
    }
}
