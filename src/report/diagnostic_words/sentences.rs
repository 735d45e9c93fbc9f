//! Sentences of diagnostics: what a figure found, or why it says nothing.
//!
//! In: a [`Reading`]. Out: a sentence without a last full stop; names between backticks, not escaped.
//! This module never judges a figure, never advises to leave a run out, and takes each bound that it states from the
//! code that judges by it.

use crate::regression::{
    APART_LEVERAGE, Change, Changing, FAR_LEVERAGE, MOST_FOR_NORMALITY, MOST_REFITS, OWN_REGION,
    PULLING_DISTANCE, Reading, RestingDecision, SideOfModel, WhyNot,
};
use crate::report::print::numbers::plain;
use crate::report::print::words::{and_list, or_list, times_in_words};

/// Runs that are named for one decision; more than that are counted.
pub(super) const MOST_NAMED: usize = 5;

/// How the Durbin-Watson figure is read; these three follow from its definition.
pub(super) const SCALE_OF_NEIGHBOURS: &str =
    "2 means no connection, 0 the same error, 4 opposite errors";

/// What was found.
pub(super) fn reading_text(reading: &Reading) -> String {
    match reading {
        Reading::NotJudged(why) => not_judged(*why),
        Reading::RunsBeyondChance { furthest, side, .. } => format!(
            "run `{furthest}` lies further {} the model than chance explains, allowing for all runs: look for a slip in its logs before believing the rest",
            side_word(*side)
        ),
        Reading::NoRunBeyondChance { furthest, side } => format!(
            "no run lies further off than chance explains, allowing for all runs; `{furthest}` is the furthest, {} the model",
            side_word(*side)
        ),
        Reading::OnlyRunsWithATerm(runs) => format!(
            "{}: each is the only one to show some term, so that nothing checks its reading; repeat it",
            run_list(runs)
        ),
        Reading::SettingsFarOff(runs) => format!(
            "{}: settings so far from the others (beyond {} the average) that few runs check the reading",
            run_list(runs),
            times_in_words(FAR_LEVERAGE)
        ),
        Reading::SettingsApart(runs) => format!(
            "{}: settings somewhat apart from the others (beyond {} the average); a slip there would cost more than elsewhere",
            run_list(runs),
            times_in_words(APART_LEVERAGE)
        ),
        Reading::NoSettingsApart => format!(
            "no run's settings stand apart: all are within {} the average",
            times_in_words(APART_LEVERAGE)
        ),
        Reading::RunDecidesFit(run) => format!(
            "without run `{run}` the fit would move to the edge of its own {} % region: the result rests on this run, so repeat it",
            plain(100.0 * OWN_REGION)
        ),
        Reading::RunPullsFit(run) => format!(
            "run `{run}` pulls the fit more than most do (above {} over the number of runs), though not far",
            plain(PULLING_DISTANCE)
        ),
        Reading::NoRunPullsFit => "no single run pulls the fit noticeably".into(),
        Reading::TermMissing => {
            "the runs lie further from the model than repeats lie from one another: a curved or joint effect is missing, or repeats were made too close together to show all scatter".into()
        }
        Reading::NoTermMissing => {
            "the runs lie no further from the model than repeats from one another: no missing term shows".into()
        }
        Reading::NotNormal => {
            "the residuals do not look normal: a few runs far off, or a scatter that is not the same everywhere; chances near the level deserve little trust".into()
        }
        Reading::LooksNormal => "the residuals look normal as far as so many runs can tell".into(),
        Reading::SpreadChanges => {
            "the scatter changes with the settings: intervals are too narrow where it is large and too wide where it is small".into()
        }
        Reading::SpreadEven => "the scatter looks the same at all settings".into(),
        Reading::NeighboursAlike => {
            "neighbouring runs err the same way: something drifts, or several runs share an error; intervals are too narrow".into()
        }
        Reading::NeighboursOpposite => {
            "neighbouring runs err in opposite ways: something is corrected too far from run to run, or two set-ups alternate".into()
        }
        Reading::NeighboursIndependent => {
            "neighbouring runs err independently as far as so many runs can tell".into()
        }
        Reading::WentWithOrder(went) => format!(
            "{} changed along with the order of the runs: whatever drifted in that time counts as {} effect; mix the order of the next runs",
            and_list(went.iter().map(changing)),
            if went.len() == 1 { "its" } else { "their" }
        ),
        Reading::NoneWentWithOrder(most) => format!(
            "no factor went with the order of the runs more than chance explains; {} did most",
            changing(most)
        ),
        Reading::TermBadlyBlurred(term) => format!(
            "`{term}` is known far less well than so many runs could tell it: it changed along with other terms; make runs that change it alone"
        ),
        Reading::TermBlurred(term) => format!(
            "`{term}` is known noticeably less well than it could be, for it changed along with other terms"
        ),
        Reading::NoTermBlurred => "every term changed independently enough of the others".into(),
        Reading::StronglyTogether(terms) => format!(
            "{} hang together strongly: their single values mean little, sums and differences of them may still be well known",
            which_terms(terms)
        ),
        Reading::Together(terms) => format!(
            "{} hang together noticeably, which widens their intervals",
            which_terms(terms)
        ),
        Reading::NoneTogether => "no terms hang together".into(),
        Reading::SomeRestOnOneRun(decisions) => {
            let told: Vec<String> = decisions.iter().map(resting).collect();
            told.join("; ")
        }
        Reading::NoneRestsOnOneRun => {
            "every effect would be judged the same without any one run".into()
        }
    }
}

