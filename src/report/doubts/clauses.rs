//! Clauses of doubts that take more than a figure and a name.
//!
//! In: what a doubt holds. Out: clauses and sentences.
//! This module never escapes a name.

use crate::caveat::{
    AtAnEnd, BalancePart, Discordance, ForetoldOf, LevelWritten, PairAgainst, PlusMinus,
    Prediction, SameAsPlace, Sample, ScatterAtLevel, SpeltAlike, Suspect,
};
use crate::report::print::Shown;
use crate::report::print::numbers::plain;
use crate::report::print::words::{and_list, count};

/// Most decimals of a percentage that lies only just outside.
const MOST_DECIMALS: usize = 12;

/// Levels that are spelt alike, and the key that joins them.
pub(in crate::report) fn spelt_alike(levels: &SpeltAlike) -> [String; 2] {
    let SpeltAlike {
        factor,
        place,
        groups,
    } = levels;
    let each = groups.iter().map(|group| {
        let levels = group.iter();
        and_list(levels.map(|of| format!("{} ({})", of.level, count(of.rows, "run"))))
    });
    let each: Vec<String> = each.collect();
    let seen = format!(
        "levels of {factor} are spelt alike and count as different: {}",
        each.join("; ")
    );
    let entries: Vec<String> = groups.iter().map(|group| entry(group)).collect();
    let entries = entries.join(", ");
    let key = format!("`same_as = {{ {entries} }}`");
    let advice = match place {
        SameAsPlace::NewTable => {
            format!("write `[factors.{factor}]` with `kind = \"choice\"` and {key}")
        }
        SameAsPlace::NewKey => format!("write {key} under `[factors.{factor}]`"),
        SameAsPlace::MoreSpellings => {
            format!("add `{entries}` to `same_as` under `[factors.{factor}]`")
        }
    };
    [seen, format!("{advice} if they mean the same")]
}

/// `chill = ["chilled"]`, the first level being the one that is kept.
fn entry(group: &[LevelWritten]) -> String {
    let escaped = |text: &str| text.replace('\\', "\\\\").replace('"', "\\\"");
    let quoted = |text: &str| format!("\"{}\"", escaped(text));
    let is_bare = |sign: char| sign.is_ascii_alphanumeric() || "-_".contains(sign);
    let mut levels = group.iter();
    let kept = levels.next().map_or("", |of| of.level.as_str());
    let key = match kept.chars().all(is_bare) {
        true => kept.to_string(),
        false => quoted(kept),
    };
    let others: Vec<String> = levels.map(|of| quoted(&of.level)).collect();
    format!("{key} = [{}]", others.join(", "))
}

/// Fractions that have no logit, and what they are taken at.
pub(super) fn at_an_end(response: &str, runs: &[AtAnEnd]) -> String {
    format!(
        "{response} has no logit at 0 or 100 %, where it lies within its uncertainty; taken just inside: {}",
        with_values(runs)
    )
}

/// Fractions that cannot be, and are left out.
pub(super) fn beyond_an_end(response: &str, runs: &[AtAnEnd]) -> String {
    format!(
        "{response} lies beyond 0 or 100 % by more than its uncertainty, so these runs are in no model of it: {}",
        with_values(runs)
    )
}

/// `B-012 (100.2 %, taken at 99.93 %)`, run by run.
fn with_values(runs: &[AtAnEnd]) -> String {
    let one = |of: &AtAnEnd| {
        let taken = of.taken_at.map(|at| format!(", taken at {}", inside(at)));
        let value = percent(of.value);
        format!("{} ({value}{})", of.run, taken.unwrap_or_default())
    };
    runs.iter().map(one).collect::<Vec<String>>().join(", ")
}

/// `97.1 ± 0.4 %`, of a fraction.
pub(super) fn plus_minus_percent(figure: PlusMinus) -> String {
    format!(
        "{:.1} ± {:.1} %",
        100.0 * figure.value,
        100.0 * figure.half_width
    )
}

