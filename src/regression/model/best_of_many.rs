//! What a mean is worth that was chosen because it is the best of many.
//!
//! In: a fitted model, the settings chosen, and those that they were chosen from. Out: [`BestOfMany`]: the mean, a new run
//! there and the gain over another choice, all of them corrected for the choice, or [`NotCorrected`].
//! This module never chooses: it says what a choice does to the figures of what was chosen.

use super::estimates::Machinery;
use super::fitted::FittedModel;
use super::shrinkage::{Estimated, Shrinkage};
use crate::distributions::t_two_sided;
use crate::regression::algebra::{cholesky, dot, unit};
use crate::regression::asked::{Column, Piece, Settings};
use crate::regression::estimable::Refusal;
use crate::regression::estimate::{Estimate, Interval, NewRun};
use crate::seeded::Seeded;

/// Residual degrees of freedom below which nothing is said about luck.
const FEWEST_DEGREES: usize = 3;
/// Draws of what the truth may be, each with one log that it could have given.
const DRAWS: usize = 1_000;

/// Which values of a response are better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Toward {
    /// Larger ones.
    Larger,
    /// Smaller ones.
    Smaller,
}

/// A choice that the data made.
#[derive(Debug, Clone)]
pub struct Choosing<'a> {
    /// Which way is better.
    pub toward: Toward,
    /// The settings chosen.
    pub chosen: &'a Settings,
    /// Settings that stand for all that they were chosen from.
    pub among: &'a [Settings],
    /// Others to compare them with, which were chosen too; None where there is nothing to compare with.
    pub rival: Option<&'a Settings>,
    /// What these were chosen from, such as the settings of the runs made.
    pub rival_among: &'a [Settings],
}

/// What was chosen, with the luck of being chosen taken off.
#[derive(Debug, Clone, PartialEq)]
pub struct BestOfMany {
    /// The mean at the settings chosen, with its interval.
    pub mean: Estimate,
    /// Where one new run there would fall.
    pub new_run: NewRun,
    /// By how much the mean of the fit was too good on average, in the unit of the response; never below zero.
    pub too_good_by: f64,
    /// The settings chosen against the others.
    pub against: Option<Lead>,
}

/// What was chosen against another choice.
#[derive(Debug, Clone, PartialEq)]
pub struct Lead {
    /// The mean there, corrected likewise.
    pub mean: Estimate,
    /// How much better the settings chosen are, positive for the better.
    pub gain: Estimate,
    /// By how much the gain of the fit was too good on average.
    pub too_good_by: f64,
    /// Chance that they are better in truth.
    pub chance_better: f64,
}

/// Why nothing is said about the luck of a choice.
#[derive(Debug, Clone, PartialEq)]
pub enum NotCorrected {
    /// With so few residual degrees of freedom too little is known of the scatter.
    FewDegrees(usize),
    /// The fit is perfect, so that nothing is left to luck.
    Perfect,
    /// The runs cannot tell a mean, or the covariance of the coefficients is not positive definite.
    NotTold(Option<Refusal>),
}

impl From<Refusal> for NotCorrected {
    fn from(refusal: Refusal) -> Self {
        Self::NotTold(Some(refusal))
    }
}

