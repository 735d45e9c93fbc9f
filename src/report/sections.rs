//! One section a question: picture, table, reading, doubts.
//!
//! In: an analysis. Out: the middle part of the report.
//! This module never repeats a section that has nothing to say: it leaves it out.

use super::another_crop;
use super::cost_section;
use super::drift_section;
use super::escape::markdown;
use super::measurement;
use super::next_section;
use super::numbers::{decimals_for, fixed, plain, plus_minus, probability};
use super::page::Page;
use super::pictures::Pictures;
use super::reasons::refusal;
use super::recycle_section;
use super::route_section::route;
use super::settings_section::settings;
use super::shown::Shown;
use super::trust;
use super::words::{capital, comparison, count, reading};
use crate::caveat::{About, Caveat};
use crate::decide::Moves;
use crate::pipeline::{Analysis, Ends};
use crate::regression::{FittedModel, ResponseScale};
use crate::runs::{Outcome, RunResult};

/// Writes the sections of questions 1 to 9.
pub(super) fn write(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    given(page, analysis, pictures);
    went(page, analysis, pictures);
    for moves in &analysis.answers.moves {
        let found = analysis
            .models
            .models()
            .zip(&analysis.further)
            .find(|(model, _)| model.response == moves.response);
        if let Some((model, further)) = found {
            what_moves(page, moves, model, pictures);
            trust::write(page, model, further);
            model_doubts(page, analysis, moves);
        }
    }
    if let Some(routes) = &analysis.answers.routes {
        route(page, analysis, routes, pictures);
    }
    recycle_section::write(page, analysis, pictures);
    if let Some(found) = &analysis.answers.settings {
        settings(page, found, &analysis.answers.recycling, pictures);
    }
    next_section::write(page, analysis);
    drift_section::write(page, analysis, pictures);
    cost_section::write(page, analysis);
}

pub(super) fn picture(page: &mut Page, pictures: &Pictures, name: &str) {
    if let Some(picture) = pictures.named(name) {
        page.picture(
            &picture.file,
            &markdown(&picture.question),
            &markdown(&picture.caption),
        );
    }
}

/// Doubts about some results, each beside what it touches.
pub(super) fn doubts(page: &mut Page, caveats: &[&Caveat]) {
    if caveats.is_empty() {
        return;
    }
    page.heading(3, "Doubts");
    let items: Vec<String> = caveats
        .iter()
        .map(|caveat| {
            format!(
                "{}. What to do: {}.",
                capital(&markdown(&caveat.seen)),
                markdown(&caveat.advice)
            )
        })
        .collect();
    page.list(&items);
}

fn percent(analysis: &Analysis, outcome: &Outcome) -> String {
    match outcome {
        Ok(value) => with_half_width(analysis.ends(value)),
        Err(_) => "–".into(),
    }
}

fn contained(analysis: &Analysis, run: &RunResult) -> String {
    match analysis.contained_ends(run) {
        None => "–".into(),
        Some(ends) if ends.simulated => {
            let decimals = decimals_for(100.0 * (ends.high - ends.low) / 2.0);
            format!(
                "{} ({} to {}, simulated)",
                fixed(100.0 * ends.value, decimals),
                fixed(100.0 * ends.low, decimals),
                fixed(100.0 * ends.high, decimals)
            )
        }
        Some(ends) => with_half_width(ends),
    }
}

fn with_half_width(ends: Ends) -> String {
    plus_minus(100.0 * ends.value, 100.0 * (ends.high - ends.value))
}

fn given(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    if analysis.answers.given.is_none() {
        return;
    }
    page.heading(2, "1 What did each run really give?");
    picture(page, pictures, "yields-by-run");
    page.paragraph("Gross yield takes the feed as 100 % pure and the product as weighed; assay-adjusted yield counts what the feed and the residue charged really held; contained yield counts pure product only and is what the rest of this report calls yield. All in %, ± half the width of the interval; the last column names the source that takes most of the variance of the contained yield, as the next place to improve.");
    let rows: Vec<Vec<String>> = analysis
        .runs
        .results
        .iter()
        .map(|run| {
            let main = run
                .budget
                .iter()
                .find_map(|share| Some((share.share?, &share.source)))
                .map_or_else(String::new, |(share, source)| {
                    format!("{}, {} %", markdown(source), fixed(100.0 * share, 0))
                });
            let mark = if run.set_aside.is_some() {
                " (set aside)"
            } else {
                ""
            };
            let mut row = vec![
                format!("{}{mark}", markdown(&run.run)),
                run.lot.as_deref().map_or_else(String::new, markdown),
                percent(analysis, &run.gross),
                percent(analysis, &run.assay_adjusted),
                contained(analysis, run),
                percent(analysis, &run.purity),
            ];
            if any_ceiling(analysis) {
                row.push(
                    run.of_ceiling
                        .as_ref()
                        .map_or_else(|| "–".into(), |part| percent(analysis, part)),
                );
            }
            row.push(main);
            row
        })
        .collect();
    let mut headings = vec![
        "run",
        "lot",
        ">gross / %",
        ">assay-adjusted / %",
        ">contained / %",
        ">purity / %",
    ];
    if any_ceiling(analysis) {
        headings.push(">contained, of the route's ceiling / %");
    }
    headings.push("most of the ± comes from");
    page.table(&headings, &rows);
    picture(page, pictures, "yield-and-purity");
    measurement::write(page, analysis, pictures);
    let caveats: Vec<&Caveat> = analysis
        .caveats
        .iter()
        .filter(|caveat| !matches!(caveat.about, About::Model(_)) && !is_about_balance(caveat))
        .collect();
    doubts(page, &caveats);
}

