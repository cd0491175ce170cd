use super::*;
use proptest::prelude::*;

const fn item(seconds: u32, give: Give, priority: u8) -> Item {
    Item { seconds, give, priority }
}

/// A typical morning: welcome, introductions, mayor, senator, council member, sponsors;
/// 12 minutes 30 seconds in all.
const MORNING: [Item; 6] = [
    item(120, Give::Fixed, 1),
    item(90, Give::Fixed, 1),
    item(180, Give::Shorten(120), 2),
    item(120, Give::Either(60), 3),
    item(120, Give::Drop, 4),
    item(120, Give::Shorten(60), 5),
];

#[test]
fn what_matters_least_gives_way_first_and_no_more_than_is_needed() {
    use Fate::{Dropped, Kept, Shortened};
    for (limit, fates, over) in [
        (750, [Kept, Kept, Kept, Kept, Kept, Kept], 0),
        (720, [Kept, Kept, Kept, Kept, Kept, Shortened(90)], 0),
        (690, [Kept, Kept, Kept, Kept, Kept, Shortened(60)], 0),
        // One second less, and the council member is dropped.
        (689, [Kept, Kept, Kept, Kept, Dropped, Shortened(60)], 0),
        (570, [Kept, Kept, Kept, Kept, Dropped, Shortened(60)], 0),
        (540, [Kept, Kept, Kept, Shortened(90), Dropped, Shortened(60)], 0),
        (510, [Kept, Kept, Kept, Shortened(60), Dropped, Shortened(60)], 0),
        (500, [Kept, Kept, Kept, Dropped, Dropped, Shortened(60)], 0),
        (400, [Kept, Kept, Shortened(130), Dropped, Dropped, Shortened(60)], 0),
        (390, [Kept, Kept, Shortened(120), Dropped, Dropped, Shortened(60)], 0),
        (300, [Kept, Kept, Shortened(120), Dropped, Dropped, Shortened(60)], 90),
        (0, [Kept, Kept, Shortened(120), Dropped, Dropped, Shortened(60)], 390),
    ] {
        let fitted = fit(&MORNING, limit);
        assert_eq!((fitted.fates.as_slice(), fitted.over), (fates.as_slice(), over), "{limit} s");
    }
}

#[test]
fn of_equals_the_later_one_gives_way() {
    let two = [item(60, Give::Drop, 3), item(60, Give::Drop, 3)];
    assert_eq!(fit(&two, 60).fates, [Fate::Kept, Fate::Dropped]);
}

/// Worked out by hand from the rates, rounded down.
#[test]
fn words_for_a_time() {
    for (seconds, at_130, at_120) in
        [(30, 65, 60), (60, 130, 120), (120, 260, 240), (180, 390, 360), (240, 520, 480), (290, 628, 580)]
    {
        assert_eq!((words(seconds, 130), words(seconds, 120)), (at_130, at_120), "{seconds} s");
    }
    assert_eq!(says(120), "2 min");
    assert_eq!(says(90), "1 min 30 s");
    assert_eq!(says(45), "45 s");
}

fn any_item() -> impl Strategy<Value = Item> {
    (0u32..400, 0u8..4, 0u32..400, 1u8..9).prop_map(|(seconds, give, least, priority)| {
        let give = match give {
            0 => Give::Fixed,
            1 => Give::Shorten(least),
            2 => Give::Drop,
            _ => Give::Either(least),
        };
        Item { seconds, give, priority }
    })
}

proptest! {
    #[test]
    fn what_is_fixed_stays_and_the_limit_holds_if_enough_can_go(
        items in proptest::collection::vec(any_item(), 0..12), limit in 0u32..2500,
    ) {
        let fitted = fit(&items, limit);
        let mut least = 0;
        let mut total = 0;
        for (item, fate) in items.iter().zip(&fitted.fates) {
            let seconds = fate.seconds(item);
            total += seconds;
            prop_assert!(seconds <= item.seconds);
            match item.give {
                Give::Fixed => prop_assert_eq!(*fate, Fate::Kept),
                Give::Shorten(to) => prop_assert!(seconds >= to.min(item.seconds) && *fate != Fate::Dropped),
                Give::Drop => prop_assert!(!matches!(fate, Fate::Shortened(_))),
                Give::Either(to) => prop_assert!(*fate == Fate::Dropped || seconds >= to.min(item.seconds)),
            }
            least += match item.give {
                Give::Fixed => item.seconds,
                Give::Shorten(to) => to.min(item.seconds),
                Give::Drop | Give::Either(_) => 0,
            };
        }
        prop_assert_eq!(total, fitted.total);
        prop_assert_eq!(fitted.over, total.saturating_sub(limit));
        if least <= limit {
            prop_assert_eq!(fitted.over, 0);
        } else {
            prop_assert_eq!(fitted.over, least - limit);
        }
    }

    #[test]
    fn less_time_never_gives_an_item_back_that_matters_less(
        items in proptest::collection::vec(any_item(), 0..12), limit in 0u32..2500,
    ) {
        let fates = fit(&items, limit).fates;
        for (one, a) in items.iter().zip(&fates) {
            for (other, b) in items.iter().zip(&fates) {
                // Something more important was dropped, so nothing less important that could go is whole.
                if *a == Fate::Dropped && one.priority < other.priority && other.seconds > 0 {
                    prop_assert!(*b != Fate::Kept || matches!(other.give, Give::Fixed | Give::Shorten(_)));
                }
            }
        }
    }
}
