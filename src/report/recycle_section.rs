//! Question 5: does it pay to feed the residue forward?
//!
//! In: the answer. Out: its line on the first screen and its section of the report.
//! This module never computes a gain.

use super::escape::markdown;
use super::money_words::{figure, limit, never, verdict};
use super::numbers::{fixed, plain, probability};
use super::page::Page;
use super::pictures::Pictures;
use super::reasons;
use super::recycle_words::{
    answer, in_percent, scale_and_unit, settling, shown_break_even, shown_gain, signed,
    specification, state, too_much, with_half_width,
};
use super::residue_each::exact_chances;
use super::sections::picture;
use super::shown::Shown;
use super::words::{capital, count};
use crate::decide::{Cycles, Influence, Money, Recycling, RecyclingVerdict, Unanswered};
use crate::pipeline::Analysis;

/// The answer in one line of the first screen; nothing where the campaign has nothing to do with residue.
pub(super) fn line(analysis: &Analysis) -> Option<String> {
    let recycling = &analysis.answers.recycling;
    is_asked(analysis).then_some(())?;
    Some(format!(
        "**5 Does residue pay?** {} *{}*",
        answer(recycling, markdown),
        state(recycling)
    ))
}

/// Whether the campaign has to do with residue: a factor stands for it, or a run charged some.
fn is_asked(analysis: &Analysis) -> bool {
    let mut runs = analysis.runs.results.iter();
    analysis.answers.residue_factor.is_some()
        || analysis.answers.recycling.is_ok()
        || runs.any(|run| run.charge.residue_mass > 0.0)
}

/// Writes the section.
pub(super) fn write(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    if !is_asked(analysis) {
        return;
    }
    page.heading(2, "5 Does it pay to feed the residue forward?");
    match &analysis.answers.recycling {
        Err(missing) => unanswered(page, missing),
        Ok(recycling) => answered(page, analysis, recycling, pictures),
    }
}

fn unanswered(page: &mut Page, missing: &Unanswered) {
    let missing = reasons::unanswered(missing);
    page.paragraph(&format!(
        "This cannot be said: {}. What to do: {}. {}.",
        markdown(&missing.missing),
        markdown(&missing.advice),
        capital(&markdown(missing.still))
    ));
}

fn answered(page: &mut Page, analysis: &Analysis, recycling: &Recycling, pictures: &Pictures) {
    let reference = &recycling.reference;
    page.paragraph(&format!(
        "{} charged residue, {} g per g of fresh feed in the middle. At that ratio, and with all else at the reference mix of the model of yield, a run of {} g fresh feed gives {} g more product than one without residue: {} % of what the content of the residue would give at the conversion of fresh feed.",
        capital(&count(reference.charged_runs, "run")),
        fixed(reference.ratio, 2),
        fixed(reference.feed_mass, 0),
        with_half_width(&recycling.extra_product),
        in_percent(&recycling.of_promise),
    ));
    if let Some(text) = feed_saved(recycling) {
        page.paragraph(&text);
    }
    match &recycling.money {
        Err(missing) => unanswered(page, missing),
        Ok(money) => self::money(page, recycling, money, pictures),
    }
    by_level(page, recycling);
    responses(page, recycling);
    cycles(page, analysis, recycling, pictures);
}

/// The fresh feed saved, where that is what counts and all product is worth the same.
fn feed_saved(recycling: &Recycling) -> Option<String> {
    if recycling.feed_saved == 0.0 || recycling.money.as_ref().is_ok_and(exact_chances) {
        return None;
    }
    let less = if recycling.feed_saved > 0.0 {
        "less"
    } else {
        "more"
    };
    Some(format!(
        "For equal product a charged run takes {} g {less} fresh feed; that is what is valued here.",
        fixed(recycling.feed_saved.abs(), 0)
    ))
}

