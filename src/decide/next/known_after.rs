//! How well the open questions would be known after further runs.
//!
//! In: planners of each model, contrasts and the settings of runs to make. Out: widths of intervals and chances to see a
//! difference, now and then.
//! This module never plans a run, and never takes the scatter of the runs made for that of further ones.

use super::open::{Compared, OpenContrast};
use crate::campaign::Campaign;
use crate::decide::evidence::margin;
use crate::decide::models::ResponseModel;
use crate::regression::{Forecast, NoForecast, Planner, Settings};

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
    /// Half the width that is to be expected after the runs planned.
    pub after: Result<f64, NoForecast>,
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
    pub before: Result<f64, NoForecast>,
    /// The same after the runs planned.
    pub after: Result<f64, NoForecast>,
}

/// Widths and chances of all open questions.
///
/// Widths and chances are means over what the scatter may be, from what the runs made tell of it.
pub(super) fn known_after(
    campaign: &Campaign,
    planners: &[(&ResponseModel, Planner)],
    contrasts: &[OpenContrast],
    runs: &[Settings],
) -> (Vec<Width>, Vec<Power>) {
    let (mut widths, mut power) = (Vec::new(), Vec::new());
    for contrast in contrasts {
        let mut planners = planners.iter();
        let Some((ResponseModel { model, .. }, planner)) =
            planners.find(|(response, _)| response.is_of(&contrast.of))
        else {
            continue;
        };
        let now = planner.known_now(&contrast.parts);
        let then = planner.known_after(runs, &contrast.parts);
        let half = |error: Forecast| error.half_width(model.confidence);
        widths.push(Width {
            response: model.response.clone(),
            unit: contrast.unit.as_ref().unwrap_or(&model.unit).clone(),
            about: contrast.compared.clone(),
            before: now.and_then(|now| half(now).ok()),
            after: then.and_then(half),
        });
        // A margin of the response says nothing of a sum in another unit.
        let stated = margin(campaign, &model.response).filter(|_| contrast.unit.is_none());
        let Some(margin) = stated.filter(|margin| *margin > 0.0) else {
            continue;
        };
        let seen = |error: Forecast| error.power(margin, model.confidence);
        power.push(Power {
            response: model.response.clone(),
            about: contrast.compared.clone(),
            margin,
            before: now.ok_or(NoForecast::CannotBeTold).and_then(seen),
            after: then.and_then(seen),
        });
    }
    (widths, power)
}
