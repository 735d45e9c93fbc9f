//! The same results for a terminal or a pipe.
//!
//! In: runs, models, faults. Out: plain text in columns, readable without colour.
//! This module never prints: the program does.

use super::doubts;
use super::numbers::{fixed, plain, plus_minus, probability};
use super::shown::Shown;
use crate::caveat::Caveat;
use crate::intake::LeftOut;
use crate::regression::{FittedModel, ResponseScale};
use crate::runs::{Outcome, Runs};

/// One line a run: yields and purity in %, each with its standard uncertainty.
pub fn yields(runs: &Runs) -> String {
    let mut rows = vec![header(&[
        "run",
        "lot",
        "gross / %",
        "assay-adjusted / %",
        "contained / %",
        "purity / %",
        "closure / %",
    ])];
    for run in &runs.results {
        rows.push(vec![
            run.run.clone(),
            run.lot.clone().unwrap_or_default(),
            percent(&run.gross),
            percent(&run.assay_adjusted),
            percent(&run.contained),
            percent(&run.purity),
            percent(&run.balance.closure),
        ]);
    }
    let mut text = columns(&rows);
    text.push_str("± is one standard uncertainty (k = 1)\n");
    text
}

fn percent(outcome: &Outcome) -> String {
    match outcome {
        Ok(value) => plus_minus(100.0 * value.value(), 100.0 * value.uncertainty()),
        Err(_) => "-".into(),
    }
}

/// One block a model: residual scatter, then one line a term.
pub fn models(models: &[FittedModel]) -> String {
    let mut text = String::new();
    for model in models {
        let shown = Shown::of(&model.unit);
        text.push_str(&format!(
            "{}: {} runs, {} residual degrees of freedom, method {}{}\n",
            one_line(&model.response),
            model.runs.len(),
            model.residual_df,
            model.method,
            match model.scale {
                ResponseScale::Plain => "",
                ResponseScale::Logit => ", terms on the logit scale",
            }
        ));
        if let Some(sd) = model.residual_sd {
            let unseen = model.leave_one_out_sd.map_or_else(String::new, |sd| {
                format!(", an unseen run is missed by {}", plain(shown.value(sd)))
            });
            text.push_str(&format!(
                "run-to-run standard deviation {} {}{unseen}\n",
                plain(shown.value(sd)),
                shown.difference
            ));
        }
        let mut rows = vec![header(&[
            "term",
            "value",
            "standard error",
            "t",
            "chance by luck",
        ])];
        for term in &model.terms {
            rows.push(vec![
                term.term.clone(),
                plain(term.value),
                term.standard_error.map_or_else(|| "-".into(), plain),
                term.t.map_or_else(|| "-".into(), |t| fixed(t, 2)),
                term.p.map_or_else(|| "-".into(), probability),
            ]);
        }
        text.push_str(&columns(&rows));
        for group in &model.not_separable {
            text.push_str(&format!(
                "not separable: {} ({})\n",
                one_line(&group.terms.join(", ")),
                one_line(&group.why)
            ));
        }
        text.push('\n');
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

fn header(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| name.to_string()).collect()
}

/// Control characters of a name must not reach a terminal.
pub(super) fn one_line(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}

/// Columns of text with two blanks between them; the first to the left, the others to the right.
pub(super) fn columns(rows: &[Vec<String>]) -> String {
    let rows: Vec<Vec<String>> = rows
        .iter()
        .map(|row| row.iter().map(|cell| one_line(cell)).collect())
        .collect();
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |column: usize| {
        rows.iter()
            .filter_map(|row| row.get(column))
            .map(|cell| cell.chars().count())
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..count).map(width).collect();
    let mut text = String::new();
    for row in &rows {
        let mut line = String::new();
        for (column, cell) in row.iter().enumerate() {
            let blank = " ".repeat(widths[column] - cell.chars().count());
            if column == 0 {
                line.push_str(&format!("{cell}{blank}"));
            } else {
                line.push_str(&format!("  {blank}{cell}"));
            }
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}
