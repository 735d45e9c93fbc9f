//! Which residuals are looked at?
//!
//! In: a checked model and the runs. Out: the plain fit of its terms, whose residuals all count the same.
//! This module never replaces the fit that is reported.

use crate::regression::data::FitData;
use crate::regression::fitted::FittedModel;
use crate::regression::params::{MethodAsked, ModelParams, ValidModel};

/// The plain fit of a model that is to be fitted otherwise; None if it is plain already or cannot be fitted.
pub(super) fn fit(valid: &ValidModel, data: &FitData) -> Option<FittedModel> {
    let params = valid.params();
    if params.method == MethodAsked::Plain {
        return None;
    }
    let plain = ModelParams {
        method: MethodAsked::Plain,
        ..params.clone()
    };
    plain.check(data).and_then(|valid| valid.fit(data)).ok()
}
