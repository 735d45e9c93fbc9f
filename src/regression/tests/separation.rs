//! What the runs cannot tell apart is named, and nothing else.
//!
//! In: small invented logs whose tangles are known by construction. Out: nothing but passing tests.
//! This module never compares a fitted value with another fit.

use super::testing::{amount, choice, model, runs, written};
use crate::caveat::Doubt;
use crate::regression::{
    AmountAt, FitData, FittedModel, Proposal, Refusal, Settings, Tangled, TermName, TermPiece,
};

/// Rounding of a fit with refinement.
const ROUNDING: f64 = 1e-12;

fn names(fitted: &FittedModel) -> Vec<String> {
    let terms = fitted.terms.iter();
    terms.map(|term| term.name.to_string()).collect()
}

fn tangled(fitted: &FittedModel) -> Vec<Vec<String>> {
    let groups = fitted.not_separable.iter();
    groups.map(|group| written(&group.terms)).collect()
}

fn level(factor: &str, level: &str) -> TermPiece {
    TermPiece::Level {
        factor: factor.into(),
        level: level.into(),
    }
}

fn beside(seen: TermPiece, choice: &str, levels: &[&str]) -> Proposal {
    Proposal::Beside {
        level: seen,
        choice: choice.into(),
        levels: written(levels),
    }
}

fn moved(levels: &[TermPiece], amount: &str, away_from: &[f64]) -> Proposal {
    Proposal::Moved {
        levels: levels.to_vec(),
        amount: amount.into(),
        away_from: away_from.to_vec(),
        with: Vec::new(),
    }
}

fn at(levels: &[TermPiece], amount: &str, values: &[f64], with: &[(&str, f64)]) -> Proposal {
    let with = with.iter().map(|&(amount, value)| AmountAt {
        amount: amount.into(),
        value,
    });
    Proposal::At {
        levels: levels.to_vec(),
        amount: amount.into(),
        values: values.to_vec(),
        with: with.collect(),
    }
}

fn values(amount: &str, values: &[f64]) -> Tangled {
    Tangled::Values {
        amount: amount.into(),
        values: values.to_vec(),
    }
}

/// The kiln was only run on lot D, and lot D only in the kiln; all else is crossed.
fn kiln_on_lot_d() -> FitData {
    let lots = ["A", "B", "C", "A", "B", "C", "A", "B", "C", "D", "D", "D"];
    let heating = [
        "muffle", "muffle", "muffle", "hob", "hob", "hob", "muffle", "hob", "muffle", "kiln",
        "kiln", "kiln",
    ];
    let response = [
        0.70, 0.72, 0.69, 0.66, 0.67, 0.63, 0.71, 0.68, 0.70, 0.80, 0.82, 0.79,
    ];
    runs(
        response.to_vec(),
        vec![
            choice("heating", &["muffle", "hob", "kiln"], &heating),
            choice("lot", &["A", "B", "C", "D"], &lots),
            amount(
                "oxidant",
                (0..12).map(|run| f64::from(run % 5) * 10.0).collect(),
            ),
        ],
    )
}

#[test]
fn a_level_on_one_lot_alone_is_named_with_its_lot() {
    let fitted = model(&["heating", "oxidant"])
        .with_block("lot")
        .fitted(&kiln_on_lot_d());
    assert_eq!(names(&fitted), ["constant", "heating: hob", "oxidant"]);
    assert_eq!(tangled(&fitted), [["heating: kiln", "lot: D"]]);
    let group = &fitted.not_separable[0];
    assert_eq!(group.why, Tangled::OnlyTogether(group.terms.clone()));
    assert_eq!(
        group.runs_that_would_separate,
        [
            beside(level("heating", "kiln"), "lot", &["A", "B", "C"]),
            beside(level("lot", "D"), "heating", &["muffle", "hob"]),
        ]
    );
    assert!(
        fitted
            .caveats
            .iter()
            .any(|caveat| matches!(caveat.doubt, Doubt::BlocksInPlainFit { .. }))
    );
}

#[test]
fn a_level_tangled_with_a_lot_has_no_mean_and_no_test() {
    let fitted = model(&["heating", "oxidant"])
        .with_block("lot")
        .fitted(&kiln_on_lot_d());
    let means = &fitted.adjusted_means[0];
    let known: Vec<bool> = means
        .levels
        .iter()
        .map(|level| level.mean.is_some())
        .collect();
    assert_eq!(known, [true, true, false]);
    let together = [level("heating", "kiln"), level("lot", "D")].map(TermName::of);
    let why = Tangled::OnlyTogether(together.to_vec());
    assert_eq!(
        means.levels[2].reason,
        Some(Refusal::NotSeparable(vec![why]))
    );
    assert_eq!(fitted.tests[0].df, 1);
    assert!(
        fitted
            .level_difference("heating", "kiln", "muffle")
            .is_err()
    );
    assert!(fitted.level_difference("heating", "hob", "muffle").is_ok());
}

