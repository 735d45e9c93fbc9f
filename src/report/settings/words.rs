//! Question 6 in words: which settings are best, and how sure that is.
//!
//! In: the best settings. Out: sentences, the table of settings, and the answer, names as they were logged.
//! This module never recommends: it says what the model expects where, and what stopped it.

use crate::decide::{
    AimOf, BestSettings, Chosen, Direction, HowSettled, LimitBy, RangeEnd, Recycling,
    RecyclingVerdict, Stop, Unanswered,
};
use crate::regression::{NoStationary, NotCorrected, Setting};
use crate::report::print::aim_names::{self, Called, demand, difference, goal, place, unit, value};
use crate::report::print::{
    Columns, Shown, Table, and_list, around, capital, joined, plain, probability,
};
use crate::report::reasons;

/// A setting with its unit.
fn setting(chosen: &Chosen) -> String {
    value(&chosen.value) + &unit(&chosen.unit)
}

/// The best settings, one row a factor.
pub fn table(best: &BestSettings, called: Called) -> Table {
    let mut rows = Columns::of(&best.at);
    rows.words("factor", |chosen| called(&chosen.factor));
    rows.figures("setting", setting);
    rows.answer("Which settings are best?")
}

/// All that is said of the settings, one sentence a line.
pub fn sentences(best: &BestSettings, called: Called) -> Vec<String> {
    let parts = best.stopped_by.iter();
    let parts =
        and_list(parts.map(|stop| stop_in_words(stop, &aim_names::shown(&best.aim), called)));
    let stopped = around("stopped by ", &parts, ".");
    let mut sentences = vec![
        verdict(best, called),
        against_present(best),
        luck(best),
        stopped,
    ];
    sentences.retain(|sentence| !sentence.is_empty());
    sentences.iter().map(|text| capital(text)).collect()
}

fn verdict(best: &BestSettings, called: Called) -> String {
    let shown = aim_names::shown(&best.aim);
    let expected = shown.mean(&best.mean);
    let run = best.new_run.interval.map(|ends| {
        let (ends, unit) = (shown.interval(Some(ends)), unit(&shown.unit));
        format!(", one new run {ends}{unit}")
    });
    let run = run.unwrap_or_default();
    let purity = around(
        "; a new run meets the purity specification with a chance of ",
        &best.chance_spec.map(probability).unwrap_or_default(),
        "",
    );
    // `heating muffle, oxidant_excess 83.8 %, route spirit`.
    let each = best.at.iter();
    let each = each.map(|chosen| format!("{} {}", called(&chosen.factor), setting(chosen)));
    let place = joined(each, ", ");
    match (best.reaches, demand(&best.aim)) {
        (Some(false), Some(demand)) => format!(
            "no settings within the limits give {demand}; the nearest are {place}: {} expected to be {expected}{run}{purity}.",
            best.aim.of.name()
        ),
        _ => format!(
            "{} is expected at {place}: {expected}{run}{purity}.",
            goal(&best.aim)
        ),
    }
}

fn against_present(best: &BestSettings) -> String {
    let shown = aim_names::shown(&best.aim);
    let Some(present) = &best.present else {
        return match best.reaches {
            Some(false) => "",
            _ => "no run made so far lies within the limits and meets the specification often enough, so there is nothing to compare with.",
        }
        .into();
    };
    let run = &present.run;
    if present.same {
        return format!(
            "those are the settings of run {run}, the best of those run so far: nothing better was found within the limits."
        );
    }
    let gain = present.gain.as_ref().map(|gain| {
        let way = if gain.value < 0.0 { "worse" } else { "better" };
        format!("{way} by {}", shown.size(gain))
    });
    let chance = present.chance_better.map(probability).unwrap_or_default();
    let found = gain.map(|gain| gain + &around(", chance of being better ", &chance, ""));
    let found = found.unwrap_or_default();
    match best.standing {
        HowSettled::Settled => {
            format!(
                "compared with the settings of run {run}, the best of those run so far, that is {found}."
            )
        }
        HowSettled::Alike => format!(
            "that is no different from the settings of run {run}, the best of those run so far, by as much as matters ({}){}.",
            difference(best.aim.margin.unwrap_or(0.0), &shown),
            around(": ", &found, "")
        ),
        HowSettled::NotSettled => {
            let found = around(": ", &found, "");
            format!(
                "whether that beats the settings of run {run}, the best of those run so far, is not settled{found}."
            )
        }
    }
}

