//! The same results for a terminal or a pipe.
//!
//! In: runs, models, faults. Out: plain text in columns, readable without colour.
//! This module never prints: the program does.

use super::doubts;
pub(super) use super::escape::terminal as one_line;
use super::model_tables;
use super::numbers::{fixed, plain};
use super::print::{Width, terminal, wrapped};
use super::run_tables;
use super::shown::Shown;
use super::tangle_words::{tangled, written};
use crate::caveat::Caveat;
use crate::intake::LeftOut;
use crate::regression::{FittedModel, ResponseScale};
use crate::runs::Runs;

/// One line a run: yields, purity and closure in %, each with half the width of its interval.
pub fn yields(runs: &Runs, confidence: f64, width: Width) -> String {
    let table = run_tables::yields(runs, confidence, runs.results.iter());
    let note = format!(
        "± is half the width of a {} % interval\n",
        fixed(100.0 * confidence, 0)
    );
    terminal::table(&table, width) + &wrapped(&note, width)
}

/// One block a model: residual scatter, then one line a term.
pub fn models(models: &[FittedModel], width: Width) -> String {
    let mut text = String::new();
    for model in models {
        text.push_str(&wrapped(&scatter(model), width));
        text.push_str(&terminal::table(&model_tables::terms(model), width));
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

/// Doubts, one line each.
pub fn caveats(caveats: &[Caveat]) -> String {
    caveats
        .iter()
        .map(|caveat| {
            format!(
                "doubt: {}\n  hint: {}\n",
                one_line(&doubts::seen(caveat)),
                one_line(&doubts::advice(caveat))
            )
        })
        .collect()
}

/// Rows left out, one line each.
pub fn left_out(entries: &[LeftOut]) -> String {
    entries
        .iter()
        .map(|entry| {
            let hint = entry
                .error
                .advice()
                .map_or_else(String::new, |hint| format!("  hint: {}\n", one_line(hint)));
            let run = entry
                .run
                .as_deref()
                .map_or_else(String::new, |run| format!(" run `{}`", one_line(run)));
            format!("left out:{run} {}\n{hint}", one_line(entry.error.message()))
        })
        .collect()
}