impl FittedModel {
    /// The mean at settings that the same runs chose as the best of many, without the luck of the choice.
    ///
    /// True surfaces that the log allows are drawn, effects that do not show near zero; each gives a log such as this one,
    /// that log chooses, and what the chosen mean seems to be is held against what it is. The mean of that difference is
    /// taken off the estimate and off both ends of its intervals, on the scale of the fit, whose widths stay. The rival, chosen by
    /// the same log from its own list, is treated alike, and the chance of being better is the share of the surfaces in
    /// which it is so. That share falls below one half where the surfaces overrule the fit; settings that are the
    /// best by the fit are then better as often as not, which is said instead.
    ///
    /// # Units and shapes
    /// All figures in the unit of the response.
    /// # Assumes
    /// Which settings may be chosen does not depend on the response. The scatter of the fit is taken for the true one
    /// where logs are drawn; the t of the intervals allows for what is not known of it.
    /// # Errors
    /// [`NotCorrected`]: below three residual degrees of freedom, for a perfect fit, and where the runs cannot tell.
    /// # Source
    /// Efron, Estimation and accuracy after model selection, J. American Statistical Association 109 (2014), 991-1007 (bias
    /// of a chosen estimate by a parametric bootstrap), from surfaces shrunken as in Carvalho, Polson and Scott, Biometrika 97 (2010), 465-480, not
    /// from the fitted one, whose ups and downs hold those of luck already; cited from memory. That the figures hold is simulated
    /// in `tests/it/best_of_many.rs`.
    pub fn best_of_many(
        &self,
        of: &Choosing,
        random: &mut Seeded,
    ) -> Result<BestOfMany, NotCorrected> {
        let machinery = &self.machinery;
        if machinery.perfect {
            return Err(NotCorrected::Perfect);
        }
        if self.residual_df < FEWEST_DEGREES {
            return Err(NotCorrected::FewDegrees(self.residual_df));
        }
        let (chosen, sign) = (machinery.asked(of.chosen)?, of.toward.sign());
        let of_fit = machinery.estimate(&chosen)?;
        let rival = of.rival.map(|rival| machinery.asked(rival)).transpose()?;
        let apart = rival.as_ref().map(|rival| {
            let apart: Vec<f64> = chosen.iter().zip(rival).map(|(a, b)| a - b).collect();
            machinery.estimate(&apart)
        });
        let apart = apart.transpose()?;
        let degrees = apart.as_ref().unwrap_or(&of_fit).degrees_of_freedom;
        let drawn = machinery
            .luck(of, &chosen, rival.as_deref(), degrees, random)?
            .ok_or(NotCorrected::NotTold(None))?;

        let shares = machinery.shares(&machinery.mix(of.chosen)?);
        let corrected = machinery.shifted(&of_fit, -sign * drawn.of_chosen);
        let mean = machinery.mean_brought_back(corrected.clone());
        let before = machinery.scale.response(of_fit.value);
        let against = rival.map(|rival| {
            let of_rival = machinery.estimate(&rival)?;
            let of_rival = machinery.shifted(&of_rival, -sign * drawn.of_rival);
            let of_rival = machinery.mean_brought_back(of_rival);
            let gain = match of.toward {
                Toward::Larger => machinery.difference(&chosen, &rival)?,
                Toward::Smaller => machinery.difference(&rival, &chosen)?,
            };
            let corrected = sign * (mean.value - of_rival.value);
            Ok::<_, NotCorrected>(Lead {
                gain: machinery.shifted(&gain, corrected - gain.value),
                too_good_by: gain.value - corrected,
                mean: of_rival,
                chance_better: drawn.chance_better,
            })
        });
        Ok(BestOfMany {
            new_run: machinery.run_brought_back(&chosen, &corrected, &shares),
            too_good_by: (before - mean.value).abs(),
            mean,
            against: against.transpose()?,
        })
    }
}

/// What luck does to a choice, on the scale of the fit, positive where it flatters.
struct Luck {
    of_chosen: f64,
    of_rival: f64,
    chance_better: f64,
}

