//! Question 7: which runs should be made next?
//!
//! In: the plan of further runs. Out: its section of the report, its line on the first screen, its table.
//! This module never plans a run.

use super::escape::{csv, markdown};
use super::next_words::{
    MASSES, any_lot, factors, half, how_many, masses, most_gained, reason, reason_kind, setting,
    shares,
};
use super::numbers::{committed, fixed, plain};
use super::page::Page;
use super::reasons::compared;
use super::shown::Shown;
use super::words::{and_list, capital};
use crate::decide::NextRuns;
use crate::pipeline::Analysis;
use crate::regression::Setting;

/// The line on the first screen; absent without a model.
pub(super) fn first_line(analysis: &Analysis) -> Option<String> {
    let plan = match analysis.next.as_ref()? {
        Ok(plan) => plan,
        Err(error) => {
            return Some(format!(
                "**7 What to run next?** {}. *open*",
                capital(&markdown(error.message()))
            ));
        }
    };
    let parts: Vec<String> = shares(plan).iter().map(|part| markdown(part)).collect();
    let gain = most_gained(plan).map_or_else(String::new, |width| {
        let shown = Shown::of(&width.unit);
        format!(
            " The difference they sharpen most in {} is {}: from {} to {} {}.",
            markdown(&width.response),
            markdown(&compared(&width.about)),
            half(width.before, shown.value(1.0)),
            half(width.after, shown.value(1.0)),
            shown.difference
        )
    });
    let tangled = if plan.still_tangled.is_empty() {
        String::new()
    } else {
        let terms: Vec<String> = plan.still_tangled.iter().map(|t| markdown(t)).collect();
        format!(
            " No run that may be proposed tells apart {}.",
            and_list(&terms)
        )
    };
    let apart: Vec<String> = separating(analysis);
    let apart = if apart.is_empty() {
        String::new()
    } else {
        format!(
            " To tell apart what cannot be told now: {}.",
            apart.join("; ")
        )
    };
    Some(format!(
        "**7 What to run next?** {}, planned below: {}.{apart}{gain}{tangled} *open*",
        how_many(plan),
        and_list(&parts)
    ))
}

/// The first run of each kind that would tell apart what a model cannot.
fn separating(analysis: &Analysis) -> Vec<String> {
    let mut wanted: Vec<String> = Vec::new();
    for group in analysis
        .models
        .models()
        .flat_map(|model| &model.not_separable)
    {
        if let Some(run) = group.runs_that_would_separate.first()
            && !wanted.contains(&markdown(run))
        {
            wanted.push(markdown(run));
        }
    }
    wanted
}

/// Writes the section.
pub(super) fn write(page: &mut Page, analysis: &Analysis) {
    let Some(planned) = &analysis.next else {
        return;
    };
    page.heading(2, "7 Which runs should be made next?");
    match planned {
        Ok(plan) => {
            runs(page, plan);
            widths(page, plan);
            power(page, plan);
            doubts(page, plan);
        }
        Err(error) => {
            let hint = error.advice().map_or_else(String::new, |hint| {
                format!(" What to do: {}.", markdown(hint))
            });
            page.paragraph(&format!("{}.{hint}", capital(&markdown(error.message()))));
        }
    }
}

fn runs(page: &mut Page, plan: &NextRuns) {
    page.paragraph(&format!(
        "These {} are chosen to teach most about {}, beside the runs made, within the declared limits, levels and lots; the order is drawn at random, so that a drift falls on no setting alone. Another number of runs is planned by `residuum next --runs N`, which also writes them as lines of the runs log. Check each against local codes, safety data sheets and what the vessel holds before it is made.",
        how_many(plan),
        markdown(&plan.response)
    ));
    let names = factors(plan);
    let mut headings: Vec<String> = vec![">order".into()];
    if any_lot(plan) {
        headings.push("lot".into());
    }
    headings.extend(names.iter().map(|name| markdown(name)));
    let used: Vec<usize> = (0..MASSES.len())
        .filter(|&mass| plan.runs.iter().any(|run| masses(run)[mass].is_some()))
        .collect();
    headings.extend(used.iter().map(|&mass| format!(">{} / g", MASSES[mass])));
    headings.push("what it is for".into());
    let rows: Vec<Vec<String>> =
        plan.runs
            .iter()
            .map(|run| {
                let mut row = vec![run.order.to_string()];
                if any_lot(plan) {
                    row.push(run.lot.as_deref().map_or_else(String::new, markdown));
                }
                row.extend(names.iter().map(|name| {
                    let found = run.settings.get(name).map(setting);
                    markdown(&found.unwrap_or_default())
                }));
                row.extend(used.iter().map(|&mass| {
                    masses(run)[mass].map_or_else(|| "–".into(), |mass| fixed(mass, 0))
                }));
                row.push(markdown(&reason(plan, run)));
                row
            })
            .collect();
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    page.table(&headings, &rows);
    if !used.is_empty() {
        page.paragraph("The masses give these settings with the middle feed mass of the runs made; they are a suggestion, to be weighed to what the lot and the residue at hand really hold.");
    }
}

