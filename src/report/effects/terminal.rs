//! The models for a terminal or a pipe.
//!
//! In: fitted models. Out: plain text in columns, readable without colour.
//! This module never prints: the program does.

use super::table;
use crate::regression::{FittedModel, ResponseScale};
use crate::report::print::term_words::{tangled, written};
use crate::report::print::{Shown, Width, one_line, plain, terminal, wrapped};

/// One block a model: residual scatter, then one line a term.
pub fn models(models: &[FittedModel], width: Width) -> String {
    let mut text = String::new();
    for model in models {
        text.push_str(&wrapped(&scatter(model), width));
        text.push_str(&terminal::table(&table::terms(model), width));
        for group in &model.not_separable {
            let line = format!(
                "not separable: {} ({})\n",
                one_line(&written(&group.terms).join(", ")),
                one_line(&tangled(&group.why))
            );
            text.push_str(&wrapped(&line, width));
        }
        text.push('\n');
    }
    text
}

fn scatter(model: &FittedModel) -> String {
    let shown = Shown::raw(&model.unit);
    let mut text = format!(
        "{}: {} runs, {} residual degrees of freedom, method {}{}\n",
        one_line(&model.response),
        model.runs.len(),
        model.residual_df,
        model.method,
        match model.scale {
            ResponseScale::Plain => "",
            ResponseScale::Logit => ", terms on the logit scale",
        }
    );
    if let Some(sd) = model.residual_sd {
        let unseen = model.leave_one_out_sd.map_or_else(String::new, |sd| {
            format!(", an unseen run is missed by {}", plain(shown.value(sd)))
        });
        text.push_str(&format!(
            "run-to-run standard deviation {} {}{unseen}\n",
            plain(shown.value(sd)),
            one_line(&shown.difference)
        ));
    }
    text
}