/// The entry of a balance that is most likely wrong, where one stands out.
pub(super) fn furthest_off(suspect: Option<Suspect>) -> String {
    suspect.map_or_else(String::new, |suspect| {
        format!(
            "; furthest off is the {}: {:.1} % of the charge where the other runs have {:.1} % in the middle",
            match suspect.part {
                BalancePart::Crops => "crop masses or purity",
                BalancePart::Liquor => "mother liquor",
                BalancePart::Residue => "residue",
            },
            100.0 * suspect.own,
            100.0 * suspect.middle
        )
    })
}

/// How replicate titres of a sample of a run disagree.
pub(super) fn discordant(run: &str, sample: Sample, found: Discordance) -> String {
    let sample = match sample {
        Sample::Crop(crop) => format!("crop {crop}"),
        Sample::Residue => "the residue".into(),
        Sample::Feed => "the feed".into(),
    };
    match found {
        Discordance::Pair {
            apart,
            allowed,
            against,
        } => format!(
            "2 titres of {sample} of run {run} lie {:.2} points apart, more than the {:.2} points that their {} allows",
            100.0 * apart,
            100.0 * allowed,
            match against {
                PairAgainst::StatedUncertainty => "stated uncertainty",
                PairAgainst::Scatter => "scatter",
            }
        ),
        Discordance::Odd {
            count,
            odd,
            distance,
            allowed,
        } => format!(
            "one of {count} titres of {sample} of run {run}, {:.2} %, lies {distance:.2} standard deviations from their mean, more than the {allowed:.2} that Grubbs' test allows",
            100.0 * odd
        ),
    }
}

/// `0.1 points with chill and 0.6 points with spirit`.
fn scatter_at_levels(levels: &[ScatterAtLevel], unit: &str) -> String {
    let shown = Shown::of(unit);
    let each = levels
        .iter()
        .map(|at| format!("{} with {}", shown.scatter(at.sd), at.level));
    and_list(each)
}

/// How far apart levels of a choice scatter, and how likely that is by luck.
pub(super) fn scatter_by(
    factor: &str,
    levels: &[ScatterAtLevel],
    unit: &str,
    chance: f64,
) -> String {
    format!(
        "runs scatter differently by `{factor}`: a standard deviation of {}, as different by luck with a chance of {}",
        scatter_at_levels(levels, unit),
        plain(chance)
    )
}

/// That amounts were run at their ends alone.
pub(super) fn bend_untold(amounts: &[String]) -> String {
    format!(
        "{} was run at the ends of its range alone, so nothing tells whether its effect is straight between them",
        and_list(amounts.iter().cloned())
    )
}

/// What a model foretells beyond 0 to 100 %.
pub(super) fn foretold(response: &str, prediction: &Prediction) -> String {
    let what = match &prediction.of {
        ForetoldOf::Run(run) => format!("the fitted value of run `{run}`"),
        ForetoldOf::Mean { factor, level } => {
            format!("an end of the interval of `{factor}` at `{level}`")
        }
        ForetoldOf::NewRunLike(run) => format!("an end of the interval of a new run like `{run}`"),
    };
    let value = percent(prediction.value);
    format!("the model of `{response}` is a straight sum and reaches {value} for {what}")
}

/// What to do about it.
pub(super) fn set_logit(response: &str, prediction: &Prediction) -> String {
    let key = key(response);
    let setting = format!("`scale = {{ {key} = \"logit\" }}` under `[model]`");
    match &prediction.odd {
        None => format!("set {setting}: on that scale no prediction leaves 0 to 100 %"),
        Some(odd) => format!(
            "if `{response}` is a fraction, look for a slip in the log of run `{}`, which itself came to {}; once every run lies inside, set {setting}",
            odd.run,
            percent(odd.value)
        ),
    }
}

/// A name as a key of the campaign file, in which one with blanks needs its quotes.
fn key(name: &str) -> String {
    let bare = name
        .chars()
        .all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    if bare {
        name.to_string()
    } else {
        format!("{name:?}")
    }
}

