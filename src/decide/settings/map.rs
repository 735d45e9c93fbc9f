//! The response around the best settings.
//!
//! In: the best settings, the region and a judge. Out: [`SettingsMap`] over two amounts, or [`SettingsLine`] over one.
//! This module never shows a place outside the region.

use super::contours::{Contour, Heights, contours, round_heights};
use super::how_good::Judge;
use super::region::{AmountRange, Region};
use crate::regression::{Estimate, Settings};

/// Places of a map from left to right, and from bottom to top.
const COLUMNS: usize = 37;
const ROWS: usize = 25;
/// Places of a line.
const ON_LINE: usize = 41;
/// Places at which the reach of an amount is looked at.
const LOOKS: usize = 9;

/// The response over the two amounts that matter most, everything else at the best settings.
#[derive(Debug, Clone)]
pub struct SettingsMap {
    /// The amount from left to right.
    pub x: AmountRange,
    /// The amount from bottom to top.
    pub y: AmountRange,
    /// Places from left to right, in the unit of the amount.
    pub columns: Vec<f64>,
    /// Places from bottom to top.
    pub rows: Vec<f64>,
    /// Mean response at each place, the lowest row first.
    pub values: Vec<f64>,
    /// Whether the settings there are good: near enough, pure enough, and no worse than the best by more than `good_within`.
    pub good: Vec<bool>,
    /// Whether the runs are too far away for the settings to be proposed.
    pub far: Vec<bool>,
    /// Whether runs there miss the specification too often.
    pub impure: Vec<bool>,
    /// Lines of equal response.
    pub contours: Vec<Contour>,
    /// A difference in the response that good settings may lie behind the best.
    pub good_within: f64,
}

/// The response over the only amount, everything else at the best settings.
#[derive(Debug, Clone)]
pub struct SettingsLine {
    /// The amount.
    pub x: AmountRange,
    /// Places with the mean response.
    pub points: Vec<LinePoint>,
}

/// One place of a [`SettingsLine`].
#[derive(Debug, Clone)]
pub struct LinePoint {
    /// The amount.
    pub x: f64,
    /// Mean response.
    pub mean: Estimate,
}

/// The amounts that change the response most over their range at the best settings, the most first.
fn by_reach<'a>(region: &'a Region, judge: &Judge, best: &Settings) -> Vec<&'a AmountRange> {
    let reach = |range: &AmountRange| {
        let at = |value: f64| best.clone().amount(&range.factor, value);
        let gains = range.places(LOOKS).into_iter();
        let gains: Vec<f64> = gains.filter_map(|value| judge.gain(&at(value))).collect();
        let low = gains.iter().copied().fold(f64::INFINITY, f64::min);
        gains.into_iter().fold(f64::NEG_INFINITY, f64::max) - low
    };
    let ranges = region.amounts.iter().map(|range| (reach(range), range));
    let mut ranked: Vec<(f64, &AmountRange)> = ranges.collect();
    ranked.sort_by(|one, other| other.0.total_cmp(&one.0));
    ranked.into_iter().map(|(_, range)| range).collect()
}

/// The map over the two amounts that matter most; None with fewer than two.
pub(super) fn map(
    region: &Region,
    judge: &Judge,
    best: &Settings,
    good_within: f64,
) -> Option<SettingsMap> {
    let ranked = by_reach(region, judge, best);
    let (x, y) = (*ranked.first()?, *ranked.get(1)?);
    let top = judge.gain(best)?;
    let (columns, rows) = (x.places(COLUMNS), y.places(ROWS));
    let mut map = SettingsMap {
        x: x.clone(),
        y: y.clone(),
        values: Vec::new(),
        good: Vec::new(),
        far: Vec::new(),
        impure: Vec::new(),
        contours: Vec::new(),
        good_within,
        columns,
        rows,
    };
    for &up in &map.rows {
        for &over in &map.columns {
            let settings = best.clone().amount(&x.factor, over).amount(&y.factor, up);
            let gain = judge.gain(&settings);
            let far = !judge.is_near(&settings);
            let impure = !judge.is_pure(&settings);
            let close = gain.is_some_and(|gain| top - gain <= good_within);
            let is_good = close && !far && !impure && !region.is_forbidden(&settings);
            let value = gain.map_or(f64::NAN, |gain| judge.aim.direction.gain(gain));
            map.good.push(is_good);
            map.far.push(far);
            map.impure.push(impure);
            map.values.push(value);
        }
    }
    let heights = Heights {
        x: &map.columns,
        y: &map.rows,
        values: &map.values,
    };
    let lines = round_heights(&map.values).into_iter();
    map.contours = lines.flat_map(|height| contours(heights, height)).collect();
    Some(map)
}

/// The line over the only amount; None with none or more than one.
pub(super) fn line(region: &Region, judge: &Judge, best: &Settings) -> Option<SettingsLine> {
    let [x] = region.amounts.as_slice() else {
        return None;
    };
    let points = x.places(ON_LINE).into_iter();
    let points = points.filter_map(|value| {
        let settings = best.clone().amount(&x.factor, value);
        Some(LinePoint {
            x: value,
            mean: judge.goal.estimate(&settings).ok()?,
        })
    });
    Some(SettingsLine {
        x: x.clone(),
        points: points.collect(),
    })
}
