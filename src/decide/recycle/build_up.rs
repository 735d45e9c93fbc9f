//! Impurities that build up when residue goes round.
//!
//! In: what runs took in and gave out of each impurity, the charges of the loop. Out: one [`BuildUp`] for each that can be followed.
//! This module never follows an impurity whose share on the filter the runs do not tell.

use super::case::Case;
use super::charging::Charge;
use crate::decide::models::runs_of;
use crate::distributions::coverage_factor;
use crate::runs::RunResult;

/// Fewest runs from which shares are found: two shares and two degrees of freedom.
const FEWEST: usize = 4;

/// An impurity from cycle to cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct BuildUp {
    /// Its name.
    pub name: String,
    /// The most that product may hold [mass fraction].
    pub limit: Option<f64>,
    /// Runs that tell its shares.
    pub runs: usize,
    /// Its content of the product of a run without residue [mass fraction], with half the width of its interval.
    pub without: [f64; 2],
    /// The same of each cycle.
    pub cycles: Vec<[f64; 2]>,
    /// The first cycle whose product holds more than the limit.
    pub passes_at: Option<u32>,
}

/// Follows each impurity through the charges of a loop.
///
/// By least squares through the origin a run leaves `a·F + b·x` of an impurity on the filter and `c·F + d·x` in its crops, of
/// `F` g fresh feed and `x` g of it in the residue charged, and gives `e·F + f·R` g of crops from `R` g of residue. Of what stays
/// on the filter the share that is charged goes round, `x' = s (a·F + b·x)`. The half width is that of `c·F + d·x` alone.
///
/// # Assumes
/// All feed brings alike; the shares do not depend on how much is charged.
/// # Source
/// Balance of a loop with a purge; Searle, Linear Models, 1971, 3.4 (error of a combination of coefficients).
pub(super) fn build_up(case: &Case, charges: &[Charge], bleed: f64) -> Vec<BuildUp> {
    let followed = case.material.campaign.impurities.iter().enumerate();
    let runs = runs_of(case.yields, case.material.runs);
    let found = followed.filter_map(|(position, impurity)| {
        let rows: Vec<Row> = runs
            .iter()
            .filter_map(|(_, run)| row(run, position))
            .collect();
        if rows.len() < FEWEST {
            return None;
        }
        let stays = Straight::through(rows.iter().map(|row| (row.feed, row.taken, row.stays)))?;
        let crops = Straight::through(rows.iter().map(|row| (row.feed, row.taken, row.crops)))?;
        let mass = Straight::through(rows.iter().map(|row| (row.feed, row.residue, row.mass)))?;
        if !(0.0..1.0).contains(&stays.slopes[1]) {
            return None;
        }
        let feed = case.reference.feed_mass;
        let factor = coverage_factor(case.confidence(), (rows.len() - 2) as f64)?;
        let content = |taken: f64, residue: f64| {
            let grams = mass.at(feed, residue);
            let half = factor * crops.error_at(feed, taken) / grams;
            [crops.at(feed, taken).max(0.0) / grams, half]
        };
        let mut taken = 0.0;
        let cycles: Vec<[f64; 2]> = charges
            .iter()
            .map(|charge| {
                taken = (1.0 - bleed) * charge.fits * stays.at(feed, taken).max(0.0);
                content(taken, charge.ratio * feed)
            })
            .collect();
        let is_above = |of: &[f64; 2]| impurity.limit.is_some_and(|limit| of[0] > limit);
        let passes_at = (1..).zip(&cycles).find(|(_, of)| is_above(of));
        Some(BuildUp {
            name: impurity.name.clone(),
            limit: impurity.limit,
            runs: rows.len(),
            without: content(0.0, 0.0),
            passes_at: passes_at.map(|(cycle, _)| cycle),
            cycles,
        })
    });
    found.collect()
}

/// What one run tells of an impurity \[g\].
struct Row {
    feed: f64,
    residue: f64,
    taken: f64,
    stays: f64,
    crops: f64,
    mass: f64,
}

fn row(run: &RunResult, position: usize) -> Option<Row> {
    let flow = run.impurities.get(position)?;
    Some(Row {
        feed: run.charge.feed_mass?,
        residue: run.charge.residue_mass,
        taken: flow.residue_in?,
        stays: flow.residue_out?,
        crops: flow.crops?,
        mass: run.crops.iter().map(|crop| crop.mass.value()).sum(),
    })
}

/// `y = p·u + q·v` by least squares.
struct Straight {
    slopes: [f64; 2],
    /// Covariance of both.
    covariance: [f64; 3],
}

impl Straight {
    /// `None` where one of the two does not vary apart from the other.
    fn through(rows: impl Iterator<Item = (f64, f64, f64)> + Clone) -> Option<Self> {
        let sum = |of: fn((f64, f64, f64)) -> f64| rows.clone().map(of).sum::<f64>();
        let (uu, uv, vv) = (sum(|r| r.0 * r.0), sum(|r| r.0 * r.1), sum(|r| r.1 * r.1));
        let (uy, vy) = (sum(|r| r.0 * r.2), sum(|r| r.1 * r.2));
        let determinant = uu * vv - uv * uv;
        if determinant <= 1e-9 * uu * vv {
            return None;
        }
        let slopes = [
            (uy * vv - vy * uv) / determinant,
            (vy * uu - uy * uv) / determinant,
        ];
        let (count, squares) = rows.fold((0.0, 0.0), |(count, squares), (u, v, y)| {
            let rest = y - slopes[0] * u - slopes[1] * v;
            (count + 1.0, squares + rest * rest)
        });
        let variance = squares / (count - 2.0);
        let covariance = [vv, -uv, uu].map(|part| variance * part / determinant);
        Some(Self { slopes, covariance })
    }

    fn at(&self, u: f64, v: f64) -> f64 {
        self.slopes[0] * u + self.slopes[1] * v
    }

    fn error_at(&self, u: f64, v: f64) -> f64 {
        let [first, both, second] = self.covariance;
        (u * u * first + 2.0 * u * v * both + v * v * second)
            .max(0.0)
            .sqrt()
    }
}
