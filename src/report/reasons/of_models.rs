//! Reasons of models in words: means that cannot be told, and surfaces that stand still nowhere.
//!
//! In: typed reasons of the regression. Out: clauses with names between backticks, not escaped.
//! This module never decides what can be told.

use crate::regression::{NoStationary, Refusal};
use crate::report::print::untold_terms::{quoted, tangled};
use crate::report::print::words::or_list;

/// Why a model gives no estimate.
pub(in crate::report) fn refusal(why: &Refusal) -> String {
    match why {
        Refusal::UnknownFactor(name) => format!("the model has no factor {}", quoted(name)),
        Refusal::UnknownLevel {
            factor,
            level,
            known,
        } => {
            let names: Vec<String> = known.iter().map(quoted).collect();
            let (level, factor) = (quoted(level), quoted(factor));
            format!("{factor} has no level {level}, only {}", or_list(&names))
        }
        Refusal::NotAChoice(name) => format!("{} is an amount and has no levels", quoted(name)),
        Refusal::NotAnAmount(name) => format!("{} is a choice and has no amounts", quoted(name)),
        Refusal::NotANumber(name) => {
            format!("the value of {} is not a finite number", quoted(name))
        }
        Refusal::NotSeparable(reasons) => {
            let reasons: Vec<String> = reasons.iter().map(tangled).collect();
            reasons.join("; ")
        }
        Refusal::TooLarge => "the result is too large for a number".into(),
    }
}

/// Why a surface has no stationary point.
pub(in crate::report) fn no_stationary(why: &NoStationary) -> String {
    match why {
        NoStationary::NotCurved => "the model is curved in no amount".into(),
        NoStationary::HigherOrder(term) => {
            format!("{} is of higher order than the second", quoted(term))
        }
        NoStationary::NoBend => "in one direction the surface does not bend".into(),
        NoStationary::Refused(why) => refusal(why),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::Tangled;

    #[test]
    fn a_refusal_names_what_was_asked_for() {
        let level = Refusal::UnknownLevel {
            factor: "heating".into(),
            level: "arc".into(),
            known: ["hob", "muffle", "torch"].map(String::from).to_vec(),
        };
        assert_eq!(
            refusal(&level),
            "`heating` has no level `arc`, only `hob`, `muffle` or `torch`"
        );
        for (why, words) in [
            (
                Refusal::UnknownFactor("ratio".into()),
                "the model has no factor `ratio`",
            ),
            (
                Refusal::NotAChoice("oxidant".into()),
                "`oxidant` is an amount and has no levels",
            ),
            (
                Refusal::NotAnAmount("heating".into()),
                "`heating` is a choice and has no amounts",
            ),
            (
                Refusal::NotANumber("oxidant".into()),
                "the value of `oxidant` is not a finite number",
            ),
            (Refusal::TooLarge, "the result is too large for a number"),
        ] {
            assert_eq!(refusal(&why), words);
        }
    }

    #[test]
    fn everything_in_the_way_is_named() {
        let values = |values: &[f64]| Tangled::Values {
            amount: "ratio".into(),
            values: values.to_vec(),
        };
        let why = Refusal::NotSeparable(vec![values(&[0.5]), values(&[0.0, 0.5])]);
        let words = "`ratio` was 0.5 in every run; `ratio` took only the values 0 and 0.5";
        assert_eq!(refusal(&why), words);
        assert_eq!(no_stationary(&NoStationary::Refused(why)), words);
    }

    #[test]
    fn a_surface_that_stands_still_nowhere_says_why() {
        assert_eq!(
            no_stationary(&NoStationary::NotCurved),
            "the model is curved in no amount"
        );
        assert_eq!(
            no_stationary(&NoStationary::NoBend),
            "in one direction the surface does not bend"
        );
    }
}
