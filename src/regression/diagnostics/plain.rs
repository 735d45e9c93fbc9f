//! Which residuals are looked at?
//!
//! In: a checked model and the runs. Out: the plain fit of its terms, whose residuals all count the same.
//! This module never replaces the fit that is reported.

use crate::regression::asked::{FitData, Method, ModelParams, ResponseScale, ValidModel};
use crate::regression::model::FittedModel;

/// A plain fit and what it was fitted to.
pub(super) struct Plain {
    pub model: FittedModel,
    pub data: FitData,
}

/// The plain fit of a model that is to be fitted otherwise, with its runs on the scale of the model.
///
/// None if it is plain already or cannot be fitted.
pub(super) fn fit(valid: &ValidModel, data: &FitData) -> Option<Plain> {
    let params = valid.params();
    if params.method == Method::Plain && params.scale == ResponseScale::Plain {
        return None;
    }
    let plain = ModelParams {
        method: Method::Plain,
        scale: ResponseScale::Plain,
        ..params.clone()
    };
    let data = params.scale.data(data).into_owned();
    let model = plain.check(&data).and_then(|valid| valid.fit(&data)).ok()?;
    Some(Plain { model, data })
}
