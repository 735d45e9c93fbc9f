//! Joint draws and combinations of measured numbers that share sources.
//!
//! In: measured numbers that may share sources. Out: seeded draws of all of them together.
//! This module never draws source by source: numbers that rest on hundreds of sources are drawn from their covariance.
//!
//! # Source
//! JCGM 101:2008, 6.4.8 (multivariate normal, by a Cholesky factor); JCGM 100:2008, annex G.4.1 (the combination is t with
//! the effective degrees of freedom).

use std::collections::BTreeMap;

use super::{Measured, SourceId, Sources};
use crate::distributions::coverage_factor;
use crate::seeded::Seeded;

/// A direction whose variance is so small a share of the number's own is rounding of the others.
const NO_DIRECTION: f64 = 1e-12;

/// Several numbers with what they share, ready to be drawn and combined.
#[derive(Debug, Clone)]
pub struct Together {
    values: Vec<f64>,
    groups: Vec<Group>,
}

/// The errors that come from one estimate of a variance, or from no estimate at all.
#[derive(Debug, Clone)]
struct Group {
    /// Positions of the numbers that they reach.
    reached: Vec<usize>,
    /// Covariance of these, row by row.
    covariance: Vec<Vec<f64>>,
    /// Degrees of freedom of the estimate; infinite for what was stated.
    degrees_of_freedom: f64,
}

/// How uncertain a combination is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Standard uncertainty, in the unit of the combination.
    pub uncertainty: f64,
    /// Effective degrees of freedom; infinite when every source was stated.
    pub degrees_of_freedom: f64,
}

impl Spread {
    /// Half the width of the interval that covers the true value with that confidence, in the unit of the combination:
    /// `U = t(ν)·u`, at least one degree of freedom counted; not a number unless the confidence lies between 0 and 1.
    ///
    /// # Source
    /// JCGM 100:2008, annex G.6.4, without rounding the degrees of freedom down.
    pub fn expanded(&self, confidence: f64) -> f64 {
        let degrees = self.degrees_of_freedom.max(1.0);
        coverage_factor(confidence, degrees).unwrap_or(f64::NAN) * self.uncertainty
    }
}

impl Together {
    /// Works out what the numbers share: for each estimate of a variance the covariance of the errors that come from it.
    ///
    /// `C(j, k) = Σ cᵢ(j)·cᵢ(k)`, over the sources `i` of one estimate; all that were stated make one group.
    pub fn of(values: &[Measured], sources: &Sources) -> Self {
        Self {
            values: values.iter().map(Measured::value).collect(),
            groups: groups(values, sources),
        }
    }

    /// How uncertain a combination of the numbers is, given its change per change of each: `u² = gᵀ C g`.
    ///
    /// # Source
    /// JCGM 100:2008, 5.2.2 and annex G.4.1, equation G.2b, one term for each estimate.
    pub fn spread(&self, gradient: &[f64]) -> Spread {
        let mut variance = 0.0;
        let mut below = 0.0;
        for group in &self.groups {
            let slopes = || group.reached.iter().map(|position| gradient[*position]);
            let part: f64 = group
                .covariance
                .iter()
                .zip(slopes())
                .map(|(row, g)| g * row.iter().zip(slopes()).map(|(c, h)| c * h).sum::<f64>())
                .sum();
            variance += part;
            below += part * part / group.degrees_of_freedom;
        }
        Spread {
            uncertainty: variance.max(0.0).sqrt(),
            degrees_of_freedom: if below > 0.0 {
                variance * variance / below
            } else {
                f64::INFINITY
            },
        }
    }

    /// Draws of all numbers together, what they share kept.
    ///
    /// All errors of a draw are stretched alike, which makes a combination with these effective degrees of freedom t. The
    /// errors of single estimates are not made t one by one: a small one that hardly anything is known of would have tails
    /// that drown the rest.
    ///
    /// # Units and shapes
    /// Degrees of freedom as [`Self::spread`] gives them for the combination that is asked for; infinite for normal errors.
    /// One list a draw, with one number for each of the values, in its unit.
    /// # Assumes
    /// Each number rests on so many or such sources that its error is normal but for estimated variances.
    pub fn draws(
        &self,
        count: usize,
        degrees_of_freedom: f64,
        random: &mut Seeded,
    ) -> Vec<Vec<f64>> {
        let roots: Vec<Vec<Vec<f64>>> = self
            .groups
            .iter()
            .map(|group| lower_root(&group.covariance))
            .collect();
        let mut normal = vec![0.0; self.values.len()];
        (0..count)
            .map(|_| {
                let mut drawn = self.values.clone();
                let stretch = random
                    .chi_squared(degrees_of_freedom)
                    .map_or(1.0, |squares| (degrees_of_freedom / squares).sqrt());
                for (group, root) in self.groups.iter().zip(&roots) {
                    for value in &mut normal[..root.len()] {
                        *value = stretch * random.normal();
                    }
                    for (row, position) in root.iter().zip(&group.reached) {
                        let errors = row.iter().zip(&normal);
                        drawn[*position] += errors.map(|(r, n)| r * n).sum::<f64>();
                    }
                }
                drawn
            })
            .collect()
    }
}