/// What was taken off for having been chosen, or why nothing was.
fn luck(best: &BestSettings) -> String {
    let shown = aim_names::shown(&best.aim);
    match &best.flattery {
        Ok(by) if *by > 0.0 => {
            let way = match best.aim.direction {
                Direction::Up => "lower",
                Direction::Down => "higher",
            };
            format!(
                "an estimate chosen as the best of many is too good: these figures are about {} {way} than the fit alone would have them.",
                difference(*by, &shown)
            )
        }
        Err(NotCorrected::FewDegrees(left)) => format!(
            "an estimate chosen as the best of many is too good, but by how much cannot be said: {} beyond the terms of the model, and fewer than three tell too little of the scatter.",
            match left {
                0 => "no run is left".to_string(),
                1 => "1 run is left".to_string(),
                left => format!("{left} runs are left"),
            }
        ),
        Ok(_) | Err(NotCorrected::Perfect | NotCorrected::NotTold(_)) => String::new(),
    }
}

/// What stopped the search, in a clause.
fn stop_in_words(stop: &Stop, shown: &Shown, called: Called) -> String {
    let more = |costs: &f64| format!("(beyond it {} better)", difference(*costs, shown));
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
                called(factor),
                plain(*value),
                unit(of)
            )
        }
        Stop::FarFromRuns { costs } => format!("the distance from the runs made {}", more(costs)),
        Stop::Specification { costs } => format!("the purity specification {}", more(costs)),
        Stop::Never { settings, costs } => format!(
            "{}, which is never to be proposed {}",
            place(settings, called),
            more(costs)
        ),
    }
}

/// Where the surface stands still, where it does.
pub fn stationary(best: &BestSettings, called: Called) -> Option<String> {
    let point = match &best.stationary {
        Ok(point) => point,
        Err(NoStationary::NotCurved) => return None,
        Err(reason) => {
            let reason = reasons::no_stationary(reason);
            return Some(format!("The surface has no stationary point: {reason}."));
        }
    };
    let parts = point.amounts.iter().filter_map(|name| {
        let Some(Setting::Amount(value)) = point.at.get(name) else {
            return None;
        };
        let of = best.at.iter().find(|chosen| chosen.factor == *name);
        let unit = unit(of.map_or("", |chosen| chosen.unit.as_str()));
        Some(format!("{} {}{unit}", called(name), plain(*value)))
    });
    let within = match point.within_runs {
        true => "within the range of the runs made",
        false => "outside the range of the runs made, where the model is not to be trusted",
    };
    Some(format!(
        "With the other settings as above the surface stands still at {}, {within}: a {}, {}.",
        and_list(parts),
        point.kind,
        aim_names::shown(&best.aim).mean(&point.value)
    ))
}

/// The answer to question 6 in a few sentences.
pub fn headline(
    best: &BestSettings,
    residue: &Result<Recycling, Unanswered>,
    called: Called,
) -> String {
    let beside = residue.as_ref().ok();
    let beside = beside.and_then(|residue| beside_residue(best, residue));
    joined(sentences(best, called).into_iter().chain(beside), " ")
}

/// Why the settings name a ratio that the answer about residue seems to speak against; None where they agree.
fn beside_residue(best: &BestSettings, recycling: &Recycling) -> Option<String> {
    let verdict = recycling.money.as_ref().ok()?.verdict;
    let factor = &recycling.reference.factor;
    let chosen = best.at.iter().find(|chosen| chosen.factor == *factor)?;
    let Setting::Amount(ratio) = &chosen.value else {
        return None;
    };
    let money = match (*ratio > 0.0, verdict) {
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
    let (setting, aim) = (setting(chosen), best.aim.of.name());
    Some(format!(
        "The {factor} of {setting} is for {aim} alone{why}; question 5 counts money, {money}."
    ))
}
