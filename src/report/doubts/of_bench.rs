//! Doubts of the bench in words: titrants, control samples, drying.
//!
//! In: an [`AtTheBench`]. Out: what was seen and what to do about it.
//! This module never escapes a name: whoever prints the sentences escapes them whole.

use crate::caveat::{AtTheBench, DatesOfTitres, PlusMinus, ToldTwice};
use crate::report::print::{and_list, count};

/// The short fixed term for a kind.
pub(super) fn kind(doubt: &AtTheBench) -> &'static str {
    match doubt {
        AtTheBench::TitrantWanders { .. } => "titrant wanders",
        AtTheBench::ControlOff { .. } => "control sample off",
        AtTheBench::ControlCorrected { .. } => "corrected by the control",
        AtTheBench::ControlTooFew { .. } => "control titrated too seldom",
        AtTheBench::WaysDisagree {
            of: ToldTwice::Moisture,
            ..
        } => "moistures disagree",
        AtTheBench::WaysDisagree { .. } => "purities disagree",
        AtTheBench::PurityByDifference { .. } => "purity by difference",
    }
}

/// What was seen, and what to do about it.
pub(super) fn of_bench(name: &str, doubt: &AtTheBench) -> [String; 2] {
    match doubt {
        AtTheBench::TitrantWanders {
            standardisations,
            low,
            high,
            dates,
        } => [
            format!(
                "{standardisations} standardisations of {name} go from {low:.5} to {high:.5} mol/L, further than chance allows and not along a line"
            ),
            strength_of_days("by the standardisations before and behind it", *dates),
        ],
        AtTheBench::ControlOff {
            bias,
            titrations,
            runs,
            of,
            stated,
        } => [
            format!(
                "the control sample was found {} its stated purity in {}, beyond the uncertainty of that{}: the purities of {} of {of} runs may be off by as much",
                off_by(*bias),
                count(*titrations, "titration"),
                match stated {
                    true => "",
                    false => ", in which that of its purity is not (`u_purity`)",
                },
                runs.len()
            ),
            format!(
                "look for what it shares with them (end point, burette, standard, blank), or set `correct_bias = true` under `[titration]`{}",
                match runs.len() == *of {
                    true => String::new(),
                    false => format!("; runs {}", runs.join(", ")),
                }
            ),
        ],
        AtTheBench::ControlCorrected {
            bias,
            titrations,
            by_day,
        } => [
            format!(
                "purities were corrected by the control sample, found {} its stated purity in {}{}",
                off_by(*bias),
                count(*titrations, "titration"),
                match by_day {
                    true => ", by the day of each titration",
                    false => "",
                }
            ),
            "the ± of the correction is one error of all of them; find the cause, so that nothing is to be corrected".into(),
        ],
        AtTheBench::WaysDisagree {
            crop,
            of,
            used,
            other,
        } => {
            let percent = |figure: &PlusMinus| {
                format!("{:.2} ± {:.2} %", 100.0 * figure.value, 100.0 * figure.half_width)
            };
            let (used, other) = (percent(used), percent(other));
            match of {
                ToldTwice::Moisture => [
                    format!("the moisture of crop {crop} of run {name} is logged as {used}, and its drying gives {other}"),
                    "the logged one was used: correct the one that is wrong, or leave `moisture` empty to use the drying".into(),
                ],
                ToldTwice::Purity => [
                    format!("titration finds crop {crop} of run {name} {used} pure, and its ignition {other}"),
                    "the titration was used: look for what one of them counts besides, such as a salt that stays behind or an oxidant left in the crop, and titrate and ignite it once more".into(),
                ],
            }
        }
        AtTheBench::PurityByDifference {
            runs,
            of,
            looked_for,
        } => [
            format!(
                "the purity of {} of {of} runs is what moisture and {} leave of 100 %: what nobody looked for counts as product{}",
                runs.len(),
                and_list(looked_for),
                match runs.len() == *of {
                    true => "",
                    false => ", and the other runs are assayed, so that the two kinds may differ for that alone",
                }
            ),
            format!(
                "read these purities as the most that they can be, and titrate or ignite some of these crops to see what is overlooked{}",
                match runs.len() == *of {
                    true => String::new(),
                    false => format!("; runs {}", runs.join(", ")),
                }
            ),
        ],
        AtTheBench::ControlTooFew { titrations, wanted } => [
            format!(
                "the control sample was titrated {}, which tells no bias{}",
                match titrations {
                    0 => "never".into(),
                    1 => "once".into(),
                    more => format!("{more} times"),
                },
                match wanted {
                    true => ", so no purity was corrected by it",
                    false => "",
                }
            ),
            "titrate it with each series of samples, `control` under `crop` in the titres log".into(),
        ],
    }
}

/// Which way a strength goes.
pub(super) fn falls_or_rises(per_day: f64) -> &'static str {
    match per_day < 0.0 {
        true => "falls",
        false => "rises",
    }
}

/// `0.52 ± 0.20 % below`.
fn off_by(bias: PlusMinus) -> String {
    format!(
        "{:.2} ± {:.2} % {}",
        100.0 * bias.value.abs(),
        100.0 * bias.half_width,
        if bias.value < 0.0 { "below" } else { "above" }
    )
}

/// By what titrations were reckoned, which of them had no day of their own, and what to do.
pub(super) fn strength_of_days(by: &str, dates: DatesOfTitres) -> String {
    let told = |number: usize, what: &str| (number > 0).then(|| format!("{number} {what}"));
    let outside = format!(
        "lie up to {} before the first or behind the last standardisation",
        count(dates.furthest.unsigned_abs() as usize, "day")
    );
    let besides = [
        told(
            dates.of_runs,
            "without a date of their own take that of their run",
        ),
        told(dates.undated, "without any date take the mean"),
        told(dates.outside, &outside),
    ];
    let besides: Vec<String> = besides.into_iter().flatten().collect();
    let besides = match besides.is_empty() {
        true => String::new(),
        false => format!(" ({})", and_list(besides)),
    };
    format!(
        "standardise before and after each series of titrations, and replace a solution that changes; each of {} was reckoned {by}, with its ±{besides}",
        count(dates.titrations, "titration")
    )
}
