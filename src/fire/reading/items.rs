//! The items that burn, read.

use crate::calc::fire::growth::{Growth, Item, Shape};
use crate::calc::fire::sampling::Range;
use crate::fire::choices::Fuel;
use crate::fire::setup::{ITEM_FIELDS, Setup};
use crate::fire::typed::numbers;
use crate::web::form::Mistakes;

impl Setup {
    /// The items, in the order in which they catch. Rows without a type are empty.
    pub(super) fn read_items(&self, said: &mut Mistakes) -> Option<Vec<(Fuel, Item)>> {
        let (mut items, mut is_whole) = (Vec::new(), true);
        for (place, [kind_name, delay_name, peak_name, rise_name]) in ITEM_FIELDS.into_iter().enumerate() {
            let [kind, delay, peak, rise] = self.item(place);
            if kind.is_empty() {
                continue;
            }
            let fuel = said.note(kind_name, kind.parse::<Fuel>());
            let delay = said.note(delay_name, numbers(delay, 0.0, 300.0));
            let peak = said.note(peak_name, numbers(peak, 5.0, 10_000.0));
            let rise = said.note(rise_name, numbers(rise, 5.0, 1_200.0));
            match (fuel, delay, peak, rise) {
                (Some(fuel), Some(delay), Some(peak), Some(rise)) => {
                    items.push((fuel, Item { delay, shape: shape(fuel, peak, rise) }));
                }
                _ => is_whole = false,
            }
        }
        if items.is_empty() && is_whole {
            said.add(ITEM_FIELDS[0][0], "Choose at least one item that burns.");
            return None;
        }
        is_whole.then_some(items)
    }
}

/// How an item with these numbers burns; the rest is usual for its type.
fn shape(fuel: Fuel, peak: Range, rise: Range) -> Shape<Range> {
    match fuel.preset().item().shape {
        Shape::Steady { hold, decay, .. } => Shape::Steady { peak, rise, hold, decay },
        Shape::Flash { decay, .. } => Shape::Flash { peak, rise, decay },
        Shape::Squared { .. } => {
            let alpha = |time: f64| Growth::Fast.alpha() * (Growth::Fast.time() / time).powi(2);
            Shape::Squared { peak, alpha: Range::new(alpha(rise.high), alpha(rise.low)) }
        }
    }
}
