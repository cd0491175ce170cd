//! Distances and water of one estimate, for its page and its sheet.

use super::distances::{Exposure, Rule, exposures, others, public, with_wind};
use super::glow::Glow;
use super::water::{WaterLine, hose, sprinkler};
use crate::events::Event;
use crate::fire::snapshot::{Chosen, Estimate};

/// Distances and water of one setup.
pub(in crate::fire) struct HeatView {
    pub name: String,
    /// The public's distance, and the rule that decides it.
    pub line: String,
    pub why: String,
    pub public: Vec<Rule>,
    pub wind: String,
    pub others: Vec<Rule>,
    pub exposures: Vec<Exposure>,
    pub sprinkler: Vec<WaterLine>,
    pub hose: Vec<WaterLine>,
    /// What is short or missing.
    pub short: Vec<String>,
}

impl HeatView {
    pub fn of(chosen: &Chosen, Estimate { read, bands }: &Estimate, event: &Event) -> Self {
        let glow = Glow::of(read, bands, event.details.format);
        let public = public(read, &glow);
        let deciding = public.iter().find(|rule| rule.decides);
        let (sprinkler, hose) = (sprinkler(read), hose(read));
        Self {
            name: chosen.setup.name.clone(),
            line: deciding.map(|rule| rule.says.clone()).unwrap_or_default(),
            why: deciding.map(|rule| rule.what.clone()).unwrap_or_default(),
            wind: with_wind(&glow, read.heat.flux, &public),
            others: others(&glow),
            exposures: exposures(&glow),
            short: sprinkler
                .iter()
                .chain(&hose)
                .filter(|line| !line.short.is_empty())
                .map(|line| format!("{}: {}", line.what, line.short))
                .collect(),
            public,
            sprinkler,
            hose,
        }
    }
}