/// Whether a ceiling below 1 is declared for a route that was run.
fn any_ceiling(analysis: &Analysis) -> bool {
    analysis.answers.routes.as_ref().is_some_and(|routes| {
        routes
            .levels
            .iter()
            .any(|level| level.ceiling.is_some_and(|c| c < 1.0))
    })
}

/// Whether a doubt belongs to question 2.
fn is_about_balance(caveat: &Caveat) -> bool {
    caveat.kind.starts_with("closure") || caveat.kind.starts_with("balance")
}

fn went(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    let Some(went) = &analysis.answers.went else {
        return;
    };
    page.heading(2, "2 Where did the rest go?");
    picture(page, pictures, "balance");
    let row = |name: &str, part: crate::decide::Part| {
        vec![
            name.to_string(),
            part.middle
                .map_or_else(|| "not measured".into(), |m| fixed(100.0 * m, 1)),
            part.runs.to_string(),
        ]
    };
    page.table(
        &[
            "part of the charge",
            ">middle of the runs / %",
            ">runs in which it was measured",
        ],
        &[
            row("in the crops", went.crops),
            row("in the mother liquor", went.liquor),
            row("in the residue", went.residue),
            row("nowhere that anyone measured", went.unaccounted),
        ],
    );
    let caveats: Vec<&Caveat> = analysis
        .caveats
        .iter()
        .filter(|caveat| is_about_balance(caveat))
        .collect();
    another_crop::write(page, analysis);
    doubts(page, &caveats);
}

fn what_moves(page: &mut Page, moves: &Moves, model: &FittedModel, pictures: &Pictures) {
    let shown = Shown::of(&moves.unit);
    let name = markdown(&moves.response);
    page.heading(2, &format!("3 What moves {name}?"));
    picture(page, pictures, &format!("moves-{}", moves.response));
    if let Some(sd) = model.residual_sd {
        let left_out = model.leave_one_out_sd.map_or_else(String::new, |sd| {
            format!(
                ", and a run that the model has not seen is missed by {} {}",
                plain(shown.value(sd)),
                shown.difference
            )
        });
        page.paragraph(&format!(
            "The model uses {}. What it leaves unexplained scatters with a standard deviation of {} {}, all sources of scatter together ({}){left_out}.",
            count(model.runs.len(), "run"),
            plain(shown.value(sd)),
            shown.difference,
            format_args!("{} of freedom", count(model.residual_df, "degree")),
        ));
    }
    if model.scale == ResponseScale::Logit {
        page.paragraph("This response is fitted on the logit scale, on which nothing can be foretold beyond 0 or 100 %. A mean is the value that half of the runs exceed, and its interval reaches further towards the middle of the range than towards the end; the ± of a change is of first order.");
    }
    let rows: Vec<Vec<String>> = moves
        .effects
        .iter()
        .map(|effect| {
            let (change, chance) = match &effect.estimate {
                Ok(estimate) => (
                    shown.change(estimate),
                    estimate.p.map_or_else(|| "–".into(), probability),
                ),
                Err(reason) => (markdown(&refusal(reason)), "–".into()),
            };
            let verdict = reading(effect.verdict);
            vec![comparison(effect), change, chance, verdict.to_string()]
        })
        .collect();
    if !rows.is_empty() {
        page.table(
            &[
                "going from one to the other",
                ">change",
                ">chance of as much by luck",
                "reading",
            ],
            &rows,
        );
        page.paragraph("Each change is taken with all else at the reference mix: amounts at the mean of the runs used, other choices equally weighted over the levels that can be told. The intervals hold for each line by itself; among many lines one in twenty misses by luck.");
    }
    for means in &model.adjusted_means {
        page.heading(
            3,
            &format!(
                "{}: what to expect at each level",
                capital(&markdown(&means.factor))
            ),
        );
        let rows: Vec<Vec<String>> = means
            .levels
            .iter()
            .map(|level| {
                let (mean, range) = match &level.mean {
                    Some(mean) => (shown.mean(mean), shown.interval(mean.interval)),
                    None => (
                        "cannot be told".into(),
                        level
                            .reason
                            .as_ref()
                            .map_or_else(String::new, |r| markdown(&r.to_string())),
                    ),
                };
                vec![markdown(&level.level), mean, range]
            })
            .collect();
        page.table(
            &["level", &format!(">mean {name}"), ">interval of the mean"],
            &rows,
        );
        page.paragraph(&format!(
            "Reference mix: {}.",
            markdown(&means.averaged_over)
        ));
    }
    if !model.not_separable.is_empty() {
        page.heading(3, "What cannot be told apart, and which runs would tell");
        let items: Vec<String> = model
            .not_separable
            .iter()
            .map(|group| {
                let terms: Vec<String> = group.terms.iter().map(|t| markdown(t)).collect();
                let runs: Vec<String> = group
                    .runs_that_would_separate
                    .iter()
                    .map(|r| markdown(r))
                    .collect();
                format!(
                    "{}: {}. One of these would tell: {}.",
                    terms.join(", "),
                    markdown(&group.why),
                    runs.join("; or ")
                )
            })
            .collect();
        page.list(&items);
    }
    picture(page, pictures, &format!("left-over-{}", moves.response));
    picture(
        page,
        pictures,
        &format!("left-over-in-order-{}", moves.response),
    );
}

/// Doubts about one model.
fn model_doubts(page: &mut Page, analysis: &Analysis, moves: &Moves) {
    let caveats: Vec<&Caveat> = analysis
        .caveats
        .iter()
        .filter(|caveat| caveat.about == About::Model(moves.response.clone()))
        .collect();
    doubts(page, &caveats);
}