/// `cannot be judged: no term can be told`.
fn not_judged(why: WhyNot) -> String {
    let reason = match why {
        WhyNot::TooManyForNormality => {
            return format!(
                "not judged above {MOST_FOR_NORMALITY} runs, where means are normal whatever the runs are"
            );
        }
        WhyNot::TooManyToRefit => {
            return format!(
                "not looked at above {MOST_REFITS} runs or with so many terms, as the fits without each run would take too long"
            );
        }
        WhyNot::NoScatter => "the fit leaves no scatter to look at",
        WhyNot::NoRepeats => {
            "no two runs repeat the same settings; a few repeats would show whether terms are missing"
        }
        WhyNot::TermForEverySetting => "the model has a term for every setting that was run",
        WhyNot::RepeatsAgreeExactly => {
            "the repeats agree to the last digit, which is no measure of scatter"
        }
        WhyNot::TooFewDegreesOfFreedom => "too few residual degrees of freedom",
        WhyNot::ConstantAlone => "the model has no term besides the constant",
        WhyNot::NothingChanged => "no factor of the model changed, or there are too few runs",
        WhyNot::RunsDoNotFit => "the runs do not fit the model",
        WhyNot::NoTermTold => "no term can be told",
    };
    format!("cannot be judged: {reason}")
}

fn side_word(side: SideOfModel) -> &'static str {
    match side {
        SideOfModel::Above => "above",
        SideOfModel::Below => "below",
    }
}

fn quoted(names: &[String]) -> Vec<String> {
    names.iter().map(|name| format!("`{name}`")).collect()
}

/// ``run `7` ``, ``runs `7` and `9` ``.
fn run_list(runs: &[String]) -> String {
    let noun = if runs.len() == 1 { "run" } else { "runs" };
    format!("{noun} {}", and_list(quoted(runs)))
}

/// `` `heating: hob` ``, `` `oxidant` ``.
fn changing(changing: &Changing) -> String {
    match changing {
        Changing::Amount { factor } => format!("`{factor}`"),
        Changing::Level { factor, level } => format!("`{factor}: {level}`"),
    }
}

/// The terms of a relation; one alone hangs together with nothing, so that the others are too many to name.
fn which_terms(terms: &[String]) -> String {
    match terms {
        [] | [_] => "several terms".into(),
        _ => and_list(quoted(terms)),
    }
}

/// One decision that rests on one run.
fn resting(decision: &RestingDecision) -> String {
    let about = &decision.about;
    let which = match decision.runs.as_slice() {
        [only] => format!("run `{only}`"),
        few if few.len() <= MOST_NAMED => format!("any one of {}", or_list(quoted(few))),
        many => format!("any one of {} runs", many.len()),
    };
    match decision.change {
        Change::NoLongerMatters => format!("without {which}, `{about}` would no longer matter"),
        Change::WouldMatter => format!("without {which}, `{about}` would matter"),
        Change::CouldNotBeTold => format!("without {which}, `{about}` could not be told"),
        Change::NoFit => format!("without {which} there would be no fit"),
    }
}
