//! Measurements of several days compared: whether they agree, go along a line, or neither.
//!
//! In: measurements with their days. Out: [`ByDate`], and the [`Trend`] where there is one to be seen.
//! This module never takes a change for chance that the days speak against, and never takes errors apart that days share.

use std::collections::BTreeMap;

use super::by_date::{ByDate, Law};
use super::reading_errors::{Book, Label, Spread};
use crate::distributions::{chi_squared_upper, f_upper};
use crate::measured::{Measured, SourceId};

/// Chance below which days disagree, a slope is a trend, or a line does not fit.
pub(super) const LEVEL: f64 = 0.05;

/// The slope of all days.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Trend {
    /// Change in a day, relative to the mean.
    pub per_day: f64,
    /// Its standard error.
    pub error: f64,
    /// Chance of as much by luck.
    pub chance: f64,
}

/// What is measured on a day that is known.
struct Dated<'a> {
    day: f64,
    value: &'a Measured,
    weight: f64,
}

/// Weights of measurements by the inverse variance of what each has for itself; all alike where one has nothing.
pub(super) fn weights(all: &[&Measured]) -> (Vec<f64>, bool) {
    let variances = own_variances(all);
    let known = variances.iter().all(|variance| *variance > 0.0);
    match known {
        true => (variances.iter().map(|of| 1.0 / of).collect(), true),
        false => (vec![1.0; all.len()], false),
    }
}

/// Variance of each measurement from sources that no other shares.
fn own_variances(all: &[&Measured]) -> Vec<f64> {
    let mut holders: BTreeMap<SourceId, usize> = BTreeMap::new();
    for (source, _) in all.iter().flat_map(|row| row.parts()) {
        *holders.entry(*source).or_insert(0) += 1;
    }
    let own = |row: &&Measured| {
        let parts = row.parts().iter();
        let own = parts.filter(|(source, _)| holders[source] == 1);
        own.map(|(_, c)| c * c).sum()
    };
    all.iter().map(own).collect()
}

/// How measurements of one thing disagree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Disagreement {
    /// How many times as far as their errors explain they scatter.
    pub times: f64,
    /// Chance of as much by luck.
    pub chance: f64,
    /// Standard uncertainty that was added to their mean.
    pub added: f64,
}

/// Mean of all measurements, weighted by inverse variance of what they do not share; where they scatter more than that
/// explains, the excess is a source of its own.
///
/// `w ∝ 1/uᵢ²`; `χ² = Σ (cᵢ − c̄)²/uᵢ²` with `n − 1` degrees of freedom; excess `u² = (χ²/(n−1) − 1)/Σ(1/uᵢ²)`.
///
/// # Source
/// Weighted mean and its consistency: Birge, Phys. Rev. 40 (1932) 207 (ratio of external to internal error).
pub(super) fn mean_of_all(
    single: &[&Measured],
    label: String,
    book: &mut Book,
) -> (Measured, Option<Disagreement>) {
    let (weights, known) = weights(single);
    let total: f64 = weights.iter().sum();
    let weighed = || single.iter().zip(&weights);
    let parts: Vec<Measured> = weighed()
        .map(|(row, weight)| Measured::clone(row) * (weight / total))
        .collect();
    let mean = Measured::sum(&parts);
    let degrees = single.len() as f64 - 1.0;
    if !known || degrees < 1.0 {
        return (mean, None);
    }
    let chi_squared: f64 = weighed()
        .map(|(row, weight)| weight * (row.value() - mean.value()).powi(2))
        .sum();
    let chance = chi_squared_upper(chi_squared, degrees).unwrap_or(1.0);
    if chance >= LEVEL {
        return (mean, None);
    }
    let added = ((chi_squared / degrees - 1.0) / total).max(0.0).sqrt();
    let excess = book.own(0.0, label, Spread::normal(added, degrees));
    let found = Disagreement {
        times: (chi_squared / degrees).sqrt(),
        chance,
        added,
    };
    (&mean + &excess, Some(found))
}