fn money(page: &mut Page, recycling: &Recycling, money: &Money, pictures: &Pictures) {
    let currency = markdown(&money.currency);
    page.paragraph(&format!(
        "It {}: {} {currency} for each charged run, {} {currency} per kg of residue, {} {currency} over the {} of this campaign. The chance of a gain is {}.{}{}",
        match money.verdict {
            RecyclingVerdict::Pays => "pays".to_string(),
            RecyclingVerdict::DoesNotPay => "does not pay".to_string(),
            other => format!("is {}", verdict(other)),
        },
        signed(&money.gain),
        signed(&money.per_kilogram),
        signed(&money.per_campaign),
        count(recycling.reference.charged_runs, "charged run"),
        probability(money.chance_positive),
        settling(money, markdown),
        too_much(recycling)
    ));
    let terms = [
        ("worth of the extra product", money.terms.product),
        ("fresh feed saved", money.terms.feed),
        ("extra oxidant", money.terms.oxidant),
        ("further reagents", money.terms.reagents),
        ("handling of the residue", money.terms.handling),
        (
            "disposal saved, less that of the extra residue left",
            money.terms.disposal,
        ),
    ];
    let mut rows: Vec<Vec<String>> = terms
        .iter()
        .filter(|(_, value)| *value != 0.0)
        .map(|(name, value)| vec![name.to_string(), money_text(*value)])
        .collect();
    rows.push(vec!["gain of a charged run".into(), signed(&money.gain)]);
    page.table(&["what is counted", &format!(">{currency} a run")], &rows);
    let not = if money.not_counted.is_empty() {
        String::new()
    } else {
        let items: Vec<String> = money
            .not_counted
            .iter()
            .map(|item| markdown(&reasons::not_counted(item)))
            .collect();
        format!(" Not counted: {}.", items.join(", "))
    };
    page.paragraph(&format!(
        "Heat is paid by the run and the labour of a run is not saved, so neither stands here. The interval comes from 40,000 seeded draws of coefficients, assays and prices together.{not}{}",
        specification(money)
    ));
    page.heading(3, "Where does the verdict flip?");
    picture(page, pictures, "where-residue-pays");
    let rows: Vec<Vec<String>> = money
        .break_even
        .iter()
        .map(|at| {
            let (scale, unit) = scale_and_unit(recycling, money, at.figure, markdown);
            let flips = match at.at {
                Ok(_) => shown_break_even(recycling, money, at, markdown),
                Err(why) => never(why).to_string(),
            };
            vec![
                figure(at.figure).to_string(),
                format!("{} {unit}", plain(at.now * scale)),
                flips,
            ]
        })
        .collect();
    page.table(&["figure", ">now", ">flips at (may be between)"], &rows);
    let exact = if exact_chances(money) {
        " Here, in the picture, with each route and in the cycles below, the chances of meeting the specification count as exact, so these intervals and verdicts are surer than the gain above, which counts how well the chances are known."
    } else {
        ""
    };
    page.paragraph(&format!("Each figure is followed alone, all else as it is; between the two ends in brackets the verdict is not settled.{exact}"));
    page.heading(3, "What moves the gain most?");
    let rows: Vec<Vec<String>> = money.ranking.iter().map(moved).collect();
    page.table(
        &[
            "figure",
            &format!(">{currency} a run for one standard uncertainty of it"),
            &format!(">{currency} a run if it were a tenth larger"),
        ],
        &rows,
    );
}

fn moved(influence: &Influence) -> Vec<String> {
    let own = if influence.uncertainty > 0.0 {
        money_text(influence.by_uncertainty)
    } else {
        "taken as exact".into()
    };
    vec![
        figure(influence.figure).to_string(),
        own,
        money_text(influence.by_tenth),
    ]
}

/// Money with a sign and three decimals.
fn money_text(value: f64) -> String {
    let sign = if value > 0.0 { "+" } else { "" };
    format!("{sign}{}", fixed(value, 3))
}

fn by_level(page: &mut Page, recycling: &Recycling) {
    if recycling.by_level.is_empty() {
        return;
    }
    page.heading(3, "Does it pay with each of them?");
    let rows: Vec<Vec<String>> = recycling
        .by_level
        .iter()
        .map(|at| {
            let extra = match &at.extra_product {
                Ok(extra) => with_half_width(extra),
                Err(reason) => markdown(&reasons::untold(reason)),
            };
            vec![
                format!("{}: {}", markdown(&at.factor), markdown(&at.level)),
                extra,
                at.gain.as_ref().map_or_else(|| "–".into(), signed),
                at.verdict
                    .map_or_else(|| "–".into(), |v| verdict(v).to_string()),
            ]
        })
        .collect();
    let (product, gain) = match &recycling.money {
        Ok(money) => (
            if exact_chances(money) {
                ">extra product on specification / g"
            } else {
                ">extra product / g"
            },
            format!(">gain of a charged run / {}", markdown(&money.currency)),
        ),
        Err(_) => (">extra product / g", ">gain of a charged run".into()),
    };
    page.table(&["with", product, &gain, "verdict"], &rows);
    page.paragraph("Each line stands by itself; they are not compared with one another.");
}

fn responses(page: &mut Page, recycling: &Recycling) {
    if recycling.responses.is_empty() {
        return;
    }
    page.heading(3, "What else does it change?");
    let rows: Vec<Vec<String>> = recycling
        .responses
        .iter()
        .map(|response| {
            let shown = Shown::of(&response.unit);
            let change = match &response.change {
                Ok(change) => shown.change(change),
                Err(reason) => markdown(&reasons::refusal(reason)),
            };
            vec![markdown(&response.response), change]
        })
        .collect();
    page.table(
        &[
            "response",
            ">change of a charged run against one without residue",
        ],
        &rows,
    );
}