fn widths(page: &mut Page, plan: &NextRuns) {
    if plan.widths.is_empty() {
        return;
    }
    page.heading(3, "How well would open differences be known?");
    let rows: Vec<Vec<String>> = plan
        .widths
        .iter()
        .map(|width| {
            let shown = Shown::of(&width.unit);
            vec![
                markdown(&width.response),
                markdown(&compared(&width.about)),
                half(width.before, shown.value(1.0)),
                half(width.after, shown.value(1.0)),
                shown.difference.clone(),
            ]
        })
        .collect();
    page.table(
        &[
            "response",
            "difference",
            ">now",
            ">after these runs",
            "unit",
        ],
        &rows,
    );
    page.paragraph("Half the width of the interval, as it is and as it is to be expected when the new runs scatter as those made did.");
}

fn power(page: &mut Page, plan: &NextRuns) {
    if plan.power.is_empty() {
        return;
    }
    page.heading(3, "Would a difference that matters be seen?");
    let percent = |chance: Option<f64>| {
        chance.map_or_else(
            || "cannot be told".into(),
            |c| format!("{} %", fixed(100.0 * c, 0)),
        )
    };
    let unit = |response: &str| {
        let of_response = plan.widths.iter().find(|width| width.response == response);
        of_response.map_or_else(|| Shown::of(""), |width| Shown::of(&width.unit))
    };
    let rows: Vec<Vec<String>> = plan
        .power
        .iter()
        .map(|power| {
            let shown = unit(&power.response);
            vec![
                markdown(&power.response),
                markdown(&compared(&power.about)),
                format!("{} {}", plain(shown.value(power.margin)), shown.difference),
                percent(power.before),
                percent(power.after),
            ]
        })
        .collect();
    page.table(
        &[
            "response",
            "difference",
            ">that matters",
            ">chance to see it now",
            ">after these runs",
        ],
        &rows,
    );
}

fn doubts(page: &mut Page, plan: &NextRuns) {
    let mut items: Vec<String> = plan
        .caveats
        .iter()
        .map(|caveat| {
            format!(
                "{}. What to do: {}.",
                capital(&markdown(&caveat.seen)),
                markdown(&caveat.advice)
            )
        })
        .collect();
    if !plan.still_tangled.is_empty() {
        let terms: Vec<String> = plan.still_tangled.iter().map(|t| markdown(t)).collect();
        items.push(format!(
            "Within the limits, levels and lots stated, no run tells apart {}. What to do: put another lot on the shelf, or allow further levels or combinations.",
            and_list(&terms)
        ));
    }
    if !items.is_empty() {
        page.heading(3, "Doubts about the plan");
        page.list(&items);
    }
}

/// The headings of the table of runs.
pub(super) fn table_headings(analysis: &Analysis) -> Vec<String> {
    let Some(Ok(plan)) = &analysis.next else {
        return Vec::new();
    };
    let mut headings: Vec<String> = ["order", "reason", "about", "lot"].map(String::from).into();
    headings.extend(factors(plan).iter().map(|name| csv(name)));
    headings.extend(MASSES.map(|mass| format!("{mass} / g")));
    headings
}

/// The rows of the table of runs.
pub(super) fn table_rows(analysis: &Analysis) -> Vec<Vec<String>> {
    let Some(Ok(plan)) = &analysis.next else {
        return Vec::new();
    };
    let names = factors(plan);
    plan.runs
        .iter()
        .map(|run| {
            let mut row = vec![
                run.order.to_string(),
                reason_kind(&run.reason).to_string(),
                csv(&reason(plan, run)),
                run.lot.as_deref().map_or_else(String::new, csv),
            ];
            row.extend(names.iter().map(|name| match run.settings.get(name) {
                Some(Setting::Amount(value)) => committed(*value),
                Some(Setting::Level(level)) => csv(level),
                None => String::new(),
            }));
            row.extend(masses(run).map(|mass| mass.map_or_else(String::new, committed)));
            row
        })
        .collect()
}
