//! What most of some figures are like.
//!
//! In: figures. Out: [`Usual`]: their middle, their robust spread, and where most of them lie.
//! This module never looks at where a figure comes from.

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
    pub fn of(values: Vec<f64>, fewest: usize) -> Option<Usual> {
        Ordered::of(values).usual(None, fewest)
    }
}

/// Figures in their order, of which any one may be left out.
pub(super) struct Ordered(Vec<f64>);

impl Ordered {
    pub fn of(mut values: Vec<f64>) -> Self {
        values.sort_by(f64::total_cmp);
        Self(values)
    }

    /// What the figures are like without one of them, as [`Usual::of`] has it.
    pub fn usual(&self, without: Option<f64>, fewest: usize) -> Option<Usual> {
        let place = without.map(|value| self.0.partition_point(|other| *other < value));
        let count = self.0.len() - usize::from(place.is_some());
        if count < fewest.max(1) {
            return None;
        }
        let value = |at: usize| self.0[at + usize::from(place.is_some_and(|place| at >= place))];
        let middle = |nth: &dyn Fn(usize) -> f64| match count % 2 {
            1 => nth(count / 2),
            _ => (nth(count / 2 - 1) + nth(count / 2)) / 2.0,
        };
        let usual = middle(&value);
        // The `nth` smallest distances and those below it are those of neighbours in the order.
        let distance = |nth: usize| {
            let (mut first, mut last) = (0, count - 1 - nth);
            while first < last {
                let half = (first + last) / 2;
                match usual - value(half) > value(half + nth + 1) - usual {
                    true => first = half + 1,
                    false => last = half,
                }
            }
            (usual - value(first))
                .abs()
                .max((value(first + nth) - usual).abs())
        };
        Some(Usual {
            middle: usual,
            spread: SCALED_MIDDLE_DISTANCE * middle(&distance),
            count,
            most: [value(count / 10), value(count - 1 - count / 10)],
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
    fn without_one_is_as_if_it_had_never_been_there() {
        // Figures from a small generator, some of them alike; the middle of the distances by sorting all of them.
        let figures: Vec<f64> = (0..41)
            .map(|at| ((at * at * 7) % 23) as f64 / 3.0)
            .collect();
        let all = Ordered::of(figures.clone());
        for (place, own) in figures.iter().enumerate() {
            let mut others = figures.clone();
            others.remove(place);
            let found = all.usual(Some(*own), 5).unwrap();
            let middle = crate::distributions::middle(others.clone()).unwrap();
            let distances = others.iter().map(|value| (value - middle).abs()).collect();
            let spread = SCALED_MIDDLE_DISTANCE * crate::distributions::middle(distances).unwrap();
            assert_eq!(
                (found.middle, found.spread, found.count),
                (middle, spread, 40)
            );
        }
    }

    #[test]
    fn a_handful_of_runs_has_no_usual() {
        assert!(Usual::of(vec![1.0; 4], 5).is_none());
    }
}
