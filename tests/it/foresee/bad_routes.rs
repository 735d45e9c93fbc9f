//! What is said of a route that the campaign file declares wrongly?
//!
//! In: tables `[routes.NAME]` with one fault each. Out: tests of message, line and hint.
//! This module never mends an equation.

use crate::support::{CampaignFolder, residuum};

const HEAD: &str = "[campaign]\ntitle = \"Permanganate\"\nproduct = \"KMnO4\"\nfollowed = \"Mn\"\nassay_as = \"MnO2\"\n\n[logs]\nruns = \"runs.csv\"\n\n[routes.spare]\n";

/// `check` and `foresee` both stop at line 11, where the first key of the route stands, or at another that is given.
#[track_caller]
fn check_fault_on(line: usize, head: &str, keys: &str, what: &str, hint: &str) {
    let folder = CampaignFolder::new()
        .with("campaign.toml", &format!("{head}{keys}\n"))
        .with("runs.csv", "run,feed_mass,crop1_mass\n1,100,20\n2,100,21\n");
    let path = folder.path().to_str().expect("UTF-8");
    let outcome = residuum(&["foresee", path]);
    assert_eq!(
        (outcome.exit_code, outcome.stdout.as_str()),
        (2, ""),
        "{}",
        outcome.stderr
    );
    let what = format!("{what}, in `campaign.toml` line {line}");
    assert!(outcome.stderr.contains(&what), "{what}\n{}", outcome.stderr);
    assert!(
        outcome.stderr.contains(&format!("hint: {hint}")),
        "{hint}\n{}",
        outcome.stderr
    );
    let checked = residuum(&["check", path]);
    assert_eq!(checked.exit_code, 1, "{}", checked.stdout);
    assert!(
        checked.stdout.contains(&what) || checked.stderr.contains(&what),
        "{}",
        checked.stdout
    );
}

#[track_caller]
fn check_fault(keys: &str, what: &str, hint: &str) {
    check_fault_on(11, HEAD, keys, what, hint);
}

#[test]
fn an_equation_that_is_not_balanced_tells_each_element_and_the_charge() {
    let counts = "put the counts right, or add what is missing on one side";
    check_fault(
        "equation = \"2 K2MnO4 + Cl2 -> 2 KMnO4 + KCl\"",
        "`routes.spare.equation` is not balanced: `Cl` 2 on the left, 1 on the right, 1 more on the left; `K` 4 on the left, 3 on the right, 1 more on the left",
        counts,
    );
    check_fault(
        "equation = \"MnO4^2- + K+ -> KMnO4\"",
        "`routes.spare.equation` is not balanced: the charge -1 on the left, 0 on the right, 1 more on the right",
        counts,
    );
}

#[test]
fn an_equation_must_make_the_product() {
    let hint = "write the product on the right as `[campaign]` has it, with its crystal water and without a charge";
    let what = "`routes.spare.equation` makes no `KMnO4`";
    check_fault(
        "equation = \"MnO2 + 4 HCl -> MnCl2 + Cl2 + 2 H2O\"",
        what,
        hint,
    );
    // A charge is another substance than the salt that is weighed.
    check_fault(
        "equation = \"2 MnO4^2- + Cl2 -> 2 MnO4^- + 2 Cl^-\"",
        what,
        hint,
    );
}

#[test]
fn what_is_no_formula_and_no_equation_is_named() {
    check_fault(
        "equation = \"K2MnO4 + Xq -> KMnO4\"",
        "`routes.spare.equation` has unknown element `Xq` in formula `Xq`",
        "elements with a standard atomic weight under that letter: Xe",
    );
    check_fault(
        "equation = \"\"",
        "`routes.spare.equation` has no arrow between what goes in and what comes out",
        "write it as `3 I2 + 6 KOH -> KIO3 + 5 KI + 3 H2O`",
    );
    check_fault(
        "equation = \"2 K2MnO4 + 0,5 O2 + H2O -> 2 KMnO4 + 2 KOH\"",
        "`routes.spare.equation` has a decimal comma in its count `0,5`",
        "use a decimal point, or multiply all counts until they are whole",
    );
}

#[test]
fn keys_are_told_with_their_line_and_what_to_write() {
    check_fault(
        "equaton = \"2 K2MnO4 + Cl2 -> 2 KMnO4 + 2 KCl\"",
        "unknown key `routes.spare.equaton`",
        "did you mean `equation`?",
    );
    check_fault(
        "ceiling = 1.2",
        "`routes.spare.ceiling` is 1.2",
        "it must be above 0, from 1e-9 to 1",
    );
    check_fault(
        "end_volume = \"100 g\"\nceiling = 1.0",
        "`routes.spare.end_volume` is `100 g`",
        "`g` is none of the units that fit: mL, L",
    );
    check_fault(
        "end_volume = \"12,5 mL\"\nceiling = 1.0",
        "`routes.spare.end_volume` is `12,5 mL`",
        "use a decimal point",
    );
    check_fault(
        "end_temperature = 0\nceiling = 1.0",
        "`routes.spare.end_temperature` is of type integer",
        "write a text in quotes",
    );
    check_fault(
        "time = \"2\"\nceiling = 1.0",
        "`routes.spare.time` is `2`",
        "add the unit, such as `2 min`",
    );
    check_fault(
        "reagents = { Xq = \"1 g\" }\nceiling = 1.0",
        "`routes.spare.reagents.Xq`: unknown element `Xq` in formula `Xq`",
        "elements with a standard atomic weight",
    );
    check_fault(
        "reagents = { KOH = \"0 g\" }\nceiling = 1.0",
        "`routes.spare.reagents.KOH` is `0 g`",
        "it must be above zero",
    );
}

#[test]
fn a_route_needs_an_equation_or_a_ceiling_that_agree() {
    check_fault_on(
        10,
        HEAD,
        "time = \"2 h\"",
        "`routes.spare` has neither `equation` nor `ceiling`",
        "write its balanced equation",
    );
    check_fault_on(
        10,
        HEAD,
        "equation = \"3 K2MnO4 + 2 CO2 -> 2 KMnO4 + MnO2 + 2 K2CO3\"\nceiling = 1.0",
        "`routes.spare.ceiling` is 1, and its equation says 0.6667",
        "leave `ceiling` out: it follows from the equation",
    );
    check_fault_on(
        7,
        "[campaign]\ntitle = \"Plain\"\n\n[logs]\nruns = \"runs.csv\"\n\n[routes.spare]\n",
        "ceiling = 1.0",
        "`routes.spare` without `product` in `[campaign]`",
        "name `product`, `followed` and `assay_as`",
    );
}
