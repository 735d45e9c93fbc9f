//! Checks of the diagnostics against independent calculations.
//!
//! In: published and invented runs. Out: nothing but passing tests.
//! This module never compares with a number that this project made.

use super::*;
use crate::regression::diagnostics::testing::{figure, invented, list, text};
use crate::regression::tests::testing::{amount, choice, model, numbers, runs};
use crate::regression::{ModelParams, OwnError};

const AMMONIA: &str = include_str!("../../../tests/data/regression_ammonia.csv");

/// Relative: eight digits are asked for; the figures come from statsmodels 0.15.0 in double precision.
const COMPUTED: f64 = 1e-8;

/// Relative: the reference takes normal scores from a seven-digit approximation (AS 111).
const SHAPIRO: f64 = 1e-6;

/// Chances of W magnify the difference of the scores.
const SHAPIRO_CHANCE: f64 = 1e-4;

#[track_caller]
fn near(found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance * expected.abs().max(1e-6),
        "{found} is not {expected}"
    );
}

/// The days of an ammonia plant: Brownlee, Statistical Theory and Methodology in Science and Engineering, 1960.
fn ammonia() -> (ModelParams, FitData) {
    let column = |name: &str| amount(name, numbers(AMMONIA, name));
    let data = runs(
        numbers(AMMONIA, "stack_loss"),
        vec![
            column("air_flow"),
            column("water_temp"),
            column("acid_conc"),
        ],
    );
    (model(&["air_flow", "water_temp", "acid_conc"]), data)
}

fn bent() -> (ModelParams, FitData) {
    let params = model(&["heating", "oxidant", "ratio"]).with_curve("oxidant", 2);
    (params, invented())
}

fn diagnosed(params: ModelParams, data: &FitData, replicates: &[Vec<usize>]) -> Vec<Diagnostic> {
    let valid = params.check(data).unwrap();
    let fitted = valid.fit(data).unwrap();
    diagnostics(&valid, &fitted, data, replicates)
}

#[track_caller]
fn find(found: &[Diagnostic], what: DiagnosticKind) -> &Diagnostic {
    found
        .iter()
        .find(|d| d.what == what)
        .expect("it stands in the list")
}

fn resting(about: &str, change: Change, runs: &[&str]) -> Reading {
    Reading::SomeRestOnOneRun(vec![RestingDecision {
        about: about.into(),
        change,
        runs: runs.iter().map(|run| run.to_string()).collect(),
    }])
}

#[test]
fn the_figures_of_single_runs_agree_with_statsmodels() {
    for (name, (params, data)) in [("ammonia", ammonia()), ("invented", bent())] {
        let fitted = params.fitted(&data);
        let found = influences(&fitted);
        let of = |what: &str| list(&format!("{name}_{what}"));
        let (studentised, leverage, distance) = (of("studentised"), of("leverage"), of("cook"));
        assert_eq!(found.len(), studentised.len());
        for (run, influence) in found.iter().enumerate() {
            near(influence.studentised.unwrap(), studentised[run], COMPUTED);
            near(influence.leverage, leverage[run], COMPUTED);
            near(influence.distance.unwrap(), distance[run], COMPUTED);
        }
    }
}

#[test]
fn the_figures_of_the_whole_fit_agree_with_statsmodels_and_scipy() {
    for (name, (params, data)) in [("ammonia", ammonia()), ("invented", bent())] {
        let found = diagnosed(params, &data, &[]);
        let expected = |what: &str| figure(&format!("{name}_{what}"));
        let largest = find(&found, DiagnosticKind::LargestResidual);
        near(largest.p.unwrap(), expected("bonferroni_p"), COMPUTED);
        let spread = find(&found, DiagnosticKind::EvenSpread);
        near(spread.value.unwrap(), expected("breusch_pagan"), COMPUTED);
        near(spread.p.unwrap(), expected("breusch_pagan_p"), COMPUTED);
        let neighbours = find(&found, DiagnosticKind::Neighbours);
        near(
            neighbours.value.unwrap(),
            expected("durbin_watson"),
            COMPUTED,
        );
        let normal = find(&found, DiagnosticKind::Normality);
        near(normal.value.unwrap(), expected("shapiro_w"), SHAPIRO);
        near(normal.p.unwrap(), expected("shapiro_p"), SHAPIRO_CHANCE);
    }
}

