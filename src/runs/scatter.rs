//! How far titrations of one sample scatter.
//!
//! In: results of single titrations, sample by sample. Out: [`Scatter`], pooled over the campaign.
//! This module never pools samples before their own mean is taken out.

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
        let mean = values.iter().sum::<f64>() / values.len() as f64;
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