fn groups(values: &[Measured], sources: &Sources) -> Vec<Group> {
    /// For each value that a group reaches its position, and what comes from the sources of the group.
    type Reached = Vec<(usize, Measured)>;
    let mut by_estimate: BTreeMap<Option<SourceId>, (f64, Reached)> = BTreeMap::new();
    for (position, value) in values.iter().enumerate() {
        let mut stated = Vec::new();
        for (source, part) in value.parts() {
            let (estimate, degrees) = estimate_of(*source, sources);
            if estimate.is_none() {
                stated.push((*source, *part));
                continue;
            }
            let (_, reached) = by_estimate.entry(estimate).or_insert((degrees, Vec::new()));
            if reached.last().is_none_or(|(last, _)| *last != position) {
                reached.push((position, Measured::default()));
            }
            if let Some((_, of_value)) = reached.last_mut() {
                of_value.parts.push((*source, *part));
            }
        }
        if !stated.is_empty() {
            let (_, reached) = by_estimate
                .entry(None)
                .or_insert((f64::INFINITY, Vec::new()));
            let of_value = Measured {
                parts: stated,
                ..Measured::default()
            };
            reached.push((position, of_value));
        }
    }
    let group = |(degrees_of_freedom, reached): (f64, Reached)| {
        let (reached, errors): (Vec<usize>, Vec<Measured>) = reached.into_iter().unzip();
        let mut covariance = vec![vec![0.0; errors.len()]; errors.len()];
        for (row, one) in errors.iter().enumerate() {
            for (column, other) in errors[..=row].iter().enumerate() {
                let shared = one.covariance(other);
                (covariance[row][column], covariance[column][row]) = (shared, shared);
            }
        }
        Group {
            reached,
            covariance,
            degrees_of_freedom,
        }
    };
    by_estimate.into_values().map(group).collect()
}

/// The estimate that the size of a source comes from, with its degrees of freedom; none for a stated one.
fn estimate_of(id: SourceId, sources: &Sources) -> (Option<SourceId>, f64) {
    let source = sources.get(id);
    let estimated = source.degrees_of_freedom.is_finite();
    let estimate = estimated.then(|| source.estimate.unwrap_or(id));
    (estimate, source.degrees_of_freedom)
}

/// The lower root of a covariance that may lack directions, such as that of a number that is exact.
pub fn lower_root(covariance: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let size = covariance.len();
    let mut root = vec![vec![0.0; size]; size];
    for column in 0..size {
        let own = covariance[column][column];
        let taken: f64 = root[column][..column].iter().map(|r| r * r).sum();
        let rest = own - taken;
        if rest <= NO_DIRECTION * own {
            continue;
        }
        let corner = rest.sqrt();
        root[column][column] = corner;
        for row in column + 1..size {
            let known: f64 = (0..column).map(|k| root[row][k] * root[column][k]).sum();
            root[row][column] = (covariance[row][column] - known) / corner;
        }
    }
    root
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measured::Distribution;

    /// Number of draws; a standard deviation from so many is known to 0.5 % (one standard error).
    const COUNT: usize = 20_000;

    fn moments(draws: &[Vec<f64>], one: usize, other: usize) -> f64 {
        let mean = |k: usize| draws.iter().map(|d| d[k]).sum::<f64>() / draws.len() as f64;
        let (a, b) = (mean(one), mean(other));
        draws
            .iter()
            .map(|d| (d[one] - a) * (d[other] - b))
            .sum::<f64>()
            / draws.len() as f64
    }

    #[test]
    fn draws_keep_what_two_numbers_share() {
        let mut sources = Sources::default();
        let both = sources.add("both", Distribution::Normal, f64::INFINITY);
        let own = sources.add("own", Distribution::Normal, f64::INFINITY);
        let one = Measured::new(3.0, both, 0.3);
        let other = &(one.clone() * 2.0) + &Measured::new(1.0, own, 0.8);
        let values = [one, other, Measured::exact(5.0)];
        let together = Together::of(&values, &sources);
        let draws = together.draws(COUNT, f64::INFINITY, &mut Seeded::stream(3, 0));
        // By hand: variances 0.09 and 0.36 + 0.64, covariance 0.18; five standard errors of each.
        assert!((moments(&draws, 0, 0) - 0.09).abs() < 0.0045);
        assert!((moments(&draws, 1, 1) - 1.0).abs() < 0.05);
        assert!((moments(&draws, 0, 1) - 0.18).abs() < 0.0125);
        assert!(draws.iter().all(|draw| draw[2] == 5.0));
        // The difference of the second and twice the first has nothing but its own error.
        let spread = together.spread(&[-2.0, 1.0, 0.0]);
        assert!((spread.uncertainty - 0.8).abs() < 1e-12);
        assert_eq!(spread.degrees_of_freedom, f64::INFINITY);
    }

    #[test]
    fn an_estimated_size_widens_the_tails_as_t_does() {
        let mut sources = Sources::default();
        let few = sources.add("few", Distribution::Normal, 4.0);
        let values = [Measured::new(0.0, few, 1.0)];
        let together = Together::of(&values, &sources);
        let degrees = together.spread(&[1.0]).degrees_of_freedom;
        let draws = together.draws(COUNT, degrees, &mut Seeded::stream(5, 0));
        // Student's t table, 4 degrees of freedom, two-sided 5 %: 2.776.
        let outside = draws.iter().filter(|draw| draw[0].abs() > 2.776).count();
        let share = outside as f64 / COUNT as f64;
        // Five standard errors of a share of 5 %.
        assert!((share - 0.05).abs() < 0.0078, "{share}");
    }
}
