//! Why there are no control charts, in words.
//!
//! In: [`NoLimits`]. Out: a clause.
//! This module never decides how many values it takes.

use crate::drift::NoLimits;

/// The reason in words.
pub(in crate::report) fn no_limits(reason: NoLimits) -> String {
    match reason {
        NoLimits::TooFewValues { there, needed } => format!(
            "it takes {needed} values to estimate where it stands, and there {}",
            if there == 1 {
                "is 1".into()
            } else {
                format!("are {there}")
            }
        ),
        NoLimits::NoScatter { first } => {
            format!("the first {first} values do not scatter, so no limits can be drawn from them")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_value_is_one_and_three_are_three() {
        for (there, expected) in [(1, "there is 1"), (3, "there are 3")] {
            let reason = NoLimits::TooFewValues { there, needed: 4 };
            let said = no_limits(reason);
            assert!(said.ends_with(expected), "{said}");
        }
    }
}
