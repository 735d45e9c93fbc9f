//! Which settings may be proposed at all?
//!
//! In: the declared limits, combinations never to be proposed, and the factors of the runs made. Out: [`Region`].
//! This module never lets an amount leave its limits, and never asks whether settings are good.

use super::RangeEnd;
use crate::campaign::{Campaign, FactorKind, StandsFor};
use crate::decide::aimed::Gap;
use crate::regression::{Setting, Settings};
use crate::runs::{FactorValues, RunResult, Runs};

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
    never: Vec<Vec<(String, Setting)>>,
}

impl AmountRange {
    /// So many places from the lowest to the highest value.
    pub fn places(&self, count: usize) -> Vec<f64> {
        let step = (self.high - self.low) / (count.max(2) - 1) as f64;
        (0..count)
            .map(|place| {
                if place + 1 == count {
                    self.high
                } else {
                    self.low + step * place as f64
                }
            })
            .collect()
    }

    fn holds(&self, value: f64) -> bool {
        let slack = SAME_PLACE * (self.high - self.low);
        value >= self.low - slack && value <= self.high + slack
    }
}

/// The factors of the models, in the order of the campaign file, without the lot: a lot is not chosen but at hand.
pub(super) fn names(campaign: &Campaign) -> Vec<String> {
    let Some(plan) = &campaign.model else {
        return Vec::new();
    };
    let mut names: Vec<String> = Vec::new();
    for name in plan.effects.iter().chain(plan.joint.iter().flatten()) {
        if name != "lot" && !names.contains(name) {
            names.push(name.clone());
        }
    }
    names
}

/// The region of a campaign, and the amounts without limits.
pub(super) fn region(campaign: &Campaign, runs: &Runs, gaps: &mut Vec<Gap>) -> Region {
    let mut region = Region {
        amounts: Vec::new(),
        levels: vec![Settings::default()],
        forbidden: Vec::new(),
        never: never(campaign, runs),
    };
    for name in names(campaign) {
        let Some(column) = runs.factors.iter().find(|column| column.name == name) else {
            continue;
        };
        match &column.values {
            FactorValues::Amount(_) if is_residue(campaign, &name) && unassayed(runs) > 0 => {
                gaps.push(Gap::ResidueWithoutAssay {
                    runs: unassayed(runs),
                    factor: name.clone(),
                });
                let least = declared_low(campaign, &name).unwrap_or(0.0);
                region.levels = region
                    .levels
                    .iter()
                    .map(|settings| settings.clone().amount(&name, least))
                    .collect();
            }
            FactorValues::Amount(values) => {
                let made = runs.results.iter().zip(values);
                let made = made.filter(|(run, _)| run.set_aside.is_none());
                let made: Vec<f64> = made.filter_map(|(_, value)| *value).collect();
                region
                    .amounts
                    .extend(amount(campaign, &name, &column.unit, &made, gaps));
            }
            FactorValues::Choice { levels, codes } => {
                let run = |code: usize| {
                    let made = runs.results.iter().zip(codes);
                    let mut made = made.filter(|(run, _)| run.set_aside.is_none());
                    made.any(|(_, c)| *c == Some(code))
                };
                let used: Vec<&String> = levels
                    .iter()
                    .enumerate()
                    .filter(|(code, _)| run(*code))
                    .map(|(_, level)| level)
                    .collect();
                region.levels = region
                    .levels
                    .iter()
                    .flat_map(|settings| {
                        let with =
                            |level: &&String| settings.clone().level(&name, (*level).clone());
                        used.iter().map(with).collect::<Vec<_>>()
                    })
                    .collect();
            }
        }
    }
    let (forbidden, levels) = std::mem::take(&mut region.levels)
        .into_iter()
        .partition(|settings| region.is_forbidden(settings));
    region.forbidden = forbidden;
    region.levels = levels;
    region
}

/// Whether a factor stands for residue fed forward.
fn is_residue(campaign: &Campaign, name: &str) -> bool {
    let plan = campaign.factor(name);
    name == "residue_ratio" || plan.is_some_and(|p| p.stands_for == Some(StandsFor::Residue))
}

/// How many runs charged residue of which nobody knows what it holds.
fn unassayed(runs: &Runs) -> usize {
    let used = runs.results.iter().filter(|run| run.set_aside.is_none());
    let unknown = |run: &&RunResult| {
        let content = run.charge.residue_theory.as_ref();
        run.charge.residue_mass > 0.0 && content.is_none_or(|content| content.is_err())
    };
    used.filter(unknown).count()
}

