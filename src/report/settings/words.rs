//! Question 6 in words: which settings are best, and how sure that is.
//!
//! In: the best settings. Out: sentences, the table of settings, and the line of the first screen.
//! This module never recommends: it says what the model expects where, and what stopped it.

use crate::decide::{
    AimOf, BestSettings, HowSettled, LimitBy, RangeEnd, Recycling, RecyclingVerdict, Stop,
    Unanswered,
};
use crate::regression::{NoStationary, Setting};
use crate::report::print::aim_words::{self, demand, difference, goal, place, unit, value};
use crate::report::print::{
    Cell, Column, Naming, Shown, Table, and_list, capital, plain, probability, raw,
};
use crate::report::reasons;

/// One row a factor: its name and its setting.
fn rows(best: &BestSettings, naming: Naming) -> Vec<[String; 2]> {
    best.at
        .iter()
        .map(|chosen| {
            let value = value(&chosen.value, naming);
            let unit = unit(&chosen.unit, naming);
            [naming(&chosen.factor), format!("{value}{unit}")]
        })
        .collect()
}

/// The best settings, one row a factor.
pub fn table(best: &BestSettings) -> Table {
    let columns = vec![Column::words("factor"), Column::figures("setting")];
    let rows = rows(best, raw);
    Table::new("Which settings are best?", columns)
        .with(rows.into_iter().map(|row| row.map(Cell::Text).into()))
}

/// `heating muffle, oxidant_excess 83.8 %, route spirit`.
fn in_a_row(best: &BestSettings, naming: Naming) -> String {
    let parts = rows(best, naming).into_iter();
    let parts: Vec<String> = parts.map(|row| row.join(" ")).collect();
    parts.join(", ")
}

/// All that is said of the settings, one sentence a line.
pub fn sentences(best: &BestSettings, naming: Naming) -> Vec<String> {
    let mut sentences = vec![verdict(best, naming)];
    sentences.extend(against_present(best, naming));
    sentences.extend(stopped(best, naming));
    sentences
}

fn verdict(best: &BestSettings, naming: Naming) -> String {
    let shown = aim_words::shown(&best.aim, naming);
    let expected = shown.mean(&best.mean);
    let run = best.new_run.interval.map_or_else(String::new, |ends| {
        let gap = unit(&shown.unit, |text| text.to_string());
        format!(", one new run {}{gap}", shown.interval(Some(ends)))
    });
    let purity = best.chance_spec.map_or_else(String::new, |chance| {
        format!(
            "; a new run meets the purity specification with a chance of {}",
            probability(chance)
        )
    });
    let place = in_a_row(best, naming);
    match (best.reaches, demand(&best.aim)) {
        (Some(false), Some(demand)) => format!(
            "no settings within the limits give {demand}; the nearest are {place}: {} expected to be {expected}{run}{purity}.",
            naming(best.aim.of.name())
        ),
        _ => format!(
            "{} is expected at {place}: {expected}{run}{purity}.",
            goal(&best.aim, naming)
        ),
    }
}

fn against_present(best: &BestSettings, naming: Naming) -> Option<String> {
    let shown = aim_words::shown(&best.aim, naming);
    let Some(present) = &best.present else {
        return (best.reaches != Some(false)).then(|| {
            "no run made so far lies within the limits and meets the specification often enough, so there is nothing to compare with.".to_string()
        });
    };
    if present.same {
        return Some(format!(
            "those are the settings of run {}, the best so far: nothing better was found within the limits.",
            naming(&present.run)
        ));
    }
    let gain = present.gain.as_ref().map_or_else(String::new, |gain| {
        let way = if gain.value < 0.0 { "worse" } else { "better" };
        format!("{way} by {}", shown.size(gain))
    });
    let chance = present.chance_better.map_or_else(String::new, |chance| {
        format!(", chance of being better {}", probability(chance))
    });
    let run = naming(&present.run);
    let flattered = best
        .flattery
        .filter(|by| *by > 0.0)
        .map_or_else(String::new, |by| {
            format!(
                " An estimate chosen as the best of many is too good, here by about {}.",
                difference(by, &shown)
            )
        });
    let margin = || difference(best.aim.margin.unwrap_or(0.0), &shown);
    Some(match best.standing {
        HowSettled::Settled => {
            format!("compared with run {run}, the best so far, that is {gain}{chance}.{flattered}")
        }
        HowSettled::Alike => format!(
            "that is no different from run {run}, the best so far, by as much as matters ({}): {gain}{chance}.{flattered}",
            margin()
        ),
        HowSettled::NotSettled => format!(
            "whether that beats run {run}, the best so far, is not settled: {gain}{chance}.{flattered}"
        ),
    })
}