/// How a quantity goes with the days, and its trend, where there is one to be seen.
///
/// One mean while neither test below finds anything at 5 %; else a line, where three days or more do not depart from it
/// at 5 %; else the way between neighbours. Weights `w` are `1/uᵢ²` of what each measurement has for itself, or 1 where one
/// states nothing; sums of squares of days about the mean (`m − 1` degrees of freedom), of the slope (1), of days about the
/// line (`m − 2`) and of replicates of one day (`n − m`).
///
/// - *Trend*: slope against the scatter about the line, `F(1, n − 2)`, the square of Student's `t`; or against the stated
///   errors, χ² with 1 degree of freedom.
/// - *Disagreement* of days, and *fit* of the line: χ² against the stated errors; where replicates of one day scatter
///   further than these at 5 %, or nothing is stated, `F` against the replicates.
///
/// Where scatter is larger than what is stated the rest is a source of its own, of the line for its level and for its slope.
/// Between neighbours, `σ²` a day is what days depart from the way between their neighbours by, beyond their errors; with two
/// days `(c₂ − c₁)²/(3·(t₂ − t₁))`, which makes every value between them as likely halfway.
///
/// # Assumes
/// Errors are about normal; a day is one point in time.
/// # Source
/// Straight line and its lack of fit: Draper and Smith, Applied regression analysis, 3rd edition, 1998, 1.4 and 2.1, from memory.
/// Checked by `tests/check-scripts/titrant_strength.py` and simulated in `tests/it/coverage/ageing.rs`.
pub(super) fn by_date(
    points: &[(Option<i32>, &Measured)],
    pooled: Measured,
    label: impl Fn(&str) -> Label,
    book: &mut Book,
) -> (ByDate, Option<Trend>) {
    let dated = points
        .iter()
        .filter_map(|(day, value)| Some(((*day)?, *value)));
    let (days, values): (Vec<i32>, Vec<&Measured>) = dated.unzip();
    let (weights, known) = weights(&values);
    let dated = days.iter().zip(&values).zip(weights);
    let dated: Vec<Dated> = dated
        .map(|((day, value), weight)| Dated {
            day: f64::from(*day),
            value,
            weight,
        })
        .collect();
    let alike = |pooled| ByDate {
        pooled,
        law: Law::Pooled,
    };
    let Some(seen) = Seen::of(&dated, known) else {
        return (alike(pooled), None);
    };
    let trend = seen.trend();
    let is_real = |chance: Option<f64>| chance.is_some_and(|chance| chance < LEVEL);
    let has_trend = is_real(trend.map(|trend| trend.chance));
    let days = seen.days.len() as f64;
    if !has_trend && !is_real(seen.chance(seen.between(), days - 1.0)) {
        return (alike(pooled), trend);
    }
    let fits = days > 2.0 && !is_real(seen.chance(seen.off_line(), days - 2.0));
    let law = match fits {
        true => seen.line(&dated, &label, book),
        false => seen.between_neighbours(&dated, &label, book),
    };
    (ByDate { pooled, law }, trend)
}

/// Sums over measurements on two days or more.
struct Seen {
    known: bool,
    count: f64,
    total: f64,
    middle: f64,
    mean: f64,
    across: f64,
    slope: f64,
    /// Day, weight and mean of each day.
    days: Vec<(f64, f64, f64)>,
    /// Squares about the mean of their day.
    within: f64,
    /// Mean variance that measurements have for themselves, in units of their weight.
    stated: f64,
}

impl Seen {
    fn of(dated: &[Dated], known: bool) -> Option<Seen> {
        let mut by_day: BTreeMap<i64, Vec<&Dated>> = BTreeMap::new();
        for point in dated {
            by_day.entry(point.day as i64).or_default().push(point);
        }
        if by_day.len() < 2 {
            return None;
        }
        let sum = |of: &dyn Fn(&Dated) -> f64| dated.iter().map(of).sum::<f64>();
        let total = sum(&|point| point.weight);
        let middle = sum(&|point| point.weight * point.day) / total;
        let mean = sum(&|point| point.weight * point.value.value()) / total;
        let across = sum(&|point| point.weight * (point.day - middle).powi(2));
        let along =
            sum(&|point| point.weight * (point.day - middle) * (point.value.value() - mean));
        let (mut days, mut within) = (Vec::new(), 0.0);
        for points in by_day.values() {
            let weight: f64 = points.iter().map(|point| point.weight).sum();
            let values = points
                .iter()
                .map(|point| point.weight * point.value.value());
            let value = values.sum::<f64>() / weight;
            let squares = points.iter();
            within += squares
                .map(|point| point.weight * (point.value.value() - value).powi(2))
                .sum::<f64>();
            days.push((points[0].day, weight, value));
        }
        let values: Vec<&Measured> = dated.iter().map(|point| point.value).collect();
        let own: f64 = own_variances(&values).iter().sum();
        let count = dated.len() as f64;
        Some(Seen {
            known,
            count,
            total,
            middle,
            mean,
            across,
            slope: along / across,
            days,
            within,
            stated: if known { 1.0 } else { own / count },
        })
    }

    fn of_slope(&self) -> f64 {
        self.slope * self.slope * self.across
    }

    /// Squares of days about the mean of all.
    fn between(&self) -> f64 {
        let days = self.days.iter();
        days.map(|(_, weight, value)| weight * (value - self.mean).powi(2))
            .sum()
    }

    /// Squares of days about the line; what rounding leaves is nothing.
    fn off_line(&self) -> f64 {
        let days = self.days.iter();
        let off = |(day, weight, value): &(f64, f64, f64)| {
            weight * (value - self.mean - self.slope * (day - self.middle)).powi(2)
        };
        days.map(off).sum()
    }

    /// Degrees of freedom of replicates of one day.
    fn replicates(&self) -> f64 {
        self.count - self.days.len() as f64
    }

