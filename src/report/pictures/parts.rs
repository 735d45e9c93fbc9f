//! Parts of pictures: bars, lines, units, file names.
//!
//! In: figures of an analysis. Out: what charts take.
//! This module never computes more than the unit that an axis shows.

use crate::charts::{Bar, ReferenceLine};
use crate::decide::ModelOf;
use crate::pipeline::{Analysis, Ends};
use crate::regression::Estimate;
use crate::report::print::Shown;
use crate::report::print::aim_names::spelt;
use crate::runs::Outcome;

/// A name from a campaign never stands in a path: only the two names of residuum's own do.
pub(super) fn file_name(response: &ModelOf, position: usize) -> String {
    match response {
        ModelOf::Yield | ModelOf::Purity => response.name().to_string(),
        ModelOf::Declared(_) => format!("response-{}", position + 1),
    }
}

/// The interval of a result, in per cent.
pub(super) fn bar(analysis: &Analysis, outcome: &Outcome) -> Option<Bar> {
    Some(bar_of(analysis.ends(outcome.as_ref().ok()?)))
}

/// The same, of its ends.
pub(super) fn bar_of(ends: Ends) -> Bar {
    Bar {
        value: 100.0 * ends.value,
        low: 100.0 * ends.low,
        high: 100.0 * ends.high,
    }
}

/// An estimate with its interval, in the unit that is shown.
pub(super) fn estimate_bar(estimate: &Estimate, shown: &Shown) -> Bar {
    let ends = estimate.interval;
    Bar {
        value: shown.value(estimate.value),
        low: shown.value(ends.map_or(estimate.value, |ends| ends.low)),
        high: shown.value(ends.map_or(estimate.value, |ends| ends.high)),
    }
}

/// A line at a value, with its label.
pub(super) fn line(value: f64, label: impl Into<String>) -> ReferenceLine {
    let label = label.into();
    ReferenceLine { value, label }
}

/// A unit as an axis shows it, where a bare number is counted in 1.
pub(super) fn on_axis(unit: &str) -> &str {
    if unit.is_empty() { "1" } else { unit }
}

/// A quantity and its unit along an axis.
pub(super) fn along(name: &str, unit: &str) -> String {
    match unit {
        "" => format!("{name} / 1"),
        unit if unit.contains('/') => format!("{name} / ({unit})"),
        unit => format!("{name} / {}", spelt(unit)),
    }
}
