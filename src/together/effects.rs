//! What each effect is in all campaigns and in each, whether it differs among them, and where it stands.
//!
//! In: the parts with their models, and the one model of all. Out: [`Differing`] and [`SharedEffect`].
//! This module never calls an effect settled that only holds if it is the same in every campaign.

use super::alike::Alike;
use super::answer::{Differing, SharedEffect, WhyNot};
use super::joined::{CAMPAIGN, Part, factor};
use crate::answers::Status;
use crate::caveat::Doubt;
use crate::decide::{FEWEST_DEGREES, amounts_seldom_change, marks_seldom_change};
use crate::distributions::coverage_factor;
use crate::measured::Consensus;
use crate::regression::{
    Asking, Estimate, FactorValues, FitData, FittedModel, Interval, ModelParams, Term, TermName,
    TermPiece, ValidModel, asked_otherwise, robust,
};

/// Beyond so many runs none of them decides alone.
const MOST_RUNS: usize = 5_000;
/// Highest power of a smooth drift.
const MOST_POWER: u32 = 3;

/// The model of all runs as it was asked for.
pub(super) struct Of<'a> {
    pub parts: &'a [Part],
    pub alike: &'a Alike,
    /// Factors whose effects may differ.
    pub differ: &'a [String],
    pub params: &'a ModelParams,
    pub data: &'a FitData,
}