impl Machinery {
    /// Draws surfaces and logs; None where the covariance has no root.
    fn luck(
        &self,
        of: &Choosing,
        chosen: &[f64],
        rival: Option<&[f64]>,
        degrees_of_freedom: f64,
        random: &mut Seeded,
    ) -> Result<Option<Luck>, Refusal> {
        let columns = &self.basis.independent;
        let own = |asked: &[f64]| columns.iter().map(|&c| asked[c]).collect::<Vec<f64>>();
        let rows = |settings: &[Settings]| {
            let rows = settings.iter().map(|one| Ok(own(&self.asked(one)?)));
            rows.collect::<Result<Vec<_>, Refusal>>()
        };
        let (among, rivals) = (rows(of.among)?, rows(of.rival_among)?);
        let units: Vec<Vec<f64>> = columns
            .iter()
            .map(|&column| unit(self.design.columns.len(), column))
            .collect();
        let covariance = self.errors.covariances(&self.basis, &units);
        let root = covariance
            .as_ref()
            .and_then(|covariance| cholesky::root(covariance, units.len()));
        let Some((root, covariance)) = root.zip(covariance) else {
            return Ok(None);
        };
        let coefficients = columns.iter().map(|&column| self.coefficients[column].hi());
        let estimated = Estimated {
            values: coefficients.collect(),
            covariance,
            groups: groups(columns.iter().map(|&column| &self.design.columns[column])),
            degrees_of_freedom,
        };
        let Some(mut truths) = Shrinkage::new(estimated, random) else {
            return Ok(None);
        };
        let sign = of.toward.sign();
        let (chosen, rival) = (own(chosen), rival.map(own));
        let mut luck = Luck {
            of_chosen: 0.0,
            of_rival: 0.0,
            chance_better: 0.0,
        };
        for _ in 0..DRAWS {
            let Some(truth) = truths.draw(random) else {
                return Ok(None);
            };
            let normal: Vec<f64> = truth.iter().map(|_| random.normal()).collect();
            let error = |place: usize| dot(&root.column(place)[..=place], &normal[..=place]);
            let seen = truth.iter().enumerate();
            let seen: Vec<f64> = seen.map(|(place, value)| value + error(place)).collect();
            // By how much the best of some rows seems better than it is.
            let flattered = |rows: &[Vec<f64>]| {
                let gains = rows.iter().map(|row| (sign * dot(row, &seen), row));
                let best = gains.max_by(|(one, _), (other, _)| one.total_cmp(other));
                best.map_or(0.0, |(gain, row)| gain - sign * dot(row, &truth))
            };
            luck.of_chosen += flattered(&among);
            if let Some(rival) = &rival {
                luck.of_rival += flattered(&rivals);
                let lead = sign * (dot(&chosen, &truth) - dot(rival, &truth));
                luck.chance_better += match lead {
                    lead if lead > 0.0 => 1.0,
                    lead if lead < 0.0 => 0.0,
                    _ => 0.5,
                };
            }
        }
        let draws = DRAWS as f64;
        let of_chosen = (luck.of_chosen / draws).max(0.0);
        Ok(Some(Luck {
            of_chosen,
            // The best of fewer is never flattered more than the best of all; what says so is the error of the draws.
            of_rival: (luck.of_rival / draws).clamp(0.0, of_chosen),
            chance_better: (luck.chance_better / draws).max(0.5),
        }))
    }

    /// An estimate moved by an exact number, its interval with it.
    fn shifted(&self, estimate: &Estimate, by: f64) -> Estimate {
        let value = estimate.value + by;
        let t = self.ratio(value, estimate.standard_error);
        Estimate {
            value,
            interval: estimate.interval.map(|ends| Interval {
                low: ends.low + by,
                high: ends.high + by,
            }),
            p: t.and_then(|t| t_two_sided(t, estimate.degrees_of_freedom)),
            ..estimate.clone()
        }
    }
}

impl Toward {
    fn sign(self) -> f64 {
        match self {
            Self::Larger => 1.0,
            Self::Smaller => -1.0,
        }
    }
}

/// The group of each column: columns that differ in levels alone belong together, and a constant belongs to none.
///
/// Without a constant there is no overall mean to shrink toward, so that no column belongs to a group.
fn groups<'a>(columns: impl Iterator<Item = &'a Column>) -> Vec<Option<usize>> {
    let kind = |column: &Column| -> Vec<(usize, u32)> {
        let pieces = column.pieces.iter().map(|piece| match *piece {
            Piece::Level { factor, .. } => (factor, 0),
            Piece::Power { factor, power } => (factor, power),
        });
        pieces.collect()
    };
    let kinds: Vec<_> = columns.map(kind).collect();
    if kinds.iter().all(|kind| !kind.is_empty()) {
        return vec![None; kinds.len()];
    }
    let mut known: Vec<&Vec<(usize, u32)>> = Vec::new();
    let mut group = |kind| {
        let place = known.iter().position(|of| *of == kind);
        place.unwrap_or_else(|| {
            known.push(kind);
            known.len() - 1
        })
    };
    let kinds = kinds.iter();
    kinds
        .map(|kind| (!kind.is_empty()).then(|| group(kind)))
        .collect()
}
