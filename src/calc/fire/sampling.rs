//! Drawing inputs from ranges, and summing up what comes of them. The same seed draws the
//! same numbers on every machine.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{Rng, SeedableRng};
use std::cmp::Ordering;

/// From a lowest to a highest value, all equally likely.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// The lowest.
    pub low: f64,
    /// The highest.
    pub high: f64,
}

impl Range {
    /// From one value to another.
    #[must_use]
    pub const fn new(low: f64, high: f64) -> Self {
        Self { low, high }
    }

    /// One value only.
    #[must_use]
    pub const fn exactly(value: f64) -> Self {
        Self { low: value, high: value }
    }

    /// Is it one value?
    #[must_use]
    pub fn is_exact(self) -> bool {
        self.low >= self.high
    }

    /// The value at this part of the way, from 0 to 1.
    #[must_use]
    pub fn at(self, part: f64) -> f64 {
        self.low + (self.high - self.low) * part
    }

    /// The value in the middle.
    #[must_use]
    pub fn middle(self) -> f64 {
        self.at(0.5)
    }
}

/// A Latin hypercube: `count` rows of `factors` values between 0 and 1, so that each factor
/// has one value in each `count`-th part of its range. McKay, Beckman and Conover,
/// Technometrics 21 (1979) 239.
#[must_use]
pub fn latin_hypercube(count: usize, factors: usize, seed: u64) -> Vec<Vec<f64>> {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(seed);
    let mut rows = vec![Vec::with_capacity(factors); count];
    let mut order: Vec<usize> = (0..count).collect();
    for _ in 0..factors {
        for last in (1..count).rev() {
            order.swap(last, below(&mut random, last + 1));
        }
        for (row, part) in rows.iter_mut().zip(&order) {
            row.push((*part as f64 + unit(&mut random)) / count as f64);
        }
    }
    rows
}

