//! Positions of levels in a space whose distances are the standard errors of their differences.
//!
//! In: the variance of each difference that can be told. Out: [`Positions`] of the levels, whose distances are the standard errors.
//! This module never asks a model.
//!
//! The covariances of all differences follow from their variances: with `V_ij` the variance of `x_i − x_j`,
//! `cov(x_i − x_k, x_j − x_k) = (V_ik + V_jk − V_ij) / 2`.

/// A pivot this small beside its column is rounding: two levels whose difference has no error.
const NO_ERROR: f64 = 1e-13;

/// A direction whose rest is this small lies in the space of those before it.
const SAME_SPACE: f64 = 1e-7;

/// Two levels by position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Pair {
    pub level: usize,
    pub against: usize,
}

/// A difference whose variance is known.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Known {
    pub pair: Pair,
    pub variance: f64,
}

/// A point for each level, such that the error of a difference is the step between two points times standard normal errors.
///
/// Levels of different groups share no axis.
#[derive(Debug, Clone)]
pub(crate) struct Positions {
    points: Vec<Vec<f64>>,
}

impl Positions {
    /// Places the levels; what can be told groups them, for if two differences can be told so can that of their ends.
    pub fn of(levels: usize, known: &[Known]) -> Self {
        let mut variances = vec![vec![None; levels]; levels];
        for Known { pair, variance } in known {
            variances[pair.level][pair.against] = Some(*variance);
            variances[pair.against][pair.level] = Some(*variance);
        }
        let mut points: Vec<Vec<f64>> = vec![Vec::new(); levels];
        let mut placed = vec![false; levels];
        let mut axes = 0;
        for first in 0..levels {
            if placed[first] {
                continue;
            }
            let group: Vec<usize> = (first + 1..levels)
                .filter(|&level| variances[first][level].is_some())
                .collect();
            let covariance = |one: usize, other: usize| {
                let of = |a: usize, b: usize| variances[a][b].unwrap_or(0.0);
                (of(first, one) + of(first, other) - of(one, other)) / 2.0
            };
            placed[first] = true;
            for (row, &level) in group.iter().enumerate() {
                placed[level] = true;
                let mut point = vec![0.0; axes + row + 1];
                for column in 0..row {
                    let other = &points[group[column]];
                    let known: f64 = (axes..axes + column).map(|k| point[k] * other[k]).sum();
                    let pivot = other[axes + column];
                    if pivot > 0.0 {
                        point[axes + column] = (covariance(level, group[column]) - known) / pivot;
                    }
                }
                let whole = covariance(level, level);
                let rest = whole - point.iter().map(|part| part * part).sum::<f64>();
                if rest > NO_ERROR * whole {
                    point[axes + row] = rest.sqrt();
                }
                points[level] = point;
            }
            axes += group.len();
        }
        for point in &mut points {
            point.resize(axes, 0.0);
        }
        Self { points }
    }

    /// How many axes the points stand on.
    pub fn axes(&self) -> usize {
        self.points.first().map_or(0, Vec::len)
    }

    /// Where each level falls when the axes have these errors.
    pub fn fallen(&self, errors: &[f64]) -> Vec<f64> {
        let place = |point: &Vec<f64>| product(point, errors);
        self.points.iter().map(place).collect()
    }

    /// The direction of a difference, of unit length; None if it has no error.
    pub fn direction(&self, pair: Pair) -> Option<Vec<f64>> {
        let (one, other) = (&self.points[pair.level], &self.points[pair.against]);
        let step: Vec<f64> = one.iter().zip(other).map(|(a, b)| a - b).collect();
        let size = step.iter().map(|part| part * part).sum::<f64>().sqrt();
        (size > 0.0).then(|| step.iter().map(|part| part / size).collect())
    }

    /// The standard error of a difference.
    pub fn distance(&self, pair: Pair) -> f64 {
        let (one, other) = (&self.points[pair.level], &self.points[pair.against]);
        let squares: f64 = one.iter().zip(other).map(|(a, b)| (a - b).powi(2)).sum();
        squares.sqrt()
    }
}

/// Directions on as few axes as they need.
pub(crate) fn in_own_space(directions: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let mut axes: Vec<Vec<f64>> = Vec::new();
    for direction in directions {
        let mut rest = direction.clone();
        // Twice, so that rounding of the first pass is taken off too.
        for axis in axes.iter().chain(&axes) {
            let share = product(&rest, axis);
            for (part, along) in rest.iter_mut().zip(axis) {
                *part -= share * along;
            }
        }
        let size = product(&rest, &rest).sqrt();
        if size > SAME_SPACE {
            axes.push(rest.iter().map(|part| part / size).collect());
        }
    }
    let coordinates = |direction: &Vec<f64>| axes.iter().map(|a| product(direction, a)).collect();
    directions.iter().map(coordinates).collect()
}

fn product(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a few operations on numbers of size 1.
    const ROUNDING: f64 = 1e-14;

    fn known(level: usize, against: usize, variance: f64) -> Known {
        Known {
            pair: Pair { level, against },
            variance,
        }
    }

    #[test]
    fn the_distances_of_the_points_are_the_standard_errors() {
        // Independent means with variances 1, 2, 3 and 5; worked by hand: the variance of a difference is their sum.
        let own = [1.0, 2.0, 3.0, 5.0];
        let all: Vec<Known> = (0..4)
            .flat_map(|i| (i + 1..4).map(move |j| known(j, i, own[i] + own[j])))
            .collect();
        let positions = Positions::of(4, &all);
        for Known { pair, variance } in all {
            assert!((positions.distance(pair).powi(2) - variance).abs() < 10.0 * ROUNDING);
        }
    }

    #[test]
    fn differences_that_share_a_level_correlate_by_its_variance() {
        // cov(x1 − x0, x2 − x0) = var x0 = 1, so that the correlation is 1/√(3·4).
        let positions = Positions::of(3, &[known(1, 0, 3.0), known(2, 0, 4.0), known(2, 1, 5.0)]);
        let of = |level| positions.direction(Pair { level, against: 0 }).unwrap();
        let product: f64 = of(1).iter().zip(&of(2)).map(|(a, b)| a * b).sum();
        assert!((product - 1.0 / 12f64.sqrt()).abs() < ROUNDING);
    }

    #[test]
    fn directions_keep_their_products_on_fewer_axes() {
        let directions = vec![
            vec![0.6, 0.8, 0.0],
            vec![0.0, 0.6, 0.8],
            vec![0.6, 0.8, 0.0],
        ];
        let reduced = in_own_space(&directions);
        assert_eq!(reduced[0].len(), 2);
        // 0.8 · 0.6 = 0.48
        assert!((product(&reduced[0], &reduced[1]) - 0.48).abs() < ROUNDING);
        assert!((product(&reduced[0], &reduced[2]) - 1.0).abs() < ROUNDING);
    }

    #[test]
    fn groups_that_cannot_be_compared_share_no_axis() {
        let positions = Positions::of(4, &[known(2, 0, 1.0), known(3, 1, 1.0)]);
        let one = positions
            .direction(Pair {
                level: 2,
                against: 0,
            })
            .unwrap();
        let two = positions
            .direction(Pair {
                level: 3,
                against: 1,
            })
            .unwrap();
        assert_eq!(one, [1.0, 0.0]);
        assert_eq!(two, [0.0, 1.0]);
    }
}
