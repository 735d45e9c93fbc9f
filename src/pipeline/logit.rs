//! Responses that are fitted on the logit scale: which, at what values, and faults for those that are no fraction.
//!
//! In: the model asked for, and the responses with their units. Out: [`ResponseScale`], values with their doubts, and faults.
//! This module never moves a value that has a logit.

use std::borrow::Cow;

use crate::campaign::{Campaign, ModelPlan};
use crate::caveat::{AtAnEnd, Caveat, Doubt};
use crate::error::{Error, ErrorKind};
use crate::regression::ResponseScale;
use crate::runs::{ResponseColumn, RunResult, Runs};

/// The unit of yield and purity, and of any other fraction.
const FRACTION: &str = "1";

/// The scale that the campaign asks for.
pub(super) fn of(plan: &ModelPlan, response: &str) -> ResponseScale {
    if plan.logit.contains_key(response) {
        ResponseScale::Logit
    } else {
        ResponseScale::Plain
    }
}

/// Standard uncertainties by which a fraction may lie beyond an end and still be taken at it.
const WITHIN: f64 = 3.0;

/// Decimals of a logged number at most; one with more was worked out, and its last says nothing.
const MOST_DECIMALS: usize = 9;

/// The values that the model of a response is fitted to, one a run, and the doubts about those that have no logit.
///
/// At 0 or 1 the logit is infinite, and what is beyond has none; an assay errs to both sides, so a pure product is found
/// there now and then. Within three standard uncertainties of the end such a value is taken at half a standard
/// uncertainty inside: less would let the one run outweigh all others by a distance that was never measured, more would
/// call it less pure than its assay can tell. Where no uncertainty is known the value must be the end itself, and is taken
/// half a last decimal inside, as far as rounding may have moved it: the last decimal of any run of the response or, where
/// the numbers were worked out, the distance of the nearest run. What lies beyond is left out.
/// Where no run has a logit nothing is changed: such a response is no fraction, and the fit says so.
///
/// # Source
/// Cox, Analysis of binary data, 1970, 3.2 (half a unit added at both ends of an empirical logit).
pub(super) fn with_logits<'a>(
    plan: &ModelPlan,
    runs: &Runs,
    column: &'a ResponseColumn,
) -> (Cow<'a, [Option<f64>]>, Vec<Caveat>) {
    let has_logit = |value: f64| value > 0.0 && value < 1.0;
    let numbered = runs.results.iter().zip(&column.values).enumerate();
    let counted = numbered.filter(|(_, (run, _))| run.set_aside.is_none());
    let of_runs: Vec<(usize, &RunResult, f64)> = counted
        .filter_map(|(position, (run, value))| Some((position, run, (*value)?)))
        .collect();
    let inside = of_runs.iter().map(|(_, _, value)| *value);
    let inside: Vec<f64> = inside.filter(|&value| has_logit(value)).collect();
    let as_they_are = Cow::Borrowed(&column.values[..]);
    if of(plan, &column.name) == ResponseScale::Plain
        || inside.is_empty()
        || inside.len() == of_runs.len()
    {
        return (as_they_are, Vec::new());
    }
    let unit = last_decimal(&inside);
    let mut values = as_they_are.into_owned();
    let (mut taken, mut left_out) = (Vec::new(), Vec::new());
    let ends = of_runs.iter().filter(|(_, _, value)| !has_logit(*value));
    for &(position, run, value) in ends {
        let uncertainty = column.kind.of(run).map_or(0.0, |found| found.uncertainty());
        let end = if value < 0.5 { 0.0 } else { 1.0 };
        let within = (value - end).abs() <= WITHIN * uncertainty;
        let step = if uncertainty > 0.0 { uncertainty } else { unit };
        let limit = end + (0.5 - end).signum() * step / 2.0;
        let taken_at = Some(limit).filter(|&limit| within && has_logit(limit));
        values[position] = taken_at;
        let found = AtAnEnd {
            run: run.run.clone(),
            value,
            taken_at,
        };
        match taken_at {
            Some(_) => taken.push(found),
            None => left_out.push(found),
        }
    }
    let doubts = [
        (!taken.is_empty()).then_some(Doubt::FractionAtAnEnd { runs: taken }),
        (!left_out.is_empty()).then_some(Doubt::FractionBeyondAnEnd { runs: left_out }),
    ];
    let caveats = doubts.into_iter().flatten();
    let caveats = caveats.map(|doubt| Caveat::of_response(&column.name, doubt));
    (Cow::Owned(values), caveats.collect())
}

/// The unit of the last decimal of numbers as they were logged; of numbers that were worked out, the smallest distance from
/// 0 or 1.
fn last_decimal(values: &[f64]) -> f64 {
    let decimals = values.iter().map(|value| {
        let text = value.to_string();
        text.split_once('.').map_or(0, |(_, after)| after.len())
    });
    match decimals.max() {
        Some(most) if most <= MOST_DECIMALS => 10_f64.powi(-(most as i32)),
        _ => {
            let distances = values.iter().map(|&value| value.min(1.0 - value));
            distances.fold(1.0, f64::min)
        }
    }
}

/// A fault for each response that is to be fitted as a fraction and is none.
pub(super) fn faults(campaign: &Campaign, runs: &Runs) -> Vec<Error> {
    let asked = campaign.model.iter().flat_map(|plan| &plan.logit);
    asked
        .filter_map(|(name, &line)| {
            let column = runs.responses.iter().find(|column| column.name == *name)?;
            let unit = match column.unit.as_str() {
                FRACTION => return None,
                "" => "has no unit".to_string(),
                unit => format!("is in `{unit}`"),
            };
            let message = format!(
                "`model.scale.{name}` is `logit`, but `{name}` {unit} and is no fraction, in `{}` line {line}",
                campaign.file
            );
            let hint = format!(
                "only yield, purity and responses with `unit = \"1\"` have a logit; take `{name}` out of `scale`, or declare its unit under `[responses.{name}]`"
            );
            let fault = Error::new(ErrorKind::Campaign, message).in_file(&campaign.file);
            Some(fault.on_line(line).hint(hint))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_decimal_is_that_of_the_longest_number() {
        assert_eq!(last_decimal(&[0.98, 0.9712, 0.5]), 1e-4);
        // A third was worked out; 0.99 is nearest to an end.
        assert!((last_decimal(&[1.0 / 3.0, 0.99]) - 0.01).abs() < 1e-12);
    }
}