/// From 0 up to, but not including, 1.
fn unit(random: &mut impl Rng) -> f64 {
    (random.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
}

/// A whole number below a bound.
fn below(random: &mut impl Rng, bound: usize) -> usize {
    ((u128::from(random.next_u64()) * bound as u128) >> 64) as usize
}

/// The value of a standard normal variable that is exceeded by 1 − `part` of all.
/// Wichura's algorithm AS 241, Applied Statistics 37 (1988) 477.
#[must_use]
pub fn normal(part: f64) -> f64 {
    const NEAR: ([f64; 8], [f64; 8]) = (
        [
            3.387_132_872_796_366_5,
            133.141_667_891_784_38,
            1_971.590_950_306_551_3,
            13_731.693_765_509_46,
            45_921.953_931_549_87,
            67_265.770_927_008_7,
            33_430.575_583_588_13,
            2_509.080_928_730_122_7,
        ],
        [
            1.0,
            42.313_330_701_600_91,
            687.187_007_492_057_9,
            5_394.196_021_424_751,
            21_213.794_301_586_597,
            39_307.895_800_092_71,
            28_729.085_735_721_943,
            5_226.495_278_852_854,
        ],
    );
    const FAR: ([f64; 8], [f64; 8]) = (
        [
            1.423_437_110_749_683_5,
            4.630_337_846_156_546,
            5.769_497_221_460_691,
            3.647_848_324_763_204_5,
            1.270_458_252_452_368_4,
            0.241_780_725_177_450_6,
            0.022_723_844_989_269_184,
            7.745_450_142_783_414e-4,
        ],
        [
            1.0,
            2.053_191_626_637_759,
            1.676_384_830_183_803_8,
            0.689_767_334_985_1,
            0.148_103_976_427_480_08,
            0.015_198_666_563_616_457,
            5.475_938_084_995_345e-4,
            1.050_750_071_644_416_9e-9,
        ],
    );
    const FARTHEST: ([f64; 8], [f64; 8]) = (
        [
            6.657_904_643_501_103,
            5.463_784_911_164_114,
            1.784_826_539_917_291_3,
            0.296_560_571_828_504_87,
            0.026_532_189_526_576_124,
            0.001_242_660_947_388_078_4,
            2.711_555_568_743_487_6e-5,
            2.010_334_399_292_288_1e-7,
        ],
        [
            1.0,
            0.599_832_206_555_888,
            0.136_929_880_922_735_8,
            0.014_875_361_290_850_615,
            7.868_691_311_456_133e-4,
            1.846_318_317_510_054_7e-5,
            1.421_511_758_316_446e-7,
            2.044_263_103_389_939_8e-15,
        ],
    );
    let ratio = |(over, under): &([f64; 8], [f64; 8]), at: f64| {
        let sum = |factors: &[f64; 8]| factors.iter().rev().fold(0.0, |sum, factor| sum * at + factor);
        sum(over) / sum(under)
    };
    let off = part - 0.5;
    if off.abs() <= 0.425 {
        return off * ratio(&NEAR, 0.180_625 - off * off);
    }
    let tail = (-part.min(1.0 - part).ln()).sqrt();
    let value = if tail <= 5.0 { ratio(&FAR, tail - 1.6) } else { ratio(&FARTHEST, tail - 5.0) };
    value.copysign(off)
}

/// Values in order; what never happened is infinite and comes last.
pub fn sort(values: &mut [f64]) {
    values.sort_unstable_by(f64::total_cmp);
}

/// The value below which this part of sorted values lies, between two neighbors in
/// proportion. None if it never happened there.
#[must_use]
pub fn quantile(sorted: &[f64], part: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let place = part * last as f64;
    let (below, rest) = (place.floor() as usize, place.fract());
    let (low, high) = (sorted[below], sorted[(below + 1).min(last)]);
    let value = if rest > 0.0 { low + (high - low) * rest } else { low };
    value.is_finite().then_some(value)
}

/// Spearman's rank correlation, from −1 to 1. Equal values share their rank; 0 if one side
/// never changes.
#[must_use]
pub fn rank_correlation(one: &[f64], other: &[f64]) -> f64 {
    let (one, other) = (ranks(one), ranks(other));
    let mean = |ranks: &[f64]| ranks.iter().sum::<f64>() / ranks.len() as f64;
    let (mean_one, mean_other) = (mean(&one), mean(&other));
    let pairs = one.iter().zip(&other).map(|(one, other)| (one - mean_one, other - mean_other));
    let (mut both, mut only_one, mut only_other) = (0.0, 0.0, 0.0);
    for (one, other) in pairs {
        both += one * other;
        only_one += one * one;
        only_other += other * other;
    }
    let spread = (only_one * only_other).sqrt();
    if spread > 0.0 { both / spread } else { 0.0 }
}

fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_unstable_by(|one, other| values[*one].total_cmp(&values[*other]));
    let (mut ranks, mut before) = (vec![0.0; values.len()], 0);
    for group in order.chunk_by(|one, other| values[*one].total_cmp(&values[*other]) == Ordering::Equal) {
        for index in group {
            ranks[*index] = f64::midpoint(before as f64, (before + group.len() - 1) as f64);
        }
        before += group.len();
    }
    ranks
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The generator's first numbers for seed 42, as its crate gives them on any machine.
    #[test]
    fn a_seed_gives_the_same_numbers_everywhere() {
        let mut random = Xoshiro256PlusPlus::seed_from_u64(42);
        assert_eq!((random.next_u64(), random.next_u64()), (0xd076_4d4f_4476_689f, 0x519e_4174_576f_3791));
        assert_eq!(latin_hypercube(7, 3, 9), latin_hypercube(7, 3, 9));
        assert_ne!(latin_hypercube(7, 3, 9), latin_hypercube(7, 3, 10));
    }

    #[test]
    fn every_part_of_a_range_is_drawn_once() {
        let rows = latin_hypercube(50, 4, 1);
        for factor in 0..4 {
            let mut parts: Vec<usize> = rows.iter().map(|row| (row[factor] * 50.0) as usize).collect();
            parts.sort_unstable();
            assert_eq!(parts, (0..50).collect::<Vec<_>>());
        }
    }

    /// Spearman's coefficient as in Kendall and Stuart's worked form 1 − 6Σd²/(n(n²−1)).
    #[test]
    fn ranks_correlate() {
        let one = [106.0, 100.0, 86.0, 101.0, 99.0, 103.0, 97.0, 113.0, 112.0, 110.0];
        let other = [7.0, 27.0, 2.0, 50.0, 28.0, 29.0, 20.0, 12.0, 6.0, 17.0];
        assert!((rank_correlation(&one, &other) - (1.0 - 6.0 * 194.0 / 990.0)).abs() < 1e-12);
        assert!((rank_correlation(&one, &one) - 1.0).abs() < 1e-12);
        assert!(rank_correlation(&one, &[4.0; 10]).abs() < 1e-12);
        assert_eq!(ranks(&[3.0, f64::INFINITY, 3.0, 1.0, f64::INFINITY]), [1.5, 3.5, 1.5, 0.0, 3.5]);
    }

    #[test]
    fn what_never_happens_has_no_quantile() {
        let sorted = [1.0, 2.0, 3.0, 4.0, f64::INFINITY];
        assert_eq!(quantile(&sorted, 0.5), Some(3.0));
        assert_eq!(quantile(&sorted, 0.75), Some(4.0));
        assert_eq!(quantile(&sorted, 0.8), None);
        assert_eq!(quantile(&[], 0.5), None);
        assert_eq!(quantile(&[1.0, 2.0], 0.25), Some(1.25));
    }
}
