//! Settings that may be proposed.
//!
//! In: the declared limits, combinations never to be proposed, and the factors of the runs made. Out: [`Region`].
//! This module never lets an amount leave its limits, and never asks whether settings are good.

use crate::campaign::{Campaign, FactorPlan, LOT, StandsFor};
use crate::decide::aim::{Gap, RangeEnd};
use crate::decide::plannable::barred;
use crate::regression::{Barred, Setting, Settings};
use crate::runs::{FactorColumn, FactorValues, RunResult, Runs};

/// Two amounts this close, as a share of the range, are the same.
pub(super) const SAME_PLACE: f64 = 1e-6;

/// Where the ends of an amount are from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitBy {
    /// The campaign declares them.
    Declared,
    /// They are the range of the runs made, because none are declared.
    Runs,
}

/// An amount with the range in which it may be set.
#[derive(Debug, Clone, PartialEq)]
pub struct AmountRange {
    /// The factor.
    pub factor: String,
    /// Its unit.
    pub unit: String,
    /// Lowest value.
    pub low: f64,
    /// Highest value.
    pub high: f64,
    /// Where the lowest value is from.
    pub low_by: LimitBy,
    /// Where the highest value is from.
    pub high_by: LimitBy,
}

/// Everything that may be set.
#[derive(Debug, Clone)]
pub(super) struct Region {
    pub amounts: Vec<AmountRange>,
    /// Settings of all choices, those that may be proposed.
    pub levels: Vec<Settings>,
    /// Settings of all choices that are never to be proposed.
    pub forbidden: Vec<Settings>,
    never: Vec<Barred>,
}

impl AmountRange {
    /// So many places from the lowest to the highest value.
    pub fn places(&self, count: usize) -> Vec<f64> {
        let step = (self.high - self.low) / (count.max(2) - 1) as f64;
        let place = |place: usize| match place + 1 == count {
            true => self.high,
            false => self.low + step * place as f64,
        };
        (0..count).map(place).collect()
    }

    fn holds(&self, value: f64) -> bool {
        let slack = SAME_PLACE * (self.high - self.low);
        value >= self.low - slack && value <= self.high + slack
    }
}

/// The factors of the models, in the order of the campaign file, without the lot: a lot is not chosen but at hand.
pub(super) fn names(campaign: &Campaign) -> Vec<String> {
    let plan = campaign.model.iter();
    let mut names: Vec<String> = Vec::new();
    for name in plan.flat_map(|plan| plan.effects.iter().chain(plan.joint.iter().flatten())) {
        if name != LOT && !names.contains(name) {
            names.push(name.clone());
        }
    }
    names
}

/// The region of a campaign, and the amounts without limits.
pub(super) fn region(campaign: &Campaign, runs: &Runs, gaps: &mut Vec<Gap>) -> Region {
    let mut region = Region {
        amounts: Vec::new(),
        levels: Vec::new(),
        forbidden: Vec::new(),
        never: barred(campaign),
    };
    let mut all = vec![Settings::default()];
    for column in names(campaign).iter().filter_map(|name| runs.factor(name)) {
        let name = &column.name;
        match &column.values {
            FactorValues::Amount(_) if is_residue(campaign, name) && unassayed(runs) > 0 => {
                gaps.push(Gap::ResidueWithoutAssay {
                    runs: unassayed(runs),
                    factor: name.clone(),
                });
                let least = declared(campaign, name)[0].unwrap_or(0.0);
                let with = |settings: Settings| settings.amount(name, least);
                all = all.into_iter().map(with).collect();
            }
            FactorValues::Amount(_) => {
                region.amounts.extend(amount(campaign, runs, column, gaps));
            }
            FactorValues::Choice { .. } => {
                let used = runs.levels_run(name);
                let with = |settings: &Settings| {
                    let with = |level: &String| settings.clone().level(name, level);
                    used.iter().map(with).collect::<Vec<_>>()
                };
                all = all.iter().flat_map(with).collect();
            }
        }
    }
    let all = all.into_iter();
    (region.forbidden, region.levels) = all.partition(|settings| region.is_forbidden(settings));
    region
}

