//! Which replicate titrations lie further apart than chance allows?
//!
//! In: what single titrations of one sample found, and how far titrations scatter. Out: [`Discordance`]s.
//! This module never drops a titre.

use super::scatter::Scatter;
use crate::caveat::{Discordance, PairAgainst};
use crate::distributions::grubbs_critical;

/// Critical difference of two titrations in standard deviations of one, 95 %: 1.96·√2, rounded.
/// Source: ISO 5725-6:1994, 4.1.4.
const CRITICAL_DIFFERENCE: f64 = 2.8;

/// Level of the test for a titre that does not belong with the others.
const OUTLIER_LEVEL: f64 = 0.05;

/// What a pair is compared with.
#[derive(Debug, Clone, Copy)]
pub(super) struct Evidence {
    /// Pooled scatter of replicates.
    pub scatter: Option<Scatter>,
    /// Standard uncertainty of one titration by what is stated, where the scatter says too little.
    pub stated: Option<f64>,
}

/// Finds replicates further apart than chance allows: two against the pooled scatter, three or more by Grubbs' test.
///
/// A scatter of few degrees of freedom comes from the very pairs that it would judge, so the stated uncertainty
/// stands for it where there is one.
///
/// # Source
/// ISO 5725-6:1994, 5.2.2 (critical difference 2.8 standard deviations); ISO 5725-2:1994, 7.3.4 (Grubbs).
pub(super) fn discordant(single: &[f64], evidence: Evidence) -> Option<Discordance> {
    let mean = single.iter().sum::<f64>() / single.len() as f64;
    match single {
        [] | [_] => None,
        [first, second] => {
            let apart = (first - second).abs();
            let (deviation, against) = match (evidence.stated, evidence.scatter) {
                (Some(stated), _) => (stated, PairAgainst::StatedUncertainty),
                (None, Some(scatter)) => (scatter.relative * mean, PairAgainst::Scatter),
                (None, None) => return None,
            };
            let allowed = CRITICAL_DIFFERENCE * deviation;
            if apart <= allowed {
                return None;
            }
            Some(Discordance::Pair {
                apart,
                allowed,
                against,
            })
        }
        several => {
            let count = several.len();
            let square: f64 = several.iter().map(|x| (x - mean).powi(2)).sum();
            let deviation = (square / (count as f64 - 1.0)).sqrt();
            let odd = several
                .iter()
                .copied()
                .max_by(|a, b| (a - mean).abs().total_cmp(&(b - mean).abs()))?;
            let distance = (odd - mean).abs() / deviation;
            let allowed = grubbs_critical(count, OUTLIER_LEVEL)?;
            if deviation <= 0.0 || distance <= allowed {
                return None;
            }
            Some(Discordance::Odd {
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