#[test]
fn inflation_and_condition_agree_with_statsmodels_and_numpy() {
    for (name, (params, data)) in [("ammonia", ammonia()), ("invented", bent())] {
        let valid = params.check(&data).unwrap();
        let found = collinearity(&valid, &data).unwrap();
        let of = |what: &str| list(&format!("{name}_{what}"));
        assert!(found.dependent.is_empty());
        let inflation = of("inflation");
        assert_eq!(found.inflation.len(), inflation.len());
        for (own, expected) in found.inflation.iter().zip(inflation) {
            near(own.share, expected, COMPUTED);
        }
        for (own, expected) in found.conditions.iter().zip(of("condition_indices")) {
            near(own.index, expected, COMPUTED);
        }
        let last = found.conditions.last().unwrap();
        for (own, expected) in last.shares.iter().zip(of("last_shares")) {
            near(own.share, expected, COMPUTED);
        }
    }
}

#[test]
fn a_model_without_constant_agrees_with_statsmodels_too() {
    let (params, data) = ammonia();
    let valid = params.without_constant().check(&data).unwrap();
    let fitted = valid.fit(&data).unwrap();
    let inflation = collinearity(&valid, &data).unwrap().inflation;
    let expected = list("origin_inflation");
    assert_eq!(inflation.len(), 3);
    for (own, expected) in inflation.iter().zip(expected) {
        near(own.share, expected, COMPUTED);
    }
    let found = diagnostics(&valid, &fitted, &data, &[]);
    let spread = find(&found, DiagnosticKind::EvenSpread).value.unwrap();
    near(spread, figure("origin_breusch_pagan"), COMPUTED);
    for (own, expected) in influences(&fitted).iter().zip(list("origin_cook")) {
        near(own.distance.unwrap(), expected, COMPUTED);
    }
}

#[test]
fn lack_of_fit_and_time_agree_with_statsmodels_and_scipy() {
    let (params, data) = bent();
    let repeats: Vec<Vec<usize>> = (0..12).map(|run| vec![run, run + 12]).collect();
    let found = diagnosed(params, &data, &repeats);
    let lack = find(&found, DiagnosticKind::LackOfFit);
    near(
        lack.value.unwrap(),
        figure("invented_lack_of_fit"),
        COMPUTED,
    );
    near(lack.p.unwrap(), figure("invented_lack_of_fit_p"), COMPUTED);
    assert_eq!(lack.runs.len(), 24);
    let time = find(&found, DiagnosticKind::AlongWithTime);
    near(
        time.value.unwrap().abs(),
        figure("invented_time").abs(),
        COMPUTED,
    );
    assert!(matches!(time.reading, Reading::NoneWentWithOrder(_)));
    assert_eq!(time.standing(), Standing::Fine);
}

#[test]
fn lots_that_differ_are_no_lack_of_fit() {
    let (params, mut data) = bent();
    let lot = |run: usize| ["A", "B", "C"][run % 12 / 4];
    let lots: Vec<&str> = (0..24).map(lot).collect();
    for (response, lot) in data.response.iter_mut().zip(&lots) {
        *response += match *lot {
            "A" => 0.0,
            "B" => 4.0,
            _ => -3.0,
        };
    }
    data.factors.push(choice("lot", &["A", "B", "C"], &lots));
    let params = ModelParams {
        blocks: vec!["lot".into()],
        method: Method::Measured,
        ..params
    };
    let repeats: Vec<Vec<usize>> = (0..12).map(|run| vec![run, run + 12]).collect();
    let found = diagnosed(params, &data, &repeats);
    let lack = find(&found, DiagnosticKind::LackOfFit);
    near(lack.value.unwrap(), figure("lots_lack_of_fit"), COMPUTED);
    near(lack.p.unwrap(), figure("lots_lack_of_fit_p"), COMPUTED);
}

