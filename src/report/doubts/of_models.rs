//! Doubts about models, in words.
//!
//! In: the response and the figures of the doubt. Out: [`Words`].
//! This module never escapes a name.

use super::Words;
use crate::caveat::{ForetoldOf, Prediction, RunWithout};
use crate::report::print::words::and_list;

/// Most decimals of a percentage that lies only just outside.
const MOST_DECIMALS: usize = 12;

pub(super) fn never_logged(response: &str) -> Words {
    Words::new(
        format!("no run has a value of {response}, so there is no model of it"),
        format!("log what {response} needs, or name the responses under `[model]`"),
    )
}

pub(super) fn without_a_factor(response: &str, runs: &[RunWithout]) -> Words {
    let named: Vec<String> = runs
        .iter()
        .map(|without| format!("{} (no {})", without.run, without.factor))
        .collect();
    Words::new(
        format!(
            "{} runs are in no model of {response}: {}",
            runs.len(),
            named.join(", ")
        ),
        "fill in the cells of the runs log, or take the factor out of the model",
    )
}

pub(super) fn one_level(response: &str, factor: &str, level: &str, runs: usize) -> Words {
    Words::new(
        format!(
            "{factor} was {level} in all {runs} runs, so this log says nothing of its effect on {response}"
        ),
        "make runs at another level, or take it out of the model",
    )
}

pub(super) fn constant(runs: usize, value: f64) -> Words {
    Words::new(
        format!("all {runs} runs have the same response: {value}"),
        "check the log; a response that never changes says nothing about what moves it",
    )
}

pub(super) fn nearly_tangled(condition: f64) -> Words {
    Words::new(
        format!("some terms changed almost only together: condition {condition:.1e}"),
        "leave one of them out, or make runs that change them separately",
    )
}

pub(super) fn few_degrees(residual_df: usize) -> Words {
    Words::new(
        format!("residual degrees of freedom: {residual_df}"),
        "make more runs or ask for fewer terms; intervals are wide or missing until then",
    )
}

pub(super) fn perfect(residual_df: usize) -> Words {
    Words::new(
        format!("all residuals are rounding, with {residual_df} degrees of freedom"),
        "check whether the response was computed from the factors; no chances are given",
    )
}

pub(super) fn blocks_in_plain(blocks: &[String]) -> Words {
    let names: Vec<String> = blocks.iter().map(|name| quoted(name)).collect();
    Words::new(
        format!(
            "the plain fit counts errors shared within {} as run-to-run scatter",
            and_list(&names)
        ),
        "read the intervals with care: they may be too narrow for what differs between blocks and too wide for what differs within them",
    )
}

pub(super) fn no_scatter() -> Words {
    Words::new(
        "the errors of the measurement alone explain all scatter: that from run to run is estimated as 0".into(),
        "check whether the stated uncertainties are too large; the intervals rest on them alone",
    )
}

pub(super) fn no_spread(block: &str) -> Words {
    Words::new(
        format!(
            "runs at the same {0} are no more alike than others: the spread between levels of {0} is estimated as 0",
            quoted(block)
        ),
        "nothing needs to be done; with few levels a spread can be there and not show",
    )
}

pub(super) fn unknown_spread(block: &str) -> Words {
    Words::new(
        format!(
            "these runs cannot tell how much levels of {} differ at random; the fit counts none of it",
            quoted(block)
        ),
        "make several runs at each of several levels, or leave it out of `blocks`",
    )
}

pub(super) fn not_settled(moved: f64) -> Words {
    Words::new(
        format!("the last round of the fit still moved by {moved:.1e} standard errors"),
        "check the stated uncertainties: errors nearly as large as the values themselves have no stable fit",
    )
}

pub(super) fn beyond(response: &str, prediction: &Prediction) -> Words {
    let what = match &prediction.of {
        ForetoldOf::Run(run) => format!("the fitted value of run {}", quoted(run)),
        ForetoldOf::Mean { factor, level } => format!(
            "an end of the interval of {} at {}",
            quoted(factor),
            quoted(level)
        ),
        ForetoldOf::NewRunLike(run) => {
            format!("an end of the interval of a new run like {}", quoted(run))
        }
    };
    let name = quoted(response);
    let setting = format!(
        "`scale = {{ {} = \"logit\" }}` under `[model]`",
        key(response)
    );
    let advice = match &prediction.odd {
        None => format!("set {setting}: on that scale no prediction leaves 0 to 100 %"),
        Some(odd) => format!(
            "if {name} is a fraction, look for a slip in the log of run {}, which itself came to {}; once every run lies inside, set {setting}",
            quoted(&odd.run),
            percent(odd.value)
        ),
    };
    Words::new(
        format!(
            "the model of {name} is a straight sum and reaches {} for {what}",
            percent(prediction.value)
        ),
        advice,
    )
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

/// A name between backticks.
fn quoted(name: &str) -> String {
    format!("`{name}`")
}

/// A fraction in per cent, with enough decimals to see on which side of 0 or 100 it lies.
fn percent(value: f64) -> String {
    let hundredfold = 100.0 * value;
    let side = |number: f64| (number > 100.0, number < 0.0);
    let shown = |decimals: usize| format!("{hundredfold:.decimals$}");
    let seen = |text: &String| {
        text.parse()
            .is_ok_and(|number: f64| side(number) == side(hundredfold))
    };
    let text = (1..MOST_DECIMALS).map(shown).find(seen);
    format!("{} %", text.unwrap_or_else(|| shown(MOST_DECIMALS)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::caveat::OddRun;

    fn foretold(value: f64, of: ForetoldOf, odd: Option<OddRun>) -> Words {
        beyond("y", &Prediction { value, of, odd })
    }

    #[test]
    fn a_prediction_is_told_with_what_to_set() {
        let words = foretold(1.0021, ForetoldOf::NewRunLike("1".into()), None);
        assert!(words.seen.contains("100.2 % for an end of the interval"));
        assert!(words.seen.contains("new run like `1`"), "{}", words.seen);
        assert!(words.advice.contains("`scale = { y = \"logit\" }`"));
        assert!(words.advice.contains("`[model]`"), "{}", words.advice);
    }

    #[test]
    fn a_mean_is_told_by_its_factor_and_level() {
        let of = ForetoldOf::Mean {
            factor: "route".into(),
            level: "chill".into(),
        };
        let words = foretold(-0.0116, of, None);
        let expected = "-1.2 % for an end of the interval of `route` at `chill`";
        assert!(words.seen.ends_with(expected), "{}", words.seen);
    }

    #[test]
    fn a_run_that_is_itself_outside_is_named_first() {
        let odd = Some(OddRun {
            run: "1".into(),
            value: 1.003,
        });
        let words = foretold(1.002, ForetoldOf::Run("1".into()), odd);
        assert!(words.seen.contains("the fitted value of run `1`"));
        let expected = "run `1`, which itself came to 100.3 %";
        assert!(words.advice.contains(expected), "{}", words.advice);
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