impl Of<'_> {
    /// Effects that are pooled, joint ones behind the others.
    fn effects(&self) -> Vec<Vec<String>> {
        let alone = self.alike.effects.iter().map(|name| vec![name.clone()]);
        alone.chain(self.alike.joint.iter().cloned()).collect()
    }

    /// The units of the amounts in a term.
    fn per(&self, name: &TermName) -> String {
        let of_piece = |piece: &TermPiece| match piece {
            TermPiece::Level { .. } => None,
            TermPiece::Power { factor: of, power } => {
                let unit = factor(&self.parts[0], of).map(|of| of.unit.clone())?;
                let unit = Some(unit).filter(|unit| !unit.is_empty() && unit != "1")?;
                Some(match power {
                    1 => unit,
                    power => format!("{unit}^{power}"),
                })
            }
        };
        let units: Vec<String> = name.pieces.iter().filter_map(of_piece).collect();
        units.join(" ")
    }

    fn may_differ(&self, factors: &[String]) -> bool {
        matches!(factors, [only] if self.differ.contains(only))
    }

    /// Whether no campaign varied one of the factors.
    fn is_between(&self, factors: &[String]) -> bool {
        factors.iter().any(|name| {
            let of_parts = self.parts.iter().filter_map(|part| factor(part, name));
            let mut of_parts = of_parts.map(|of| match &of.values {
                FactorValues::Amount(values) => values.iter().any(|value| *value != values[0]),
                FactorValues::Choice { codes, .. } => codes.iter().any(|code| *code != codes[0]),
            });
            !of_parts.any(|is_varied| is_varied)
        })
    }

    /// Whether a piece of a term changed so seldom along the runs of each campaign that varied it that time may have done it.
    fn went_with_time(&self, name: &TermName) -> bool {
        let of_piece = |part: &Part, piece: &TermPiece| {
            let of = factor(part, piece.factor())?;
            match (&of.values, piece) {
                (FactorValues::Amount(values), _) => values
                    .iter()
                    .any(|value| *value != values[0])
                    .then(|| amounts_seldom_change(values)),
                (FactorValues::Choice { levels, codes }, TermPiece::Level { level, .. }) => {
                    let here = codes.iter().map(|code| levels[*code] == *level);
                    let here: Vec<bool> = here.collect();
                    let is_varied = here.iter().any(|at| *at != here[0]);
                    is_varied.then(|| marks_seldom_change(&here))
                }
                _ => None,
            }
        };
        name.pieces.iter().any(|piece| {
            let of_parts = self.parts.iter().filter_map(|part| of_piece(part, piece));
            let seldom: Vec<bool> = of_parts.collect();
            !seldom.is_empty() && seldom.iter().all(|seldom| *seldom)
        })
    }

    /// Whether each effect differs: the joint effect of the campaign with it, campaigns being fixed, beside those that may differ anyway.
    pub fn differing(&self) -> Vec<Differing> {
        let luck = |factors: &Vec<String>| {
            if self.is_between(factors) {
                return None;
            }
            let mut params = with_differing(self.params.clone(), &[]);
            let set = [factors.as_slice(), &[CAMPAIGN.to_string()]].concat();
            if !params.joint.contains(&set) {
                params.joint.push(set.clone());
            }
            let valid = params.check(self.data).ok()?;
            let model = valid.scattering_by(CAMPAIGN).fit(self.data).ok()?;
            let mut tests = model.tests.iter();
            tests.find(|test| test.factors == set)?.p
        };
        let effects = self.effects();
        let chances: Vec<Option<f64>> = effects.iter().map(luck).collect();
        let corrected = holm(&chances);
        let each = effects.into_iter().zip(chances).zip(corrected);
        each.map(|((factors, p), corrected)| Differing {
            may_differ: self.may_differ(&factors),
            factors,
            p,
            corrected,
        })
        .collect()
    }

    /// Each term that the campaigns share.
    pub fn shared(
        &self,
        valid: &ValidModel,
        model: &FittedModel,
        differs: &[Differing],
    ) -> Vec<SharedEffect> {
        let fitted = self.parts.iter().map(|part| {
            let valid = part.params.clone().check(&part.data).ok()?;
            valid.fit(&part.data).ok()
        });
        let own: Vec<Option<FittedModel>> = fitted.collect();
        let drifting = self.parts.iter().zip(&own);
        let drifting = drifting.map(|(part, own)| with_drift(part, own.as_ref()));
        let drifting: Vec<Option<FittedModel>> = drifting.collect();
        let refitted = (self.data.runs.len() <= MOST_RUNS)
            .then(|| robust(valid, model, self.data).ok())
            .flatten();
        let mut shared = Vec::new();
        for differing in differs {
            for name in names(model, &own, &differing.factors) {
                let refitted = refitted.as_ref().map(|model| model.term(&name).cloned());
                let fits = Fits {
                    model,
                    own: &own,
                    drifting: &drifting,
                    refitted,
                };
                shared.push(self.one(name, differing, fits));
            }
        }
        shared
    }

    fn one(&self, name: TermName, differing: &Differing, fits: Fits) -> SharedEffect {
        let model = fits.model;
        let confidence = model.confidence;
        let own = estimates(fits.own, &name);
        let across = consensus(&own, confidence);
        let told_by = across.map_or(0, |across| across.estimates);
        let across_interval = across.and_then(|across| ends(across, confidence));
        let common = model.term(&name).filter(|_| !differing.may_differ).cloned();
        let luck = 1.0 - confidence;
        let mut why = Vec::new();
        let mut shaken = |is: bool, by: WhyNot| why.extend(is.then_some(by));
        let sides = |ends: Option<Interval>| ends.map(side).unwrap_or_default();
        let sign = common.as_ref().map_or(0, |term| sides(term.interval));
        match &common {
            None => shaken(
                true,
                match differing.may_differ {
                    true => WhyNot::MayDiffer,
                    false => WhyNot::NotSeparable,
                },
            ),
            Some(_) => shaken(sign == 0, WhyNot::HoldsZero),
        }
        let is_between = self.is_between(&differing.factors);
        shaken(is_between, WhyNot::BetweenCampaigns);
        shaken(
            differing.corrected.is_some_and(|p| p < luck),
            WhyNot::Differs,
        );
        shaken(differing.p.is_none() && !is_between, WhyNot::NotTested);
        match told_by {
            few @ (0 | 1) => shaken(!is_between, WhyNot::FewTell(few)),
            _ => shaken(
                sides(across_interval) == 0 || sign != 0 && sides(across_interval) != sign,
                WhyNot::HoldsZeroAcross,
            ),
        }
        let drifting = consensus(&estimates(fits.drifting, &name), confidence);
        let drifting = drifting.and_then(|across| ends(across, confidence));
        let is_across = sign != 0 && sides(across_interval) == sign;
        shaken(is_across && sides(drifting) != sign, WhyNot::NotWithDrift);
        shaken(
            !is_between && self.went_with_time(&name),
            WhyNot::AlongWithTime,
        );
        let refitted = fits.refitted;
        let holds = |term: &Option<Term>| term.as_ref().is_some_and(|t| sides(t.interval) == sign);
        shaken(
            sign != 0 && refitted.as_ref().is_some_and(|term| !holds(term)),
            WhyNot::NotRobust,
        );
        let unsettled =
            |caveat: &crate::caveat::Caveat| matches!(caveat.doubt, Doubt::FitNotSettled { .. });
        shaken(model.caveats.iter().any(unsettled), WhyNot::FitNotSettled);
        let status = match () {
            () if why.is_empty() => Status::Settled,
            () if sign == 0 => Status::Open,
            () => Status::InDoubt,
        };
        SharedEffect {
            per: self.per(&name),
            name,
            common,
            own,
            across,
            across_interval,
            status,
            why,
        }
    }
}

/// The models that an effect is looked up in.
struct Fits<'a> {
    /// That of all runs.
    model: &'a FittedModel,
    /// That of each campaign alone.
    own: &'a [Option<FittedModel>],
    /// The same with a drift, where a campaign has the runs for it.
    drifting: &'a [Option<FittedModel>],
    /// The term of a robust refit of all runs, where there is one.
    refitted: Option<Option<Term>>,
}

