//! What the control sample was found at, and how far purities of its time are off by it.
//!
//! In: titres of the reference material, as mass fractions. Out: [`ControlResult`], and doubts.
//! This module never corrects a purity: it says by what.

use std::collections::{BTreeMap, BTreeSet};

use super::by_date::{Days, Used};
use super::caveats::COVERAGE;
use super::days_compared::{by_date, mean_of_all, weights};
use super::reading_errors::{Book, Label, Spread};
use super::results::{ControlPoint, ControlResult};
use crate::campaign::{ControlSample, Titration};
use crate::caveat::{AtTheBench, Caveat, Doubt, PlusMinus};
use crate::intake::{Logged, LoggedNumber, TitreOf, TitreRow};
use crate::measured::Measured;
use crate::name::Name;

/// Fewest titrations of a control that say anything of the bias.
const FEWEST: usize = 2;

/// What the control was found at over its stated purity, by the day.
///
/// `R = w/p`, with what was found `w` and the stated purity `p`; a purity corrected for the bias is `w_crop/R`, so that what
/// sample and control share, such as the strength of the titrant, cancels, and what is left of `R` is one error of all
/// corrected purities.
///
/// # Source
/// EURACHEM/CITAC Guide CG 4, QUAM:2012, 7.16 (bias by a reference material), from memory.
pub(super) fn control(
    sample: &ControlSample,
    titration: &Titration,
    found: Vec<(&TitreRow, Measured)>,
    days: &Days,
    book: &mut Book,
) -> Option<ControlResult> {
    let mut points: Vec<ControlPoint> = found
        .into_iter()
        .map(|(row, found)| ControlPoint {
            date: row.date().map(|date| date.text.to_string()),
            day: days.day(row),
            found,
        })
        .collect();
    points.sort_by_key(|point| (point.day.is_none(), point.day));
    if points.is_empty() {
        return None;
    }
    let stated = LoggedNumber {
        value: sample.purity,
        uncertainty: sample.u_purity,
    };
    let label = "control sample purity";
    let stated = book.reading(stated, &["control_purity"], label);
    let recoveries: Vec<Measured> = points.iter().map(|point| &point.found / &stated).collect();
    let single: Vec<&Measured> = recoveries.iter().collect();
    let label = "disagreement of controls";
    let (mean, _) = mean_of_all(&single, label.into(), book);
    let mean = with_scatter(mean, &single, book);
    let dated: Vec<(Option<i32>, &Measured)> =
        points.iter().map(|point| point.day).zip(single).collect();
    let label = |what: &str| Label::from(format!("{what} of the control"));
    let (by_date, _) = by_date(&dated, mean.clone(), label, book);
    Some(ControlResult {
        corrects: titration.correct_bias && points.len() >= FEWEST,
        points,
        recovery: mean,
        by_date,
    })
}

/// The mean with the scatter of all as a source, where no titration has a stated error for itself.
fn with_scatter(mean: Measured, single: &[&Measured], book: &mut Book) -> Measured {
    let (_, known) = weights(single);
    let count = single.len() as f64;
    let square: f64 = single
        .iter()
        .map(|of| (of.value() - mean.value()).powi(2))
        .sum();
    if known || count < 2.0 {
        return mean;
    }
    let spread = Spread::normal((square / (count - 1.0) / count).sqrt(), count - 1.0);
    &mean + &book.own(0.0, "scatter of controls", spread)
}

/// Doubts about purities of the time of a control that was found off, or that tells too little.
pub(super) fn doubts(
    titration: &Titration,
    control: Option<&ControlResult>,
    logged: &Logged,
    days: &Days,
) -> Option<Caveat> {
    titration.control.as_ref()?;
    let of_crops = logged.titres.iter();
    let of_crops = of_crops.filter(|row| matches!(row.of, TitreOf::Crop(_)));
    let titrations = control.map_or(0, |control| control.points.len());
    let told = |doubt| Some(Caveat::of_campaign(Doubt::AtTheBench(doubt)));
    let Some(control) = control.filter(|_| titrations >= FEWEST) else {
        let wanted = titration.correct_bias;
        return told(AtTheBench::ControlTooFew { titrations, wanted });
    };
    let bias = |recovery: &Measured| PlusMinus {
        value: recovery.value() - 1.0,
        half_width: COVERAGE * recovery.uncertainty(),
    };
    let mut off: BTreeMap<&Name, PlusMinus> = BTreeMap::new();
    let mut all: BTreeSet<&Name> = BTreeSet::new();
    for row in of_crops {
        all.insert(&row.run);
        let found = bias(&control.by_date.at(days.day(row)));
        if found.value.abs() > found.half_width {
            off.insert(&row.run, found);
        }
    }
    let furthest = off.values().copied();
    let furthest = furthest.max_by(|one, other| one.value.abs().total_cmp(&other.value.abs()));
    if control.corrects {
        return told(AtTheBench::ControlCorrected {
            bias: bias(&control.recovery),
            titrations,
            by_day: control.by_date.used() != Used::Pooled,
        });
    }
    told(AtTheBench::ControlOff {
        bias: furthest?,
        titrations,
        of: all.len(),
        runs: off.keys().map(|run| run.to_string()).collect(),
        stated: titration
            .control
            .as_ref()
            .is_some_and(|sample| sample.u_purity.is_some()),
    })
}
