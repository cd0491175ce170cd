//! How well the rooms match, in sentences to say aloud.

use super::Kind;
use super::counts::{counted, grouped};
use super::grades::aspect;
use super::snapshot::{Orphan, Paired, RoomSnapshot};
use super::verdict::Placed;
use crate::calc::pairs::{Fairness, Grade};
use crate::web::words;

impl RoomSnapshot {
    /// Was it fair? In a sentence to say aloud.
    pub fn sentence(&self) -> String {
        let pairs: Vec<Paired> = self.pairs().filter(|pair| pair.a.details.kind == Kind::Furnishing).collect();
        let orphans: Vec<Orphan> =
            self.orphans().filter(|orphan| orphan.thing.details.kind == Kind::Furnishing).collect();
        sentence(self.fairness(Kind::Furnishing), &pairs, &orphans)
    }

    /// How well the building parts match, in a sentence.
    pub fn built(&self) -> String {
        let fair = self.fairness(Kind::Part);
        let unsaid = match self.uncounted() {
            0 => String::new(),
            some => format!(" {} no count yet.", words::count(some, "part has", "parts have")),
        };
        let match_says = match (fair.things(), fair.orphans(), fair.of(Grade::Alike)) {
            (0, ..) => return format!("No building parts are counted yet.{unsaid}"),
            (all, 0, 0) => format!("Both rooms are built the same: all {} parts are paired.", grouped(all)),
            (all, orphans, alike) => {
                let mut parts =
                    vec![format!("{} of {} building parts are paired", grouped(fair.paired()), grouped(all))];
                if alike > 0 {
                    parts.push(format!("{} only similar", counted(alike, "pair is", "pairs are")));
                }
                if orphans > 0 {
                    parts.push(format!("{} in one room only", counted(orphans, "part is", "parts are")));
                }
                format!("{}.", parts.join("; "))
            }
        };
        format!("{match_says}{unsaid}")
    }

    /// How many pairs of furnishings are on hand, and how many are in place.
    pub fn stands(&self) -> String {
        let Placed { pairs, here, in_place } = self.placed();
        let pairs = counted(pairs, "pair", "pairs");
        format!("Of {pairs}, {} on hand, {} of them in place.", counted(here, "is", "are"), grouped(in_place))
    }

    /// "5% of the larger size or 2.5 cm (1 in), whichever is more".
    pub fn tolerance(&self) -> String {
        format!("{}% of the larger size or {}, whichever is more", self.settings.percent, self.settings.length)
    }
}

fn sentence(fair: Fairness, pairs: &[Paired], orphans: &[Orphan]) -> String {
    let (things, paired) = (fair.things(), fair.paired());
    if things == 0 {
        return "Both rooms are empty.".to_owned();
    }
    let count = match (paired, things) {
        (2, 2) => "Both items are paired".to_owned(),
        (paired, things) if paired == things => format!("All {} items are paired", grouped(things)),
        (paired, things) => format!("{} of {} items are paired", grouped(paired), grouped(things)),
    };
    let all: u32 = fair.pairs.iter().sum();
    let by_grade: Vec<String> = Grade::ALL
        .into_iter()
        .filter(|wanted| fair.of(*wanted) > 0)
        .map(|wanted| {
            let number = fair.of(wanted);
            let number = if number == all { "all".to_owned() } else { grouped(number) };
            match wanted {
                Grade::Model => format!("{number} of the same model"),
                Grade::TypeAndMaterial => format!("{number} of the same type and material"),
                Grade::Alike => format!("{number} only similar"),
            }
        })
        .collect();
    let grades = match (all, by_grade.as_slice()) {
        (0, _) => String::new(),
        (1, [only]) => format!(": one pair, {}", only.trim_start_matches("all ")),
        (_, [only]) => format!(": {} pairs, {only}", grouped(all)),
        (_, _) => format!(": {} pairs, {}", grouped(all), by_grade.join(", ")),
    };
    format!("{count}{grades}. {}", worst(fair, pairs, orphans))
}

/// What a critic would point at first.
fn worst(fair: Fairness, pairs: &[Paired], orphans: &[Orphan]) -> String {
    if let Some(first) = orphans.first() {
        let details = &first.thing.details;
        let others = fair.orphans() - first.quantity;
        let others = match others {
            0 => String::new(),
            more => format!(" {} in one room only.", counted(more, "other item is", "other items are")),
        };
        let what = match first.quantity {
            1 => format!("the {}", details.what),
            many => format!("{many} × {}", details.what),
        };
        let (has, lacks) = (details.room, words::capital(details.room.other().as_str()));
        return format!("{lacks} has nothing like {what} in {has}.{others}");
    }
    match pairs.first() {
        Some(pair) if pair.differs.is_empty() => "There is no known difference.".to_owned(),
        Some(pair) => {
            let differs: Vec<&str> = pair.differs.iter().map(|differs| aspect(*differs)).collect();
            format!("The biggest difference: the {}, in {}.", pair.a.details.what, words::and(&differs))
        }
        None => String::new(),
    }
}
