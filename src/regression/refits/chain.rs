//! The covariance of runs whose errors are connected along their order.
//!
//! In: the columns and responses of a fit, what is known of their errors, and the parts of the scatter. Out: its restricted
//! likelihood, and where that is highest.
//! This module never looks at a term, and holds a matrix of runs by runs, so that its caller limits their number.
//!
//! `V = U + σ² I + Σ σ_b² Z_b Z_bᵀ + σ_a² R(ρ)`, with `R_ij = ρ^|i − j|`.
//!
//! # Source
//! Patterson and Thompson, Biometrika 58 (1971) 545-554 (restricted likelihood);
//! Nelder and Mead, The Computer Journal 7 (1965), 308-313 (simplex search).

use crate::regression::algebra::{Matrix, dot, solve_transposed, triangle};
use crate::regression::measured::variances::Problem;

/// The strongest connection of neighbours that is looked for; nearer to 1 a level of its own would fit as well.
const STRONGEST: f64 = 0.98;
/// Logits of a connection, as a share of the strongest, between which it is looked for.
const LOGITS: [f64; 2] = [-2.5, 4.5];
/// Shares of all scatter between which a variance is looked for.
const SHARES: [f64; 2] = [1e-5, 30.0];
/// Least share of all scatter from which the search of what runs have for themselves begins.
const LEAST: f64 = 0.05;
/// First size of the simplex, in logarithms and logits.
const STEP: f64 = 0.8;
/// Looks at the likelihood after which the search ends.
const LOOKS: usize = 150;
/// The search ends when the logarithms of the likelihood over the simplex differ by less: the data tell no finer.
const FLAT: f64 = 2e-3;
/// Connections and shares of connected scatter from which the search begins.
const STARTS: [(f64, f64); 4] = [(0.3, 0.6), (0.6, 0.6), (0.6, 0.95), (0.85, 0.8)];

/// What the scatter is made of.
#[derive(Debug, Clone)]
pub(super) struct Parts {
    /// From run to run without connection, then of each block.
    pub variances: Vec<f64>,
    /// Variance of connected errors.
    pub connected: f64,
    /// Correlation of the connected errors of neighbours.
    pub connection: f64,
}

/// The runs with what is known of their errors.
pub(super) struct Chain<'p> {
    pub problem: &'p Problem<'p>,
    /// `U`.
    pub known: Matrix,
    /// Variances of the fit without connection, from run to run and of each block.
    pub variances: &'p [f64],
}

/// The highest point of the likelihood that was found.
struct Vertex {
    place: Vec<f64>,
    height: f64,
}