/// The model of a campaign alone with a smooth drift along its runs; as it is where too few degrees of freedom are left for one.
fn with_drift(part: &Part, own: Option<&FittedModel>) -> Option<FittedModel> {
    let own = own?;
    let spare = own.residual_df.saturating_sub(FEWEST_DEGREES);
    let power = u32::try_from(spare).unwrap_or(MOST_POWER).min(MOST_POWER);
    if power == 0 {
        return Some(own.clone());
    }
    let places: Vec<f64> = (0..part.data.runs.len()).map(|run| run as f64).collect();
    let drift = Asking::Drift {
        places: &places,
        power,
        without: own,
    };
    asked_otherwise(&part.params, &part.data, drift, None)
}

/// What each model says of a term.
fn estimates(models: &[Option<FittedModel>], name: &TermName) -> Vec<Option<Estimate>> {
    let of_model = |model: &Option<FittedModel>| {
        let term = model.as_ref()?.term(name)?;
        Some(Estimate {
            value: term.value,
            standard_error: term.standard_error,
            degrees_of_freedom: term.degrees_of_freedom,
            interval: term.interval,
            p: term.p,
        })
    };
    models.iter().map(of_model).collect()
}

/// The consensus of what campaigns say alone; each counts by the width of its interval, so that one that hardly knows its own error
/// counts for little.
fn consensus(own: &[Option<Estimate>], confidence: f64) -> Option<Consensus> {
    let normal = coverage_factor(confidence, f64::INFINITY)?;
    let known = own.iter().flatten().filter_map(|of| {
        let Interval { low, high } = of.interval?;
        Some((of.value, (high - low) / (2.0 * normal)))
    });
    let known: Vec<(f64, f64)> = known.filter(|(_, u)| *u > 0.0).collect();
    Consensus::of(&known)
}

fn ends(across: Consensus, confidence: f64) -> Option<Interval> {
    let half = across.half_width(confidence)?;
    Some(Interval {
        low: across.value - half,
        high: across.value + half,
    })
}

/// On which side of zero an interval lies; 0 where it holds it.
fn side(ends: Interval) -> i8 {
    i8::from(ends.low > 0.0) - i8::from(ends.high < 0.0)
}

/// The model with the campaigns fixed and the effects of some factors free to differ among them.
pub(super) fn with_differing(mut params: ModelParams, differ: &[String]) -> ModelParams {
    if params.effects.first().is_none_or(|first| first != CAMPAIGN) {
        params.effects.insert(0, CAMPAIGN.to_string());
        params.blocks.retain(|block| block != CAMPAIGN);
    }
    let joint = differ
        .iter()
        .map(|name| vec![name.clone(), CAMPAIGN.to_string()]);
    params.joint.extend(joint);
    params
}

/// Terms of an effect that the one model or a campaign by itself tells.
fn names(model: &FittedModel, own: &[Option<FittedModel>], factors: &[String]) -> Vec<TermName> {
    let mut found: Vec<TermName> = Vec::new();
    for model in std::iter::once(model).chain(own.iter().flatten()) {
        for term in &model.terms {
            let of_effect = term.name.pieces.len() == factors.len()
                && factors.iter().all(|factor| term.name.has(factor));
            if of_effect && !found.contains(&term.name) {
                found.push(term.name.clone());
            }
        }
    }
    if found.is_empty() {
        // Nobody tells any term of it, but it is to be named all the same.
        let pieces = factors.iter().map(|factor| TermPiece::Power {
            factor: factor.clone(),
            power: 1,
        });
        found.push(TermName {
            pieces: pieces.collect(),
        });
    }
    found
}

/// Chances counted for all that were tested.
///
/// # Source
/// Holm, Scandinavian J. Statistics 6 (1979) 65-70.
fn holm(chances: &[Option<f64>]) -> Vec<Option<f64>> {
    let numbered = chances.iter().enumerate();
    let numbered = numbered.filter_map(|(place, chance)| Some((place, (*chance)?)));
    let mut tested: Vec<(usize, f64)> = numbered.collect();
    tested.sort_by(|one, other| one.1.total_cmp(&other.1));
    let mut corrected = vec![None; chances.len()];
    let (count, mut largest) = (tested.len(), 0.0_f64);
    for (rank, (place, chance)) in tested.into_iter().enumerate() {
        largest = largest.max((count - rank) as f64 * chance).min(1.0);
        corrected[place] = Some(largest);
    }
    corrected
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances_are_counted_once_for_each_test_that_is_left() {
        // Worked by hand: 0.01 x 3, 0.02 x 2, then the larger of 0.03 and 0.04.
        let found = holm(&[Some(0.03), None, Some(0.01), Some(0.02)]);
        let expected = [Some(0.04), None, Some(0.03), Some(0.04)];
        for (found, expected) in found.into_iter().zip(expected) {
            let apart = found.zip(expected).map_or(0.0, |(a, b)| a - b);
            assert!(apart.abs() < 1e-15 && found.is_some() == expected.is_some());
        }
    }
}