#[test]
fn the_baseline_is_treated_like_any_other_level() {
    let mut data = kiln_on_lot_d();
    let crate::regression::FactorValues::Choice { levels, codes } = &mut data.factors[0].values
    else {
        panic!("a choice")
    };
    levels.rotate_right(1);
    codes.iter_mut().for_each(|code| *code = (*code + 1) % 3);
    let fitted = model(&["heating", "oxidant"])
        .with_block("lot")
        .fitted(&data);
    assert_eq!(names(&fitted), ["oxidant"]);
    let means = &fitted.adjusted_means[0];
    assert_eq!(means.levels[0].level, "kiln");
    assert!(means.levels[0].mean.is_none() && means.levels[1].mean.is_some());
    let found = fitted.level_difference("heating", "hob", "muffle").unwrap();
    let usual = model(&["heating", "oxidant"])
        .with_block("lot")
        .fitted(&kiln_on_lot_d());
    assert!((found.value - usual.written("heating: hob").unwrap().value).abs() < ROUNDING);
}

#[test]
fn a_single_lot_hides_behind_nothing() {
    let mut data = kiln_on_lot_d();
    data.factors[1] = choice("lot", &["A", "B"], &["A"; 12]);
    let fitted = model(&["heating", "oxidant"])
        .with_block("lot")
        .fitted(&data);
    assert!(fitted.not_separable.is_empty());
    assert_eq!(fitted.terms.len(), 4);
}

#[test]
fn a_level_without_runs_was_never_run() {
    let mut data = kiln_on_lot_d();
    data.factors[0] = choice(
        "heating",
        &["muffle", "hob", "arc"],
        &["muffle", "hob"].repeat(6),
    );
    let fitted = model(&["heating", "oxidant"]).fitted(&data);
    assert_eq!(tangled(&fitted), [["heating: arc"]]);
    let arc = TermName::of(level("heating", "arc"));
    let why = Tangled::NeverRun(arc);
    assert_eq!(fitted.not_separable[0].why, why);
    assert_eq!(
        fitted.not_separable[0].runs_that_would_separate,
        [Proposal::Levels(vec![level("heating", "arc")])]
    );
    let arc = &fitted.adjusted_means[0].levels[2];
    assert_eq!(arc.reason, Some(Refusal::NotSeparable(vec![why])));
}

#[test]
fn a_square_needs_a_third_value() {
    let x = [10.0, 20.0, 10.0, 20.0, 10.0, 20.0];
    let data = runs(
        vec![1.0, 2.0, 1.1, 2.1, 0.9, 2.2],
        vec![amount("x", x.to_vec())],
    );
    let fitted = model(&["x"]).with_curve("x", 2).fitted(&data);
    assert!(fitted.terms.is_empty());
    assert_eq!(tangled(&fitted), [["constant", "x", "x to the 2"]]);
    let group = &fitted.not_separable[0];
    assert_eq!(group.why, values("x", &[10.0, 20.0]));
    assert_eq!(
        group.runs_that_would_separate,
        [moved(&[], "x", &[10.0, 20.0])]
    );
    // At the values that were run the mean is known: (2.0 + 2.1 + 2.2) / 3.
    let found = fitted
        .estimate(&Settings::default().amount("x", 20.0))
        .unwrap();
    assert!((found.value - 2.1).abs() < ROUNDING);
    assert!(
        fitted
            .estimate(&Settings::default().amount("x", 15.0))
            .is_err()
    );
}

#[test]
fn an_amount_that_never_changed_is_tangled_with_the_constant() {
    let data = runs(vec![1.0, 2.0, 1.5], vec![amount("x", vec![3.0; 3])]);
    let fitted = model(&["x"]).fitted(&data);
    assert_eq!(tangled(&fitted), [["constant", "x"]]);
    assert_eq!(fitted.not_separable[0].why, values("x", &[3.0]));
    assert_eq!(
        fitted.not_separable[0].runs_that_would_separate,
        [moved(&[], "x", &[3.0])]
    );
    assert_eq!(fitted.residual_df, 2);
}