impl Chain<'_> {
    fn runs(&self) -> usize {
        self.problem.response.len()
    }

    /// Mean variance of a run.
    fn total(&self) -> f64 {
        let known = (0..self.runs()).map(|run| self.known.get(run, run));
        self.variances.iter().sum::<f64>() + known.sum::<f64>() / self.runs() as f64
    }

    /// The derivative of `V` by each part: each variance, the connected one, the connection.
    pub fn derivatives(&self, parts: &Parts) -> Vec<Matrix> {
        let runs = self.runs();
        let square = |entry: &dyn Fn(usize, usize) -> f64| Matrix::of(runs, runs, entry);
        let mut found = vec![square(&|one, other| f64::from(u8::from(one == other)))];
        for levels in &self.problem.shape.levels {
            found.push(square(&|one, other| {
                f64::from(u8::from(levels[one] == levels[other]))
            }));
        }
        let apart = |one: usize, other: usize| one.abs_diff(other) as i32;
        found.push(square(&|one, other| {
            parts.connection.powi(apart(one, other))
        }));
        found.push(square(&|one, other| match apart(one, other) {
            0 => 0.0,
            steps => parts.connected * f64::from(steps) * parts.connection.powi(steps - 1),
        }));
        found
    }

    /// `V`.
    pub fn covariance(&self, parts: &Parts) -> Matrix {
        let runs = self.runs();
        let mut powers = vec![parts.connected; runs];
        for steps in 1..runs {
            powers[steps] = powers[steps - 1] * parts.connection;
        }
        let mut whole = self.known.clone();
        let levels = &self.problem.shape.levels;
        for column in 0..runs {
            let entries = whole.column_mut(column);
            for (row, entry) in entries.iter_mut().enumerate() {
                *entry += powers[row.abs_diff(column)];
                for (levels, variance) in levels.iter().zip(&parts.variances[1..]) {
                    if levels[row] == levels[column] {
                        *entry += variance;
                    }
                }
            }
            entries[column] += parts.variances[0];
        }
        whole
    }

    /// The upper root of `V`, and the triangle of the whitened columns with the whitened response behind them.
    pub fn whitened(&self, parts: &Parts) -> Option<(Matrix, Matrix)> {
        let upper = root(&self.covariance(parts))?;
        let problem = self.problem;
        let columns = (0..problem.rank).map(|column| problem.columns.column(column));
        let columns = columns.chain([problem.response.as_slice()]);
        let whitened: Vec<Vec<f64>> = columns.map(|c| solve_transposed(&upper, c)).collect();
        let found = triangle(self.runs(), problem.rank + 1, |run, row| {
            for (value, column) in row.iter_mut().zip(&whitened) {
                *value = column[run];
            }
        });
        Some((upper, found))
    }

    /// Logarithm of the restricted likelihood, without a constant.
    fn height(&self, parts: &Parts) -> Option<f64> {
        let (upper, found) = self.whitened(parts)?;
        let rank = self.problem.rank;
        let runs = (0..self.runs()).map(|run| upper.get(run, run).ln());
        let terms = (0..rank).map(|column| found.get(column, column).abs().ln());
        let left = found.get(rank, rank);
        let height = -(runs.sum::<f64>() + terms.sum::<f64>() + left * left / 2.0);
        height.is_finite().then_some(height)
    }

    /// The parts where the restricted likelihood is highest; None if it is no finite number anywhere.
    pub fn highest(&self) -> Option<Parts> {
        let (own, blocks) = self.variances.split_first()?;
        // What is known may explain all scatter, and yet be connected.
        let own = own.max(LEAST * self.total());
        let at = |(connection, share): (f64, f64)| {
            let logit = |part: f64| (part / (1.0 - part)).ln();
            let mut place = vec![((1.0 - share) * own).ln()];
            place.extend(blocks.iter().map(|variance| variance.ln()));
            place.push((share * own).ln());
            place.push(logit(connection / STRONGEST));
            self.vertex(place)
        };
        let mut simplex = vec![STARTS.into_iter().map(at).max_by(by_height)?];
        let mut looks = STARTS.len();
        for direction in 0..simplex[0].place.len() {
            let mut place = simplex[0].place.clone();
            place[direction] += if place[direction] > 0.0 { -STEP } else { STEP };
            simplex.push(self.vertex(place));
        }
        looks += simplex.len();
        while looks < LOOKS {
            simplex.sort_by(|one, other| by_height(other, one));
            let last = simplex.len() - 1;
            if simplex[0].height - simplex[last].height < FLAT {
                break;
            }
            looks += self.step(&mut simplex);
        }
        let best = simplex.into_iter().max_by(by_height)?;
        best.height.is_finite().then(|| self.parts(&best.place))
    }

    /// One step of the search: the lowest vertex goes over to the other side, or all come nearer to the highest.
    fn step(&self, simplex: &mut [Vertex]) -> usize {
        let last = simplex.len() - 1;
        let centre: Vec<f64> = (0..last)
            .map(|direction| {
                let places = simplex[..last].iter().map(|vertex| vertex.place[direction]);
                places.sum::<f64>() / last as f64
            })
            .collect();
        let beyond = |by: f64| {
            let places = centre.iter().zip(&simplex[last].place);
            self.vertex(places.map(|(c, lowest)| c + by * (c - lowest)).collect())
        };
        let across = beyond(1.0);
        if across.height > simplex[0].height {
            let further = beyond(2.0);
            simplex[last] = if further.height > across.height {
                further
            } else {
                across
            };
            return 2;
        }
        if across.height > simplex[last - 1].height {
            simplex[last] = across;
            return 1;
        }
        let (nearer, bar) = if across.height > simplex[last].height {
            (beyond(0.5), across.height)
        } else {
            (beyond(-0.5), simplex[last].height)
        };
        if nearer.height > bar {
            simplex[last] = nearer;
            return 2;
        }
        let best = simplex[0].place.clone();
        for vertex in &mut simplex[1..] {
            let places = vertex.place.iter().zip(&best);
            *vertex = self.vertex(places.map(|(own, best)| (own + best) / 2.0).collect());
        }
        2 + last
    }

    /// A place moved inside its bounds, with its likelihood.
    fn vertex(&self, mut place: Vec<f64>) -> Vertex {
        let total = self.total();
        let last = place.len() - 1;
        let (logarithms, logit) = place.split_at_mut(last);
        for value in logarithms {
            *value = value.clamp((SHARES[0] * total).ln(), (SHARES[1] * total).ln());
        }
        logit[0] = logit[0].clamp(LOGITS[0], LOGITS[1]);
        let height = self
            .height(&self.parts(&place))
            .unwrap_or(f64::NEG_INFINITY);
        Vertex { place, height }
    }

    fn parts(&self, place: &[f64]) -> Parts {
        let blocks = place.len() - 2;
        Parts {
            variances: place[..blocks].iter().map(|value| value.exp()).collect(),
            connected: place[blocks].exp(),
            connection: STRONGEST / (1.0 + (-place[blocks + 1]).exp()),
        }
    }
}