#[test]
fn decisions_that_rest_on_one_run_agree_with_nested_fits_in_statsmodels() {
    let (params, data) = bent();
    let valid = params.check(&data).unwrap();
    let fitted = valid.fit(&data).unwrap();
    let decisions = decisions_without_one_run(&valid, &fitted, &data).unwrap();
    let found: Vec<String> = decisions
        .iter()
        .flat_map(|decision| {
            let after = match decision.change {
                Change::NoLongerMatters => "no",
                Change::WouldMatter => "yes",
                other => panic!("{other:?}"),
            };
            let runs = decision.runs.iter();
            runs.map(move |run| format!("{run}:{}:{after}", decision.about))
        })
        .collect();
    assert_eq!(found.join(" "), text("invented_decisions"));
    let told = find(
        &diagnostics(&valid, &fitted, &data, &[]),
        DiagnosticKind::RestsOnOneRun,
    )
    .clone();
    assert_eq!(told.value, Some(1.0));
    assert_eq!(told.runs.len(), found.len());
    assert_eq!(
        told.reading,
        resting("ratio", Change::WouldMatter, &["14", "17", "18", "24"])
    );
    assert_eq!(told.standing(), Standing::Noticed);
}

#[test]
fn a_term_that_one_run_alone_shows_is_named() {
    let heating = ["muffle", "muffle", "hob", "hob", "torch", "muffle", "hob"];
    let data = runs(
        vec![1.0, 1.2, 2.0, 2.3, 3.0, 1.1, 2.1],
        vec![choice("heating", &["muffle", "hob", "torch"], &heating)],
    );
    let found = diagnosed(model(&["heating"]), &data, &[]);
    let decisions = find(&found, DiagnosticKind::RestsOnOneRun);
    let alone = resting("heating: torch", Change::CouldNotBeTold, &["5"]);
    assert_eq!(decisions.reading, alone);
    let leverage = find(&found, DiagnosticKind::LargestLeverage);
    assert_eq!(leverage.runs, ["5"]);
    let runs = leverage.runs.clone();
    assert_eq!(leverage.reading, Reading::OnlyRunsWithATerm(runs));
    assert_eq!(leverage.standing(), Standing::Failed);
}

#[test]
fn every_run_beyond_chance_is_called_out_and_none_else() {
    let x: Vec<f64> = (0..30).map(f64::from).collect();
    let slips = [4, 21];
    let y = (0..30)
        .map(|i| f64::from(i * i % 7) + if slips.contains(&i) { 60.0 } else { 0.0 })
        .collect();
    let data = runs(y, vec![amount("x", x)]);
    let found = diagnosed(model(&["x"]), &data, &[]);
    assert_eq!(called_out(&found), Some(&["5", "22"].map(String::from)[..]));
    let largest = find(&found, DiagnosticKind::LargestResidual);
    assert_eq!(largest.standing(), Standing::Failed);
    assert_eq!(largest.runs.len(), 1);
    let (params, data) = ammonia();
    let found = diagnosed(params, &data, &[]);
    assert_eq!(called_out(&found), Some(&[][..]));
}

#[test]
fn normality_agrees_with_scipy_at_each_branch_of_the_approximation() {
    // scipy 1.17.1, stats.shapiro; invented values.
    let values = [
        2.1, 3.4, 1.9, 8.8, 2.6, 3.1, 2.2, 4.0, 2.9, 3.3, 2.4, 5.1, 2.0,
    ];
    for count in [3, 4, 5, 6, 11, 12, 13] {
        let found = shapiro_wilk(&values[..count]).unwrap();
        near(found.w, figure(&format!("shapiro_{count}_w")), SHAPIRO);
        near(
            found.p,
            figure(&format!("shapiro_{count}_p")),
            SHAPIRO_CHANCE,
        );
    }
    assert_eq!(shapiro_wilk(&[1.0, 1.0, 1.0, 1.0]), None);
    assert_eq!(shapiro_wilk(&[1.0, 2.0]), None);
    assert_eq!(shapiro_wilk(&[1.0, 2.0, f64::NAN]), None);
}

