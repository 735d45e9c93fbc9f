//! What most of some figures are like.
//!
//! In: figures. Out: [`Usual`]: their middle, their robust spread, and where most of them lie.
//! This module never looks at where a figure comes from.

use crate::distributions::middle;

/// What turns the middle distance from the middle into a standard deviation, for normal scatter.
/// Source: ISO 13528:2015, annex C.2.1 (scaled median absolute deviation).
const SCALED_MIDDLE_DISTANCE: f64 = 1.483;

/// Middle and robust standard deviation of some figures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Usual {
    pub middle: f64,
    pub spread: f64,
    pub count: usize,
    /// Where most of them lie: all, but for a tenth at each end of ten or more.
    pub most: [f64; 2],
}

impl Usual {
    /// `s = 1.483·median |xᵢ − median x|`; `None` for fewer figures than asked for.
    ///
    /// # Source
    /// ISO 13528:2015, annex C.2.1.
    pub fn of(mut values: Vec<f64>, fewest: usize) -> Option<Usual> {
        if values.len() < fewest.max(1) {
            return None;
        }
        values.sort_by(f64::total_cmp);
        let count = values.len();
        let most = [values[count / 10], values[count - 1 - count / 10]];
        let usual = middle(values.clone())?;
        let distances = values.iter().map(|value| (value - usual).abs()).collect();
        Some(Usual {
            middle: usual,
            spread: SCALED_MIDDLE_DISTANCE * middle(distances)?,
            count,
            most,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_spread_of_normal_scatter_is_its_standard_deviation() {
        // Quartiles of the standard normal distribution lie at ±0.6745.
        let usual = Usual::of(vec![-2.0, -0.6745, 0.0, 0.6745, 2.0], 5).unwrap();
        assert_eq!(usual.middle, 0.0);
        assert!((usual.spread - 1.0).abs() < 0.001);
    }

    #[test]
    fn a_handful_of_runs_has_no_usual() {
        assert!(Usual::of(vec![1.0; 4], 5).is_none());
    }
}
