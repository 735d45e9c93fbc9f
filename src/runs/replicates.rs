//! Replicate titrations of one sample: how far they scatter, and which lie further apart than chance allows.
//!
//! In: results of single titrations, sample by sample. Out: [`Scatter`], pooled over the campaign, and [`Discordance`]s.
//! This module never pools samples before their own mean is taken out, and never drops a titre.

use crate::caveat::{Discordance, PairAgainst};
use crate::distributions::{grubbs_critical, mean};

/// Relative scatter of one titration, pooled over all samples with replicates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// Relative standard deviation of one titration.
    pub relative: f64,
    /// Its degrees of freedom: replicates less samples.
    pub degrees_of_freedom: f64,
}

/// With fewer degrees of freedom a pooled scatter is mostly that of the one or two samples that it would judge.
const FEW: f64 = 5.0;

impl Scatter {
    /// Whether it rests on too few replicates to judge one of them by.
    pub(super) fn says_little(self) -> bool {
        self.degrees_of_freedom < FEW
    }
}

/// Pools the scatter of replicates, each relative to the mean of its sample; `None` without any replicate.
///
/// `s² = Σᵢ Σⱼ (xᵢⱼ/x̄ᵢ − 1)² / Σᵢ (nᵢ − 1)`
///
/// # Source
/// JCGM 100:2008, 4.2.4 and H.3.6 (pooled estimate of variance); ISO 5725-2:1994, 7.4.
pub(super) fn pooled<'s>(samples: impl Iterator<Item = &'s [f64]>) -> Option<Scatter> {
    let mut square = 0.0;
    let mut degrees = 0.0;
    for values in samples.filter(|values| values.len() > 1) {
        let mean = mean(values);
        if mean <= 0.0 {
            continue;
        }
        square += values.iter().map(|v| (v / mean - 1.0).powi(2)).sum::<f64>();
        degrees += values.len() as f64 - 1.0;
    }
    (degrees > 0.0).then(|| Scatter {
        relative: (square / degrees).sqrt(),
        degrees_of_freedom: degrees,
    })
}

/// Critical difference of two titrations in standard deviations of one, 95 %: 1.96·√2, rounded.
/// Source: ISO 5725-6:1994, 4.1.4.
const CRITICAL_DIFFERENCE: f64 = 2.8;

/// Level of the test for a titre that does not belong with the others.
const OUTLIER_LEVEL: f64 = 0.05;

/// Finds replicates further apart than chance allows: two against the pooled scatter, three or more by Grubbs' test.
///
/// `stated` is the standard uncertainty of one titration by what is stated, where the scatter says too little: one of
/// few degrees of freedom comes from the very pairs that it would judge.
///
/// # Source
/// ISO 5725-6:1994, 5.2.2 (critical difference 2.8 standard deviations); ISO 5725-2:1994, 7.3.4 (Grubbs).
pub(super) fn discordant(
    single: &[f64],
    scatter: Option<Scatter>,
    stated: Option<f64>,
) -> Option<Discordance> {
    let mean = mean(single);
    match single {
        [] | [_] => None,
        [first, second] => {
            let apart = (first - second).abs();
            let (deviation, against) = match (stated, scatter) {
                (Some(stated), _) => (stated, PairAgainst::StatedUncertainty),
                (None, Some(scatter)) => (scatter.relative * mean, PairAgainst::Scatter),
                (None, None) => return None,
            };
            let allowed = CRITICAL_DIFFERENCE * deviation;
            (apart > allowed).then_some(Discordance::Pair {
                apart,
                allowed,
                against,
            })
        }
        several => {
            let count = several.len();
            let square: f64 = several.iter().map(|x| (x - mean).powi(2)).sum();
            let deviation = (square / (count as f64 - 1.0)).sqrt();
            let off = |titre: &f64| (titre - mean).abs();
            let odd = *several.iter().max_by(|a, b| off(a).total_cmp(&off(b)))?;
            let distance = off(&odd) / deviation;
            let allowed = grubbs_critical(count, OUTLIER_LEVEL)?;
            let is_odd = deviation > 0.0 && distance > allowed;
            is_odd.then_some(Discordance::Odd {
                count,
                odd,
                distance,
                allowed,
            })
        }
    }
}

/// How many of so many samples with replicates look discordant by luck.
pub(super) fn by_luck(samples: usize) -> f64 {
    OUTLIER_LEVEL * samples as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn duplicates_give_half_their_squared_difference() {
        // Two pairs, 0.99/1.01 and 1.98/2.02: each pair has a relative variance of 0.0002.
        let samples: [&[f64]; 3] = [&[0.99, 1.01], &[1.98, 2.02], &[5.0]];
        let scatter = pooled(samples.into_iter()).unwrap();
        assert!((scatter.relative.powi(2) - 0.0002).abs() < 1e-15);
        assert_eq!(scatter.degrees_of_freedom, 2.0);
    }

    #[test]
    fn single_titrations_have_no_scatter() {
        let samples: [&[f64]; 2] = [&[1.0], &[2.0]];
        assert_eq!(pooled(samples.into_iter()), None);
    }
}
