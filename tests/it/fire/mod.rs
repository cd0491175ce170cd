//! The fire: the model against measured rooms, against CFAST, and against itself; bands; pages.

#![expect(clippy::cast_precision_loss, reason = "there are a few dozen cases")]

mod bands;
mod cfast;
mod correlations;
mod measured;
mod pages;
mod properties;

use burnday::calc::fire::zone::Moment;

/// The moment at a time, or the last one.
fn at(moments: &[Moment], time: f64) -> &Moment {
    &moments[moments.partition_point(|moment| moment.time < time).min(moments.len() - 1)]
}

fn mean(ratios: &[(String, f64)]) -> f64 {
    ratios.iter().map(|(_, ratio)| ratio).sum::<f64>() / ratios.len() as f64
}

fn deviation(ratios: &[(String, f64)]) -> f64 {
    let mean = mean(ratios);
    (ratios.iter().map(|(_, ratio)| (ratio - mean).powi(2)).sum::<f64>() / (ratios.len() - 1) as f64).sqrt()
}
