//! What does the campaign file itself say of the solubility?
//!
//! In: `[solubility]`. Out: its points as mass fractions and its density, or [`Unknown`] for a faulty figure.
//! This module never mends a figure.

use super::piece::Point;
use super::reason::Unknown;
use super::table;
use crate::campaign::{Solubility, SolubilityPoint};

/// Water that a stated solubility refers to [g].
const WATER: f64 = 100.0;

/// The density of the saturated liquor [g/mL], if the campaign states one.
pub(super) fn stated_density(plan: Option<&Solubility>) -> Result<Option<f64>, Unknown> {
    match plan.and_then(|plan| plan.density) {
        Some(density) if !(density.is_finite() && density > 0.0) => Err(Unknown::Impossible {
            what: "density",
            value: density,
        }),
        density => Ok(density),
    }
}

/// Own points in order of temperature, as mass fractions `w = s/(100 + s)`.
pub(super) fn own_points(stated: &[SolubilityPoint]) -> Result<Vec<Point>, Unknown> {
    let impossible = |what, value| Err(Unknown::Impossible { what, value });
    let mut points = Vec::new();
    for point in stated {
        if !point.temperature.is_finite() {
            return impossible("temperature", point.temperature);
        }
        if !(point.per_100_g.is_finite() && point.per_100_g >= 0.0) {
            return impossible("solubility", point.per_100_g);
        }
        points.push(Point {
            temperature: point.temperature,
            mass_fraction: point.per_100_g / (WATER + point.per_100_g),
            relative_uncertainty: table::COMPARED,
            change_after: None,
        });
    }
    points.sort_by(|a, b| a.temperature.total_cmp(&b.temperature));
    let twice = points
        .windows(2)
        .find(|pair| pair[0].temperature == pair[1].temperature);
    match twice {
        Some(pair) => Err(Unknown::SameTemperature {
            temperature: pair[0].temperature,
        }),
        None => Ok(points),
    }
}
