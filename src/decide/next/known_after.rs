//! How well would the open questions be known after these runs?
//!
//! In: planners of each model, contrasts and the settings of runs to make. Out: widths of intervals and chances to see a
//! difference, now and then.
//! This module never plans a run, and never promises more than the variances of the fit allow.

use super::{Compared, OpenContrast};
use crate::campaign::Campaign;
use crate::decide::{ResponseModel, margin};
use crate::distributions::coverage_factor;
use crate::regression::{Forecast, Planner, Settings, power_of_t_test};

/// Half the width of an interval, now and after further runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Width {
    /// The response.
    pub response: String,
    /// Its unit.
    pub unit: String,
    /// The difference.
    pub about: Compared,
    /// Half the width from the runs made, in the unit of the response; None if they cannot tell it.
    pub before: Option<f64>,
    /// Half the width that is to be expected after the runs planned; None if they cannot tell it either.
    pub after: Option<f64>,
}

/// The chance to see a difference of the size that matters.
#[derive(Debug, Clone, PartialEq)]
pub struct Power {
    /// The response.
    pub response: String,
    /// The difference.
    pub about: Compared,
    /// The size that matters, in the unit of the response.
    pub margin: f64,
    /// Chance that an interval from the runs made leaves zero out when the true difference is so large.
    pub before: Option<f64>,
    /// The same after the runs planned.
    pub after: Option<f64>,
}

/// Widths and chances of all open questions.
pub(super) struct KnownAfter {
    pub widths: Vec<Width>,
    pub power: Vec<Power>,
}

pub(super) fn known_after(
    campaign: &Campaign,
    planners: &[(&ResponseModel, Planner)],
    contrasts: &[OpenContrast],
    runs: &[Settings],
) -> KnownAfter {
    let mut found = KnownAfter {
        widths: Vec::new(),
        power: Vec::new(),
    };
    for contrast in contrasts {
        let planner = planners
            .iter()
            .find(|(response, _)| response.is_of(&contrast.of));
        let Some((ResponseModel { model, .. }, planner)) = planner else {
            continue;
        };
        let now = planner.known_now(&contrast.parts);
        let then = planner.known_after(runs, &contrast.parts);
        let reach = |error: Forecast| {
            coverage_factor(model.confidence, error.degrees_of_freedom)
                .map(|factor| factor * error.standard_error)
        };
        found.widths.push(Width {
            response: model.response.clone(),
            unit: contrast.unit.clone().unwrap_or_else(|| model.unit.clone()),
            about: contrast.compared.clone(),
            before: now.and_then(reach),
            after: then.and_then(reach),
        });
        // A margin of the response says nothing of a sum in another unit.
        let stated = margin(campaign, &model.response).filter(|_| contrast.unit.is_none());
        let margin = stated.filter(|margin| *margin > 0.0);
        if let Some(margin) = margin {
            let seen = |error: Forecast| {
                power_of_t_test(
                    margin / error.standard_error,
                    error.degrees_of_freedom,
                    1.0 - model.confidence,
                )
            };
            found.power.push(Power {
                response: model.response.clone(),
                about: contrast.compared.clone(),
                margin,
                before: now.and_then(seen),
                after: then.and_then(seen),
            });
        }
    }
    found
}