fn by_height(one: &Vertex, other: &Vertex) -> std::cmp::Ordering {
    one.height.total_cmp(&other.height)
}

/// The upper Cholesky factor of a large matrix; None if that is not positive definite.
///
/// # Source
/// Golub and Van Loan, Matrix Computations, 4th ed. 2013, 4.2 (Cholesky).
fn root(matrix: &Matrix) -> Option<Matrix> {
    let size = matrix.column(0).len();
    let mut upper = Matrix::zeros(size, size);
    for column in 0..size {
        for row in 0..column {
            let (known, own) = upper.column_and_later(row, column);
            own[row] = (matrix.get(row, column) - dot(&known[..row], &own[..row])) / known[row];
        }
        let own = upper.column_mut(column);
        let rest = matrix.get(column, column) - dot(&own[..column], &own[..column]);
        if !(rest > 0.0 && rest.is_finite()) {
            return None;
        }
        own[column] = rest.sqrt();
    }
    Some(upper)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::asked::{Measurement, ResponseScale};
    use crate::regression::measured::Shape;

    #[test]
    fn the_likelihood_of_two_runs_about_their_mean_is_that_of_their_difference() {
        let shape = Shape::new(&Measurement::default(), 2, &[], ResponseScale::Plain);
        let problem = Problem {
            columns: Matrix::of(2, 1, |_, _| 1.0),
            rank: 1,
            response: vec![1.0, 3.0],
            shape: &shape,
        };
        let chain = Chain {
            problem: &problem,
            known: Matrix::zeros(2, 2),
            variances: &[1.0],
        };
        let parts = Parts {
            variances: vec![0.5],
            connected: 1.0,
            connection: 0.5,
        };
        // By hand: (y₁ − y₂)/√2 has the variance σ² + σ_a² − σ_a² ρ = 1 and the square 2; what else there is, is ln 2.
        let expected = -(2.0_f64.ln() + 2.0) / 2.0;
        let height = chain.height(&parts).expect("a likelihood");
        assert!((height - expected).abs() < 1e-14, "{height}");
        // Two runs tell no more than that variance, which is 2 where the likelihood is highest.
        let best = chain.highest().expect("a highest point");
        let found = best.variances[0] + best.connected * (1.0 - best.connection);
        // The logarithm of the likelihood falls by ¼ ln² of the ratio, and the search ends within some thousandths.
        assert!((found / 2.0).ln().abs() < 0.3, "{best:?}");
    }
}