/// The declared lower limit of an amount.
fn declared_low(campaign: &Campaign, name: &str) -> Option<f64> {
    match &campaign.factor(name)?.kind {
        FactorKind::Amount { low, .. } => *low,
        FactorKind::Choice { .. } => None,
    }
}

fn amount(
    campaign: &Campaign,
    name: &str,
    unit: &str,
    made: &[f64],
    gaps: &mut Vec<Gap>,
) -> Option<AmountRange> {
    let plan = campaign.factors.iter().find(|plan| plan.name == *name);
    let (low, high) = match plan.map(|plan| &plan.kind) {
        Some(FactorKind::Amount { low, high, .. }) => (*low, *high),
        _ => (None, None),
    };
    let lowest = made.iter().copied().reduce(f64::min)?;
    let highest = made.iter().copied().reduce(f64::max)?;
    if low.is_none() || high.is_none() {
        gaps.push(Gap::NoLimits {
            factor: name.to_string(),
            end: match (low, high) {
                (None, Some(_)) => Some(RangeEnd::Low),
                (Some(_), None) => Some(RangeEnd::High),
                _ => None,
            },
            lowest,
            highest,
        });
    }
    let by = |limit: Option<f64>| match limit {
        Some(_) => LimitBy::Declared,
        None => LimitBy::Runs,
    };
    let range = AmountRange {
        factor: name.to_string(),
        unit: unit.to_string(),
        low: low.unwrap_or(lowest),
        high: high.unwrap_or(highest),
        low_by: by(low),
        high_by: by(high),
    };
    // One declared end beyond all runs leaves nothing in between.
    (range.high > range.low).then_some(range)
}

/// The combinations of `[limits]`, amounts as numbers.
fn never(campaign: &Campaign, runs: &Runs) -> Vec<Vec<(String, Setting)>> {
    let setting = |factor: &str, level: &str| {
        let column = runs.factors.iter().find(|column| column.name == factor);
        match (column.map(|column| &column.values), level.parse()) {
            (Some(FactorValues::Amount(_)), Ok(value)) => Setting::Amount(value),
            _ => Setting::Level(level.to_string()),
        }
    };
    let forbidden = campaign.limits.never.iter();
    forbidden
        .map(|parts| {
            let parts = parts.iter();
            parts
                .map(|part| (part.factor.clone(), setting(&part.factor, &part.level)))
                .collect()
        })
        .collect()
}

impl Region {
    /// Whether settings hold a combination that is never to be proposed.
    ///
    /// A combination that names a factor which the settings leave open does not forbid them.
    pub fn is_forbidden(&self, settings: &Settings) -> bool {
        let same = |(factor, part): &(String, Setting)| match (settings.get(factor), part) {
            (Some(Setting::Level(level)), Setting::Level(never)) => level == never,
            (Some(Setting::Amount(value)), Setting::Amount(never)) => {
                let range = self.amounts.iter().find(|range| range.factor == *factor);
                let span = range.map_or(1.0, |range| range.high - range.low);
                (value - never).abs() <= SAME_PLACE * span
            }
            _ => false,
        };
        self.never
            .iter()
            .any(|parts| !parts.is_empty() && parts.iter().all(same))
    }

    /// Whether two settings differ by no more than rounding.
    pub fn is_same(&self, one: &Settings, other: &Settings) -> bool {
        one.iter().all(|(factor, setting)| {
            let range = self.amounts.iter().find(|range| range.factor == factor);
            match (setting, other.get(factor), range) {
                (Setting::Amount(one), Some(Setting::Amount(other)), Some(range)) => {
                    (one - other).abs() <= SAME_PLACE * (range.high - range.low)
                }
                (one, Some(other), _) => one == other,
                (_, None, _) => false,
            }
        })
    }

    /// Whether settings lie within the limits and hold nothing forbidden.
    pub fn holds(&self, settings: &Settings) -> bool {
        let within = |range: &AmountRange| match settings.get(&range.factor) {
            Some(Setting::Amount(value)) => range.holds(*value),
            _ => true,
        };
        self.amounts.iter().all(within) && !self.is_forbidden(settings)
    }
}