/// A fraction in per cent, with enough decimals to see on which side of 0 or 100 it lies.
fn percent(value: f64) -> String {
    let side = |number: f64| (number > 100.0, number < 0.0);
    with_decimals(value, 1, |number| side(number) == side(100.0 * value))
}

/// A fraction in per cent, with enough decimals to see how far inside 0 to 100 it lies, to a twentieth of that.
fn inside(value: f64) -> String {
    let hundredfold = 100.0 * value;
    let distance = hundredfold.min(100.0 - hundredfold);
    with_decimals(value, 2, |number| {
        (number - hundredfold).abs() <= distance / 20.0
    })
}

/// A fraction in per cent with the fewest decimals, from so many on, that show what is to be seen.
fn with_decimals(value: f64, fewest: usize, shows: impl Fn(f64) -> bool) -> String {
    let hundredfold = 100.0 * value;
    let shown = |decimals: usize| format!("{hundredfold:.decimals$}");
    let seen = |text: &String| text.parse().is_ok_and(&shows);
    let text = (fewest..MOST_DECIMALS).map(shown).find(seen);
    format!("{} %", text.unwrap_or_else(|| shown(MOST_DECIMALS)))
}

/// Runs that are named; more are only counted.
const NAMED: usize = 5;

/// The first of some runs.
pub(super) fn first_of(runs: &[String]) -> String {
    let more = if runs.len() > NAMED { ", ..." } else { "" };
    runs[..runs.len().min(NAMED)].join(", ") + more
}

/// That some runs have no date.
pub(super) fn undated(without: &[String], of: usize) -> String {
    format!(
        "{} of {of} runs have no date ({}), so all runs stand in the order of the log instead of their dates",
        without.len(),
        first_of(without)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::caveat::OddRun;

    fn of_y(value: f64, of: ForetoldOf, odd: Option<OddRun>) -> (String, String) {
        let prediction = Prediction { value, of, odd };
        (foretold("y", &prediction), set_logit("y", &prediction))
    }

    #[test]
    fn a_prediction_is_told_with_what_to_set() {
        let (seen, advice) = of_y(1.0021, ForetoldOf::NewRunLike("1".into()), None);
        assert!(seen.contains("100.2 % for an end of the interval"));
        assert!(seen.contains("new run like `1`"), "{}", seen);
        assert!(advice.contains("`scale = { y = \"logit\" }`"));
        assert!(advice.contains("`[model]`"), "{}", advice);
    }

    #[test]
    fn a_mean_is_told_by_its_factor_and_level() {
        let of = ForetoldOf::Mean {
            factor: "route".into(),
            level: "chill".into(),
        };
        let (seen, _) = of_y(-0.0116, of, None);
        let expected = "-1.2 % for an end of the interval of `route` at `chill`";
        assert!(seen.ends_with(expected), "{}", seen);
    }

    #[test]
    fn a_run_that_is_itself_outside_is_named_first() {
        let odd = Some(OddRun {
            run: "1".into(),
            value: 1.003,
        });
        let (seen, advice) = of_y(1.002, ForetoldOf::Run("1".into()), odd);
        assert!(seen.contains("the fitted value of run `1`"));
        let expected = "run `1`, which itself came to 100.3 %";
        assert!(advice.contains(expected), "{}", advice);
    }

    #[test]
    fn a_name_with_a_blank_stands_in_quotes_as_a_key() {
        assert_eq!(key("purity_2"), "purity_2");
        assert_eq!(key("first crop"), "\"first crop\"");
    }

    #[test]
    fn a_percentage_shows_on_which_side_of_its_bound_it_lies() {
        assert_eq!(percent(1.0021), "100.2 %");
        assert_eq!(percent(1.000_04), "100.004 %");
        assert_eq!(percent(-0.000_002), "-0.0002 %");
    }
}
