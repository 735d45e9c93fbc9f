//! The models for a terminal or a pipe.
//!
//! In: fitted models. Out: plain text in columns, readable without colour.
//! This module never prints: the program does.

use super::table;
use crate::regression::{FittedModel, OverFactor, ResponseScale};
use crate::report::print::untold_terms::{mix, tangled, written};
use crate::report::print::{Screen, Shown, Width, joined, plain};

/// One block a model: residual scatter, then one line a term.
pub fn models(models: &[FittedModel], width: Width) -> String {
    let mut screen = Screen::new(width);
    for model in models {
        let scale = match model.scale {
            ResponseScale::Plain => "",
            ResponseScale::Logit => ", terms on the logit scale",
        };
        screen.line(&format!(
            "{}: {} runs, {} residual degrees of freedom, method {}{scale}",
            model.response,
            model.runs.len(),
            model.residual_df,
            model.method
        ));
        if let Some(sd) = model.residual_sd {
            let shown = Shown::of(&model.unit);
            let unseen = model.leave_one_out_sd.map(|sd| plain(shown.value(sd)));
            let unseen = unseen.map(|sd| format!(", an unseen run is missed by {sd}"));
            screen.line(&format!(
                "run-to-run standard deviation {}{}",
                shown.scatter(sd),
                unseen.unwrap_or_default()
            ));
        }
        screen.table(&table::terms(model));
        for group in &model.not_separable {
            let terms = joined(written(&group.terms), ", ");
            screen.line(&format!("not separable: {terms} ({})", tangled(&group.why)));
        }
        screen.gap();
    }
    screen.finish()
}

/// One block a model: the expected response over one factor.
pub fn over(pairs: &[(&FittedModel, &OverFactor)], width: Width) -> String {
    let mut screen = Screen::new(width);
    for (model, over) in pairs {
        let runs = model.runs.len();
        screen.line(&format!(
            "{} over {}, {runs} runs, all else at the reference mix ({})",
            model.response,
            over.factor,
            mix(&over.mix, &str::to_string)
        ));
        screen.table(&table::over(model, over));
        screen.gap();
    }
    screen.finish()
}