#[test]
fn a_drifting_log_is_said_to_drift_and_a_factor_in_time_order_is_named() {
    let time: Vec<f64> = (0..20).map(f64::from).collect();
    let slow: Vec<f64> = time.iter().map(|t| (t / 4.0).sin()).collect();
    let data = runs(slow, vec![amount("hours", time)]);
    let found = diagnosed(model(&["hours"]), &data, &[]);
    assert_eq!(
        find(&found, DiagnosticKind::Neighbours).reading,
        Reading::NeighboursAlike
    );
    let confounded = find(&found, DiagnosticKind::AlongWithTime);
    assert_eq!(confounded.value, Some(1.0));
    let hours = Changing::Amount {
        factor: "hours".into(),
    };
    assert_eq!(confounded.reading, Reading::WentWithOrder(vec![hours]));
}

#[test]
fn amounts_that_go_together_are_told_to_hang_together() {
    let x: Vec<f64> = (0..12).map(|i| f64::from(i % 4)).collect();
    let nearly: Vec<f64> = x
        .iter()
        .enumerate()
        .map(|(i, x)| x + 0.01 * (i % 3) as f64)
        .collect();
    let y = (0..12).map(|i| f64::from(i * i % 7)).collect();
    let data = runs(y, vec![amount("x", x), amount("nearly", nearly)]);
    let found = diagnosed(model(&["x", "nearly"]), &data, &[]);
    assert!(
        find(&found, DiagnosticKind::VarianceInflation)
            .value
            .unwrap()
            > 100.0
    );
    let condition = find(&found, DiagnosticKind::ConditionIndex);
    let terms = ["x", "nearly"].map(String::from).to_vec();
    assert_eq!(condition.reading, Reading::StronglyTogether(terms));
}

#[test]
fn a_perfect_fit_gets_no_figure_of_its_residuals_and_nothing_is_infinite() {
    let x: Vec<f64> = (0..8).map(f64::from).collect();
    let y = x.iter().map(|x| 1.0 + 2.0 * x).collect();
    let data = runs(y, vec![amount("x", x)]);
    let found = diagnosed(model(&["x"]), &data, &[vec![0, 1]]);
    assert_eq!(found.len(), 12);
    for what in [
        DiagnosticKind::LargestResidual,
        DiagnosticKind::LargestDistance,
        DiagnosticKind::LackOfFit,
        DiagnosticKind::Normality,
        DiagnosticKind::EvenSpread,
        DiagnosticKind::Neighbours,
        DiagnosticKind::LagOne,
    ] {
        let diagnostic = find(&found, what);
        assert_eq!(diagnostic.value, None, "{what:?}");
        assert_eq!(diagnostic.standing(), Standing::NotJudged, "{what:?}");
    }
    assert_eq!(called_out(&found), None);
    let figures = found.iter().flat_map(|d| [d.value, d.p]).flatten();
    assert!(figures.into_iter().all(f64::is_finite));
}

#[test]
fn terms_that_cannot_be_told_are_left_out_of_the_collinearity_by_name() {
    let x: Vec<f64> = (0..6).map(f64::from).collect();
    let twice: Vec<f64> = x.iter().map(|x| 2.0 * x).collect();
    let y = vec![1.0, 2.0, 2.0, 4.0, 5.0, 5.0];
    let data = runs(y, vec![amount("x", x), amount("twice", twice)]);
    let valid = model(&["x", "twice"]).check(&data).unwrap();
    let found = collinearity(&valid, &data).unwrap();
    assert_eq!(found.dependent.len(), 1);
    assert_eq!(found.inflation.len(), 1);
    near(found.inflation[0].share, 1.0, COMPUTED);
}

#[test]
fn a_measured_model_has_the_residual_figures_of_its_plain_fit() {
    let (params, data) = bent();
    let plain = diagnosed(params.clone(), &data, &[]);
    let mut known = data.clone();
    known.measurement.own = vec![
        OwnError {
            relative: 0.02,
            absolute: 0.0,
        };
        data.runs.len()
    ];
    let measured = diagnosed(params.measured(), &known, &[]);
    assert_eq!(plain[..11], measured[..11]);
}
