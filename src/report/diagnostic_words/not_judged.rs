//! Why does a figure say nothing?
//!
//! In: the reason. Out: it as a sentence.
//! This module never looks for the reason.

use crate::regression::{MOST_FOR_NORMALITY, MOST_REFITS, WhyNot};

/// `cannot be judged: no term can be told`.
pub(super) fn reason(why: WhyNot) -> String {
    match why {
        WhyNot::NoScatter => "cannot be judged: the fit leaves no scatter to look at".into(),
        WhyNot::NoRepeats => "cannot be judged: no two runs repeat the same settings; a few repeats would show whether terms are missing".into(),
        WhyNot::TermForEverySetting => {
            "cannot be judged: the model has a term for every setting that was run".into()
        }
        WhyNot::RepeatsAgreeExactly => {
            "cannot be judged: the repeats agree to the last digit, which is no measure of scatter".into()
        }
        WhyNot::TooManyForNormality => format!(
            "not judged above {MOST_FOR_NORMALITY} runs, where means are normal whatever the runs are"
        ),
        WhyNot::TooManyToRefit => {
            format!("not looked at above {MOST_REFITS} runs, where no single run decides much")
        }
        WhyNot::TooFewDegreesOfFreedom => {
            "cannot be judged: too few residual degrees of freedom".into()
        }
        WhyNot::ConstantAlone => {
            "cannot be judged: the model has no term besides the constant".into()
        }
        WhyNot::NothingChanged => {
            "cannot be judged: no factor of the model changed, or there are too few runs".into()
        }
        WhyNot::RunsDoNotFit => "cannot be judged: the runs do not fit the model".into(),
        WhyNot::NoTermTold => "cannot be judged: no term can be told".into(),
    }
}
