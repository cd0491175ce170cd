//! One item promised twice: the days on which two events overlap.

use time::Date;

/// The days an item is needed for one of an event's dates.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Window {
    /// The date it is for.
    pub for_on: Date,
    /// Needed only if the burn is postponed.
    pub is_rain: bool,
    pub from_on: Date,
    pub until_on: Date,
}

/// Windows of two events that overlap.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clash {
    pub ours: Window,
    pub theirs: Window,
    /// The first and the last day both need it.
    pub from_on: Date,
    pub until_on: Date,
}

/// Where two events need one item on the same days: burn days before rain dates, and each
/// pair of dates at most once.
#[must_use]
pub fn clashes(ours: &[Window], theirs: &[Window]) -> Vec<Clash> {
    let mut all: Vec<Clash> = Vec::new();
    for (our, their) in ours.iter().flat_map(|our| theirs.iter().map(move |their| (our, their))) {
        let (from_on, until_on) = (our.from_on.max(their.from_on), our.until_on.min(their.until_on));
        if from_on <= until_on {
            all.push(Clash { ours: our.clone(), theirs: their.clone(), from_on, until_on });
        }
    }
    all.sort_by_key(|meet| (meet.ours.is_rain, meet.theirs.is_rain, meet.from_on));
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use time::Duration;
    use time::macros::date;

    fn window(first: i64, last: i64, is_rain: bool) -> Window {
        let on = |day: i64| date!(2027 - 01 - 01) + Duration::days(day);
        Window { for_on: on(first), is_rain, from_on: on(first), until_on: on(last) }
    }

    #[test]
    fn days_that_touch_meet_and_days_beside_each_other_do_not() {
        assert_eq!(clashes(&[window(1, 3, false)], &[window(4, 6, false)]), []);
        let found = clashes(&[window(1, 3, false)], &[window(3, 6, false)]);
        assert_eq!((found[0].from_on, found[0].until_on), (date!(2027 - 01 - 04), date!(2027 - 01 - 04)));
    }

    #[test]
    fn burn_days_come_before_rain_dates() {
        let (ours, theirs) = ([window(1, 9, true), window(1, 9, false)], [window(2, 3, true), window(2, 3, false)]);
        let order: Vec<(bool, bool)> =
            clashes(&ours, &theirs).iter().map(|m| (m.ours.is_rain, m.theirs.is_rain)).collect();
        assert_eq!(order, [(false, false), (false, true), (true, false), (true, true)]);
    }

    proptest! {
        /// Checked day by day, the long way.
        #[test]
        fn two_windows_meet_on_the_days_that_both_hold(a in 0_i64..20, b in 0_i64..8, c in 0_i64..20, d in 0_i64..8) {
            let (ours, theirs) = (window(a, a + b, false), window(c, c + d, false));
            let days = |w: &Window| (0..30).map(|day| date!(2027 - 01 - 01) + Duration::days(day))
                .filter(|on| w.from_on <= *on && *on <= w.until_on).collect::<Vec<_>>();
            let both: Vec<_> = days(&ours).into_iter().filter(|on| days(&theirs).contains(on)).collect();
            let found = clashes(&[ours], &[theirs]);
            prop_assert_eq!(found.first().map(|m| (m.from_on, m.until_on)), both.first().copied().zip(both.last().copied()));
        }
    }
}