fn cycles(page: &mut Page, analysis: &Analysis, recycling: &Recycling, pictures: &Pictures) {
    page.heading(3, "What if the residue goes round, run after run?");
    let cycles = match &recycling.cycles {
        Ok(cycles) => cycles,
        Err(reason) => {
            page.paragraph(&format!(
                "This cannot be followed: {}.",
                markdown(&reasons::no_cycles(reason))
            ));
            return;
        }
    };
    picture(page, pictures, "residue-going-round");
    page.paragraph(&around(analysis, recycling, cycles));
    let rows: Vec<Vec<String>> = cycles
        .cycles
        .iter()
        .map(|cycle| {
            vec![
                cycle.cycle.to_string(),
                fixed(cycle.residue, 0),
                fixed(100.0 * cycle.assay, 1),
                fixed(cycle.solids, 0),
                shown_gain(cycle),
            ]
        })
        .collect();
    let unit = match &recycling.money {
        Ok(money) => format!(">gain of this run / {}", markdown(&money.currency)),
        Err(_) => ">gain of this run".into(),
    };
    page.table(
        &[
            "cycle",
            ">residue charged / g",
            ">its assay / %",
            ">solids in the vessel / g",
            &unit,
        ],
        &rows,
    );
}

/// Which cycles lose: all from one on, or some of them.
fn losing(cycles: &Cycles) -> String {
    let gains = || {
        cycles
            .cycles
            .iter()
            .filter(|cycle| cycle.gain.is_some_and(|gain| gain.value >= 0.0))
    };
    let losses = || {
        cycles
            .cycles
            .iter()
            .filter(|cycle| cycle.gain.is_some_and(|gain| gain.value < 0.0))
    };
    let (Some(first), Some(last)) = (losses().next(), losses().next_back()) else {
        return String::new();
    };
    match gains().next_back() {
        Some(gain) if gain.cycle > first.cycle => {
            let which = if first.cycle == last.cycle {
                format!("cycle {}", first.cycle)
            } else {
                format!(
                    "{} of the cycles, the last of them cycle {},",
                    losses().count(),
                    last.cycle
                )
            };
            format!(" By the best estimate {which} loses by it and the others gain.")
        }
        _ => format!(" From cycle {} on a run loses by it.", first.cycle),
    }
}

fn around(analysis: &Analysis, recycling: &Recycling, cycles: &Cycles) -> String {
    let retained = &cycles.retained;
    let mut text = format!(
        "In {}, {} % of the followed element that fresh feed brings and {} % of what residue brings stayed on the filter, and {} % and {} % of everything else. With {} % of the residue thrown away each time, ",
        count(retained.runs, "run"),
        fixed(100.0 * retained.element.of_feed, 0),
        fixed(100.0 * retained.element.of_residue, 0),
        fixed(100.0 * retained.inert.of_feed, 0),
        fixed(100.0 * retained.inert.of_residue, 0),
        fixed(100.0 * cycles.bleed, 0),
    );
    text.push_str(&match cycles.steady {
        Some(steady) => format!(
            "the charge settles at {} g of residue with an assay of {} %.",
            fixed(steady.residue, 0),
            fixed(100.0 * steady.assay, 1)
        ),
        None => "the charge grows without end.".to_string(),
    });
    if let Some(by) = cycles.limited_by {
        text.push_str(&format!(
            " It is stopped before that by {}; what does not fit is thrown away.",
            limit(by)
        ));
    }
    if let (Ok(_), Some(best)) = (&recycling.money, cycles.best_bleed) {
        text.push_str(&match cycles.turns_at {
            Some(_) => losing(cycles),
            None => " No cycle looked at loses by it.".to_string(),
        });
        let currency = recycling.money.as_ref().map_or("", |money| &money.currency);
        text.push_str(&if best.bleed < 1.0 {
            format!(
                " The best share to throw away, in steps of 5 %, is {} %: {} {} a run in the mean of {}.",
                fixed(100.0 * best.bleed, 0),
                money_text(best.mean_gain),
                markdown(currency),
                count(cycles.cycles.len(), "cycle")
            )
        } else {
            " Of the shares to throw away, looked at in steps of 5 %, none is better than all of it.".into()
        });
    }
    let generations = analysis
        .runs
        .results
        .iter()
        .filter(|run| run.charge.residue_mass > 0.0)
        .count();
    text.push_str(&format!(
        " The model knows residue as these {generations} charged runs had it, mostly of first pass; what has gone round often may give less, so look at the first cycles before believing the last. The ± leaves out how well these shares are known."
    ));
    text
}
