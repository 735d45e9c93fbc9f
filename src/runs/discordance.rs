//! Which replicate titrations lie further apart than chance allows?
//!
//! In: what single titrations of one sample found, and how far titrations scatter. Out: [`Caveat`]s.
//! This module never drops a titre.

use super::scatter::Scatter;
use super::titration::SampleKey;
use crate::caveat::{About, Caveat};
use crate::distributions::grubbs_critical;
use crate::intake::TitreOf;

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

/// Names replicates further apart than chance allows: two against the pooled scatter, three or more by Grubbs' test.
///
/// A scatter of few degrees of freedom comes from the very pairs that it would judge, so the stated uncertainty
/// stands for it where there is one.
///
/// # Source
/// ISO 5725-6:1994, 5.2.2 (critical difference 2.8 standard deviations); ISO 5725-2:1994, 7.3.4 (Grubbs).
pub(super) fn discordant(key: &SampleKey, single: &[f64], evidence: Evidence) -> Option<Caveat> {
    let sample = match key.of {
        TitreOf::Crop(crop) => format!("crop {crop}"),
        TitreOf::Residue => "the residue".into(),
        TitreOf::Feed => "the feed".into(),
    };
    let mean = single.iter().sum::<f64>() / single.len() as f64;
    let seen = match single {
        [] | [_] => return None,
        [first, second] => {
            let apart = (first - second).abs();
            let (deviation, what) = match (evidence.stated, evidence.scatter) {
                (Some(stated), _) => (stated, "stated uncertainty"),
                (None, Some(scatter)) => (scatter.relative * mean, "scatter"),
                (None, None) => return None,
            };
            let allowed = CRITICAL_DIFFERENCE * deviation;
            if apart <= allowed {
                return None;
            }
            format!(
                "2 titres of {sample} of run {} lie {:.2} points apart, more than the {:.2} points that their {what} allows",
                key.run,
                100.0 * apart,
                100.0 * allowed
            )
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
            format!(
                "one of {count} titres of {sample} of run {}, {:.2} %, lies {distance:.2} standard deviations from their mean, more than the {allowed:.2} that Grubbs' test allows",
                key.run,
                100.0 * odd
            )
        }
    };
    Some(Caveat {
        kind: "discordant titres",
        about: About::Run(key.run.clone()),
        seen,
        advice: String::new(),
    })
}

/// What to do about discordant titres, of which some must look so by luck among many samples.
pub(super) fn advice(samples: usize) -> String {
    format!(
        "titrate once more; all titres were kept, and of {samples} samples with replicates about {:.0} look so by luck",
        OUTLIER_LEVEL * samples as f64
    )
}
