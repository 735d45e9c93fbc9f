//! Is a level the same whatever it is called?
//!
//! In: levels with names that read like terms, settings, numbers or words of the program. Out: tests of every call.
//! This module never renames anything but levels and, where they would be confused, their factor.

use super::campaign::Names;
use super::compare::check;

#[track_caller]
fn check_levels(roasts: [&str; 3], ways: [&str; 2]) {
    check(&Names {
        roasts: roasts.map(str::to_string),
        ways: ways.map(str::to_string),
        ..Names::ordinary()
    });
}

#[test]
fn levels_that_read_like_joint_effects_are_one_level_each() {
    check_levels(
        ["boil with stirring", "boil", "stirring with boil"],
        ["chill with ice", "chill"],
    );
}

#[test]
fn levels_that_read_like_levels_of_factors_are_one_level_each() {
    check_levels(["a: b", "a", "roast: a"], ["way: a: b", "b with way: c"]);
}

#[test]
fn levels_that_read_like_powers_numbers_and_words_are_levels() {
    check_levels(
        ["acid to the 2", "15", "constant"],
        ["none", "lot share of A"],
    );
    check_levels(["yield", "cost", "n/a"], ["labour", "purity"]);
}

/// A cell of a log is trimmed, so that ` with ` and `: ` are these.
#[test]
fn levels_that_are_nothing_but_a_joining_word_or_sign_are_levels() {
    check_levels(["with", ":", "with:"], ["to the", ": with"]);
}

#[test]
fn levels_that_hold_commas_and_conjunctions_are_one_level_each() {
    check_levels(
        ["spirit of wine, second wash", "spirit of wine", "a and b"],
        ["chill, then boil", "chill against boil"],
    );
}

#[test]
fn a_level_called_like_its_factor_and_a_factor_called_like_a_level_are_kept_apart() {
    check(&Names {
        roast: "hob".into(),
        roasts: ["hob", "way", "acid"].map(str::to_string),
        way: "chill".into(),
        ways: ["chill", "hob: hob"].map(str::to_string),
        ..Names::ordinary()
    });
}