#[test]
fn two_amounts_that_move_together_are_not_shared_out() {
    let x = [1.0, 2.0, 3.0, 4.0, 5.0];
    let z: Vec<f64> = x.iter().map(|x| 2.0 * x).collect();
    let data = runs(
        vec![1.0, 2.1, 2.9, 4.2, 5.0],
        vec![amount("x", x.to_vec()), amount("z", z)],
    );
    let fitted = model(&["x", "z"]).fitted(&data);
    assert_eq!(names(&fitted), ["constant"]);
    assert_eq!(tangled(&fitted), [["x", "z"]]);
    assert_eq!(fitted.not_separable[0].runs_that_would_separate.len(), 2);
    assert!(
        fitted
            .tests
            .iter()
            .all(|test| test.df == 0 && test.f.is_none() && test.p.is_none())
    );
}

#[test]
fn a_joint_effect_needs_its_missing_combination() {
    let route = ["chill", "chill", "boil", "chill", "boil", "chill", "boil"];
    let heat = ["hob", "kiln", "hob", "hob", "hob", "kiln", "hob"];
    let data = runs(
        vec![1.0, 2.0, 3.0, 1.1, 3.1, 2.1, 2.9],
        vec![
            choice("route", &["chill", "boil"], &route),
            choice("heat", &["hob", "kiln"], &heat),
        ],
    );
    let fitted = model(&["route", "heat"])
        .with_joint(&["route", "heat"])
        .fitted(&data);
    assert_eq!(names(&fitted), ["constant", "route: boil", "heat: kiln"]);
    assert_eq!(tangled(&fitted), [["route: boil with heat: kiln"]]);
    assert_eq!(
        fitted.not_separable[0].runs_that_would_separate,
        [beside(level("route", "boil"), "heat", &["kiln"])]
    );
}

#[test]
fn a_slope_at_one_level_needs_two_values_there() {
    let route = ["chill", "chill", "chill", "boil", "boil", "chill"];
    let data = runs(
        vec![1.0, 2.0, 3.1, 3.0, 3.2, 2.2],
        vec![
            choice("route", &["chill", "boil"], &route),
            amount("ratio", vec![0.0, 0.2, 0.4, 0.4, 0.4, 0.2]),
        ],
    );
    let fitted = model(&["route", "ratio"])
        .with_joint(&["route", "ratio"])
        .fitted(&data);
    assert_eq!(names(&fitted), ["constant", "ratio"]);
    assert_eq!(
        tangled(&fitted),
        [["route: boil", "route: boil with ratio"]]
    );
    assert_eq!(
        fitted.not_separable[0].runs_that_would_separate,
        [at(&[level("route", "boil")], "ratio", &[0.0, 0.2], &[])]
    );
}

#[test]
fn a_half_fraction_asks_for_one_run_of_the_other_half() {
    // C = A·B: each run has A·B·C = 1, so that C and the joint effect of A and B are one.
    let a = [-1.0, 1.0, -1.0, 1.0, -1.0, 1.0, -1.0, 1.0];
    let b = [-1.0, -1.0, 1.0, 1.0, -1.0, -1.0, 1.0, 1.0];
    let c: Vec<f64> = a.iter().zip(b).map(|(a, b)| a * b).collect();
    let data = runs(
        vec![1.0, 2.0, 3.0, 5.0, 1.2, 2.1, 2.8, 5.3],
        vec![
            amount("A", a.to_vec()),
            amount("B", b.to_vec()),
            amount("C", c),
        ],
    );
    let fitted = model(&["A", "B", "C"])
        .with_joint(&["A", "B"])
        .fitted(&data);
    assert_eq!(tangled(&fitted), [["C", "A with B"]]);
    let proposals = &fitted.not_separable[0].runs_that_would_separate;
    assert_eq!(proposals.len(), 3, "one for each factor: {proposals:?}");
    for proposal in proposals {
        let Proposal::At { values, with, .. } = proposal else {
            panic!("a value beside those of the log: {proposal:?}")
        };
        let product: f64 = values
            .iter()
            .chain(with.iter().map(|at| &at.value))
            .product();
        assert_eq!(product, -1.0, "{proposal:?}");
    }
}

#[test]
fn a_level_on_one_lot_alone_is_named_with_its_lot_where_lots_are_no_block() {
    let params = model(&["heating", "oxidant"]);
    let data = kiln_on_lot_d();
    assert!(params.clone().fitted(&data).not_separable.is_empty());
    let watched = params
        .check(&data)
        .unwrap()
        .watching("lot")
        .fit(&data)
        .unwrap();
    assert_eq!(tangled(&watched), [["heating: kiln", "lot: D"]]);
    let as_effect = model(&["heating", "oxidant", "lot"]).check(&data).unwrap();
    let as_effect = as_effect.watching("lot").fit(&data).unwrap();
    assert_eq!(tangled(&as_effect), [["heating: kiln", "lot: D"]]);
}
