//! Is a factor the same whatever it is called?
//!
//! In: factors with names that read like a term, a joint effect, another factor or a part of the program's own words.
//! Out: tests of every call.
//! This module never renames a level, a lot, a run or a response.

use super::campaign::{Log, Names};
use super::compare::{CALLS, check, check_calls};

/// Names of the bent amount, the straight one, the plain choice, the route and the residue.
#[track_caller]
fn check_factors([bent, straight, roast, way, fed]: [&str; 5]) {
    check(&Names {
        bent: bent.into(),
        straight: straight.into(),
        roast: roast.into(),
        way: way.into(),
        fed: fed.into(),
        ..Names::ordinary()
    });
}

#[test]
fn ordinary_names_are_nothing_special() {
    check(&Names::ordinary());
}

#[test]
fn names_that_read_like_joint_effects_are_one_factor_each() {
    check_factors([
        "rinse with acid",
        "stir with care",
        "boil with lid",
        "way with rinse",
        "fed with acid",
    ]);
}

#[test]
fn names_that_read_like_levels_are_one_factor_each() {
    check_factors(["a: b", "b: c", "roast: hob", "way: chill", "c: d with e: f"]);
}

#[test]
fn names_that_read_like_powers_are_one_factor_each() {
    check_factors([
        "x to the 2",
        "x",
        "roast to the 3",
        "x to the 2 to the 2",
        "fed to the 2",
    ]);
}

#[test]
fn names_that_begin_alike_are_different_factors() {
    check_factors(["heat time", "heat", "heat t", "heating", "heat time 2"]);
    check_factors(["heat", "heat time", "he", "hea", "h"]);
}

#[test]
fn names_of_the_programs_own_terms_are_factors_like_others() {
    check_factors(["constant", "cost", "yield", "lot share of A", "residue"]);
    check_factors(["purity", "constant", "closure", "labour", "run to run"]);
}

#[test]
fn names_with_signs_are_factors_like_others() {
    check_factors(["a, b", "and", "a (b", "c; d / e", "\"q\" and 'r'"]);
}

#[test]
fn names_of_factors_that_cannot_be_told_apart_are_not_taken_apart() {
    for [straight, roast] in [
        ["rinse with acid", "boil with lid"],
        ["a: b", "a"],
        ["x to the 2", "x"],
        ["heat", "heat time"],
    ] {
        let names = Names {
            straight: straight.into(),
            roast: roast.into(),
            roasts: ["boil", "boil with stirring", "a: b"].map(str::to_string),
            ..Names::ordinary()
        };
        check_calls(&CALLS, &names, Log::Tangled);
    }
}
