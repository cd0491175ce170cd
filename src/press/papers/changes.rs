//! What has changed since a version of a release was approved.

use super::marks::{BURN_DAY, MAIL, PHONE, RAIN_DATE, TIME};

/// In place of a fact that is empty.
pub(super) const NOT_KNOWN: &str = "not known";

/// A fact that has changed since a version was approved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::press) struct Change {
    pub mark: String,
    pub was: String,
    pub is: String,
}

impl Change {
    /// "time is now 1 p.m. (was 10 a.m.)". What people typed is in quotes.
    pub fn says(&self) -> String {
        let is_plain = [BURN_DAY, TIME, RAIN_DATE, PHONE, MAIL].contains(&self.mark.as_str());
        let said =
            |value: &str| if is_plain || value == NOT_KNOWN { value.to_owned() } else { format!("“{value}”") };
        let (mark, is) = (&self.mark, said(&self.is));
        if self.was.is_empty() {
            format!("{mark} has changed and is now {is}")
        } else {
            format!("{mark} is now {is} (was {})", said(&self.was))
        }
    }
}

/// "time is now 1 p.m. (was 10 a.m.); place is now “B” (was “A”)"
pub(in crate::press) fn changes_say(changes: &[Change]) -> String {
    changes.iter().map(Change::says).collect::<Vec<_>>().join("; ")
}

#[cfg(test)]
mod tests {
    use super::super::marks::PLACE;
    use super::*;

    #[test]
    fn a_change_is_said_in_one_way_with_what_it_was() {
        let change =
            |mark: &str, was: &str, is: &str| Change { mark: mark.to_owned(), was: was.to_owned(), is: is.to_owned() };
        assert_eq!(change(TIME, "10 a.m.", "1 p.m.").says(), "time is now 1 p.m. (was 10 a.m.)");
        assert_eq!(change(PLACE, "A", NOT_KNOWN).says(), "place is now not known (was “A”)");
        assert_eq!(change(BURN_DAY, "", "Saturday, Jan. 9").says(), "burn day has changed and is now Saturday, Jan. 9");
    }
}