    /// Whether the stated errors explain how far replicates of one day scatter.
    fn stated_hold(&self) -> bool {
        let chance = chi_squared_upper(self.within, self.replicates());
        self.known && (self.replicates() < 1.0 || chance.is_none_or(|chance| chance >= LEVEL))
    }

    /// Chance of a sum of squares by luck; `None` where there is nothing to hold it against.
    fn chance(&self, squares: f64, degrees: f64) -> Option<f64> {
        let replicates = self.replicates();
        match self.stated_hold() {
            true => chi_squared_upper(squares, degrees),
            false if replicates < 1.0 || self.within <= 0.0 => None,
            false => f_upper(
                squares / degrees * replicates / self.within,
                degrees,
                replicates,
            ),
        }
    }

    fn trend(&self) -> Option<Trend> {
        let degrees = self.count - 2.0;
        let scatter = self.within + self.off_line();
        let by_scatter = match (degrees >= 1.0, scatter > 0.0) {
            (false, _) => None,
            (true, true) => f_upper(self.of_slope() * degrees / scatter, 1.0, degrees),
            // Points exactly on a slope leave no doubt about it.
            (true, false) => Some(if self.slope == 0.0 { 1.0 } else { 0.0 }),
        };
        let by_stated = self
            .chance(self.of_slope(), 1.0)
            .filter(|_| self.stated_hold());
        let chances = by_scatter.into_iter().chain(by_stated);
        let error = match by_scatter {
            Some(_) => (scatter / degrees / self.across).sqrt(),
            None => self.across.powf(-0.5),
        };
        Some(Trend {
            per_day: self.slope / self.mean,
            error: error / self.mean.abs(),
            chance: chances.min_by(f64::total_cmp)?,
        })
    }

    fn line(&self, dated: &[Dated], label: &impl Fn(&str) -> Label, book: &mut Book) -> Law {
        let weighed = |by: &dyn Fn(&Dated) -> f64| {
            let parts: Vec<Measured> = dated.iter().map(|at| at.value.clone() * by(at)).collect();
            Measured::sum(&parts)
        };
        let mut level = weighed(&|at| at.weight / self.total);
        let mut per_day = weighed(&|at| at.weight * (at.day - self.middle) / self.across);
        let degrees = self.count - 2.0;
        let scatter = self.within + self.off_line();
        let explained = chi_squared_upper(scatter, degrees).is_none_or(|chance| chance >= LEVEL);
        let more = (scatter / degrees - self.stated).max(0.0);
        if more > 0.0 && !(self.known && explained) {
            let mut add = |to: &mut Measured, what: &str, over: f64| {
                let spread = Spread::normal((more / over).sqrt(), degrees);
                *to = &*to + &book.own(0.0, label(what), spread);
            };
            add(&mut level, "scatter about line", self.total);
            add(&mut per_day, "slope of line", self.across);
        }
        Law::Line {
            middle: self.middle,
            level,
            per_day,
        }
    }

    fn between_neighbours(
        &self,
        dated: &[Dated],
        label: &impl Fn(&str) -> Label,
        book: &mut Book,
    ) -> Law {
        let replicates = self.replicates();
        let more = match self.stated_hold() || replicates < 1.0 {
            true => 0.0,
            false => (self.within / replicates - self.stated).max(0.0),
        };
        let of_day = |(day, weight, _): &(f64, f64, f64)| {
            let rows = dated.iter().filter(|at| at.day == *day);
            let parts: Vec<Measured> = rows
                .map(|at| at.value.clone() * (at.weight / weight))
                .collect();
            let mean = Measured::sum(&parts);
            if more <= 0.0 {
                return (*day, mean);
            }
            let spread = Spread::normal((more / weight).sqrt(), replicates);
            (
                *day,
                &mean + &book.own(0.0, label("replicates within days"), spread),
            )
        };
        let days: Vec<(f64, Measured)> = self.days.iter().map(of_day).collect();
        let own = |weight: f64| (self.stated + more) / weight;
        let mut off = (0.0, 0.0);
        for three in self.days.windows(3) {
            let [(before, w0, c0), (day, w1, c1), (behind, w2, c2)] =
                [three[0], three[1], three[2]];
            let part = (day - before) / (behind - before);
            let apart = c1 - (1.0 - part) * c0 - part * c2;
            let errors = own(w1) + (1.0 - part).powi(2) * own(w0) + part.powi(2) * own(w2);
            off.0 += apart * apart - errors;
            off.1 += (behind - before) * part * (1.0 - part);
        }
        let (a_day, degrees) = match self.days.as_slice() {
            [(first, _, low), (last, _, high)] => {
                let square = (high - low).powi(2) / 3.0;
                (square / (last - first), f64::INFINITY)
            }
            several => (off.0 / off.1, several.len() as f64 - 2.0),
        };
        let spread = Spread::normal(a_day.max(0.0).sqrt(), degrees);
        let gaps = (0..=days.len()).filter(|_| a_day > 0.0);
        let wander = gaps.map(|_| book.own(0.0, label("wandering between days"), spread));
        let wander = wander.collect();
        Law::Between { days, wander }
    }
}