fn stopped(best: &BestSettings, naming: Naming) -> Option<String> {
    let shown = aim_words::shown(&best.aim, naming);
    let parts: Vec<String> = best
        .stopped_by
        .iter()
        .map(|stop| stop_in_words(stop, &shown, naming))
        .collect();
    (!parts.is_empty()).then(|| format!("stopped by {}.", and_list(&parts)))
}

/// What stopped the search, in a clause.
pub fn stop_in_words(stop: &Stop, shown: &Shown, naming: Naming) -> String {
    let more = |costs: &f64| format!("beyond it {} better", difference(*costs, shown));
    match stop {
        Stop::Limit {
            factor,
            unit: of,
            value,
            end,
            by,
        } => {
            let end = match (end, by) {
                (RangeEnd::Low, LimitBy::Declared) => "the declared lower limit",
                (RangeEnd::High, LimitBy::Declared) => "the declared upper limit",
                (RangeEnd::Low, LimitBy::Runs) => "the lowest value in the runs made",
                (RangeEnd::High, LimitBy::Runs) => "the highest value in the runs made",
            };
            format!(
                "{end} of {} ({}{})",
                naming(factor),
                plain(*value),
                unit(of, naming)
            )
        }
        Stop::FarFromRuns { costs } => {
            format!("the distance from the runs made ({})", more(costs))
        }
        Stop::Specification { costs } => format!("the purity specification ({})", more(costs)),
        Stop::Never { settings, costs } => format!(
            "{}, which is never to be proposed ({})",
            place(settings, naming),
            more(costs)
        ),
    }
}

/// Where the surface stands still, where it does.
pub fn stationary(best: &BestSettings, naming: Naming) -> Option<String> {
    let point = match &best.stationary {
        Ok(point) => point,
        Err(NoStationary::NotCurved) => return None,
        Err(reason) => {
            return Some(format!(
                "The surface has no stationary point: {}.",
                naming(&reasons::no_stationary(reason))
            ));
        }
    };
    let shown = aim_words::shown(&best.aim, naming);
    let parts: Vec<String> = point
        .amounts
        .iter()
        .filter_map(|name| match point.at.get(name) {
            Some(Setting::Amount(value)) => {
                let of = best.at.iter().find(|chosen| chosen.factor == *name);
                let of = of.map_or("", |chosen| chosen.unit.as_str());
                Some(format!(
                    "{} {}{}",
                    naming(name),
                    plain(*value),
                    unit(of, naming)
                ))
            }
            _ => None,
        })
        .collect();
    let within = if point.within_runs {
        "within the range of the runs made"
    } else {
        "outside the range of the runs made, where the model is not to be trusted"
    };
    Some(format!(
        "With the other settings as above the surface stands still at {}, {within}: a {}, {}.",
        and_list(&parts),
        point.kind,
        shown.mean(&point.value)
    ))
}

/// The answer to question 6 in a few sentences.
pub fn headline(
    best: &BestSettings,
    residue: &Result<Recycling, Unanswered>,
    naming: Naming,
) -> String {
    let sentences = sentences(best, naming);
    let mut sentences: Vec<String> = sentences.iter().map(|text| capital(text)).collect();
    sentences.extend(beside_residue(best, residue, naming));
    sentences.join(" ")
}

/// Why the settings name a ratio that the answer about residue seems to speak against; None where they agree.
pub fn beside_residue(
    best: &BestSettings,
    recycling: &Result<Recycling, Unanswered>,
    naming: Naming,
) -> Option<String> {
    let recycling = recycling.as_ref().ok()?;
    let verdict = recycling.money.as_ref().ok()?.verdict;
    let factor = &recycling.reference.factor;
    let chosen = best.at.iter().find(|chosen| chosen.factor == *factor)?;
    let Setting::Amount(ratio) = &chosen.value else {
        return None;
    };
    let charged = *ratio > 0.0;
    let money = match (charged, verdict) {
        (false, RecyclingVerdict::Pays) => "and there residue pays",
        (false, RecyclingVerdict::NotSettled | RecyclingVerdict::TooClose) => {
            "and there residue is not settled"
        }
        (true, RecyclingVerdict::DoesNotPay) => "and there residue does not pay",
        _ => return None,
    };
    let why = match best.aim.of {
        AimOf::YIELD => {
            ", and yield counts what the residue holds as charged, so residue can lower it and still add product"
        }
        AimOf::Cost => {
            ", a mean over all product, which residue can lower although what it adds is worth less than it takes"
        }
        _ => "",
    };
    Some(format!(
        "The {} of {}{} is for {} alone{why}; question 5 counts money, {money}.",
        naming(factor),
        plain(*ratio),
        unit(&chosen.unit, naming),
        naming(best.aim.of.name())
    ))
}