/// Whether a factor stands for residue fed forward.
fn is_residue(campaign: &Campaign, name: &str) -> bool {
    let plan = campaign.factor(name);
    name == "residue_ratio" || plan.is_some_and(|p| p.stands_for == Some(StandsFor::Residue))
}

/// How many runs charged residue of which nobody knows what it holds.
fn unassayed(runs: &Runs) -> usize {
    let unknown = |run: &&RunResult| {
        let content = run.charge.residue_theory.as_ref();
        run.charge.residue_mass > 0.0 && content.is_none_or(|content| content.is_err())
    };
    runs.counted().filter(unknown).count()
}

/// The declared limits of an amount.
fn declared(campaign: &Campaign, name: &str) -> [Option<f64>; 2] {
    campaign.factor(name).map_or([None; 2], FactorPlan::limits)
}

fn amount(
    campaign: &Campaign,
    runs: &Runs,
    column: &FactorColumn,
    gaps: &mut Vec<Gap>,
) -> Option<AmountRange> {
    let made = runs.amounts(&column.name);
    let [low, high] = declared(campaign, &column.name);
    let lowest = made.iter().copied().reduce(f64::min)?;
    let highest = made.iter().copied().reduce(f64::max)?;
    if low.is_none() || high.is_none() {
        gaps.push(Gap::NoLimits {
            factor: column.name.clone(),
            end: match (low, high) {
                (None, Some(_)) => Some(RangeEnd::Low),
                (Some(_), None) => Some(RangeEnd::High),
                _ => None,
            },
            lowest,
            highest,
        });
    }
    let by = |limit: Option<f64>| limit.map_or(LimitBy::Runs, |_| LimitBy::Declared);
    let range = AmountRange {
        factor: column.name.clone(),
        unit: column.unit.clone(),
        low: low.unwrap_or(lowest),
        high: high.unwrap_or(highest),
        low_by: by(low),
        high_by: by(high),
    };
    // One declared end beyond all runs leaves nothing in between.
    (range.high > range.low).then_some(range)
}

impl Region {
    /// Whether settings hold a combination that is never to be proposed.
    ///
    /// A combination that names a factor which the settings leave open does not forbid them.
    pub fn is_forbidden(&self, settings: &Settings) -> bool {
        self.forbidding(settings).is_some()
    }

    /// The combination of these settings that is never to be proposed.
    pub fn forbidding(&self, settings: &Settings) -> Option<&Barred> {
        self.never.iter().find(|never| never.forbids(settings))
    }

    /// Whether an amount takes part in anything that is forbidden.
    pub fn forbids_amounts(&self) -> bool {
        let mut amounts = self.amounts.iter();
        amounts.any(|range| self.never.iter().any(|never| never.names(&range.factor)))
    }

    /// So many places along an amount, and the ends next to what is forbidden.
    pub fn places(&self, range: &AmountRange, count: usize) -> Vec<f64> {
        let ends = self.never.iter();
        let ends = ends.flat_map(|never| never.allowed_ends(&range.factor));
        let within = ends.filter(|end| *end > range.low && *end < range.high);
        range.places(count).into_iter().chain(within).collect()
    }

    fn range(&self, factor: &str) -> Option<&AmountRange> {
        self.amounts.iter().find(|range| range.factor == factor)
    }

    /// Whether two settings differ by no more than rounding.
    pub fn is_same(&self, one: &Settings, other: &Settings) -> bool {
        one.iter().all(
            |(factor, setting)| match (setting, other.get(factor), self.range(factor)) {
                (Setting::Amount(one), Some(Setting::Amount(other)), Some(range)) => {
                    (one - other).abs() <= SAME_PLACE * (range.high - range.low)
                }
                (one, Some(other), _) => one == other,
                (_, None, _) => false,
            },
        )
    }

    /// Whether settings lie within the limits and hold nothing forbidden.
    pub fn holds(&self, settings: &Settings) -> bool {
        let within = |range: &AmountRange| {
            let value = settings.amount_of(&range.factor);
            value.is_none_or(|value| range.holds(value))
        };
        self.amounts.iter().all(within) && !self.is_forbidden(settings)
    }
}
