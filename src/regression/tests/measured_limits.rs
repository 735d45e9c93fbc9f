//! The measured fit where little can be told, or nothing.
//!
//! In: small invented logs at the edge of what a model can carry. Out: nothing but passing tests.
//! This module never compares with a number that a fit gave before.

use crate::caveat::Doubt;
use crate::seeded::Seeded;

use super::testing::{amount, choice, digits, measured_log, model, relative, runs, written};
use crate::error::ErrorKind;
use crate::regression::{ErrorSize, FittedModel, Measurement, ModelParams, OwnError, ScatterOf};

/// Digits that a fit with refinement keeps.
const DIGITS: f64 = 11.0;

fn asked() -> ModelParams {
    model(&["heating", "oxidant"]).with_block("lot").measured()
}

#[test]
fn measurement_that_explains_everything_leaves_no_scatter_and_says_so() {
    let mut data = measured_log();
    data.measurement
        .own
        .iter_mut()
        .for_each(|own| own.relative = 0.2);
    let fitted = model(&["heating", "oxidant"]).measured().fitted(&data);
    assert_eq!(fitted.variance_components[0].sd, 0.0);
    assert_eq!(fitted.variance_components[0].interval, None);
    assert!(
        fitted
            .caveats
            .iter()
            .any(|caveat| caveat.doubt == Doubt::NoScatter)
    );
    // Two heatings at eight runs each, errors of a fifth of the values: √2 · 0.2 · 0.63/√8 at the least, apart from shared ones.
    let error = fitted
        .written("heating: hob")
        .unwrap()
        .standard_error
        .unwrap();
    assert!(error > 0.06 && error < 0.075, "{error}");
    assert!(fitted.all_finite());
}

#[test]
fn lots_that_do_not_differ_are_reported_as_zero() {
    let mut data = measured_log();
    data.measurement = Measurement::default();
    // Within each lot the same four values.
    data.response = (0..16)
        .map(|run| 0.6 + 0.01 * ((run / 4 + run % 4) % 4) as f64)
        .collect();
    let fitted = model(&[]).with_block("lot").measured().fitted(&data);
    assert_eq!(
        fitted.variance_components[1].of,
        ScatterOf::Block("lot".into())
    );
    assert_eq!(fitted.variance_components[1].sd, 0.0);
    assert!(
        fitted
            .caveats
            .iter()
            .any(|caveat| matches!(caveat.doubt, Doubt::NoSpreadBetweenBlocks { .. }))
    );
}

#[test]
fn a_spread_that_cannot_be_told_is_left_out_with_a_doubt() {
    let mut data = measured_log();
    data.measurement = Measurement::default();
    let names: Vec<String> = (0..16).map(|run| format!("b{run}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    data.factors.push(choice("bag", &names, &names));
    let same_as_lot: Vec<&str> = (0..16).map(|run| ["W", "X", "Y", "Z"][run % 4]).collect();
    data.factors
        .push(choice("supplier", &["W", "X", "Y", "Z"], &same_as_lot));
    #[track_caller]
    fn check_that_one_spread_is_unknown(fitted: &FittedModel) {
        let doubts: Vec<&Doubt> = fitted.caveats.iter().map(|caveat| &caveat.doubt).collect();
        assert!(
            matches!(doubts[..], [Doubt::UnknownSpreadBetweenBlocks { .. }]),
            "{doubts:?}"
        );
    }
    // One run a bag: nothing to tell the bag from the run.
    let bags = model(&["heating"])
        .with_block("bag")
        .measured()
        .fitted(&data);
    check_that_one_spread_is_unknown(&bags);
    assert_eq!(bags.variance_components.len(), 1);
    // The same groups twice: the first keeps its spread.
    let twice = asked().with_block("supplier").fitted(&data);
    check_that_one_spread_is_unknown(&twice);
    let of: Vec<&ScatterOf> = twice.variance_components.iter().map(|c| &c.of).collect();
    assert_eq!(of, [&ScatterOf::RunToRun, &ScatterOf::Block("lot".into())]);
    // The lots are told apart by an effect.
    let by_effect = model(&["supplier"])
        .with_block("lot")
        .measured()
        .fitted(&data);
    check_that_one_spread_is_unknown(&by_effect);
}

#[test]
fn a_level_on_one_lot_alone_stays_tangled_in_a_measured_fit() {
    // The kiln was only run on lot D, and lot D only in the kiln.
    let lots = ["A", "B", "C", "A", "B", "C", "A", "B", "C", "D", "D", "D"];
    let heating = [
        "m", "h", "m", "h", "m", "h", "m", "h", "h", "kiln", "kiln", "kiln",
    ];
    let response = vec![
        0.70, 0.66, 0.72, 0.64, 0.69, 0.67, 0.71, 0.65, 0.68, 0.60, 0.62, 0.61,
    ];
    let factors = vec![
        choice("heating", &["m", "h", "kiln"], &heating),
        choice("lot", &["A", "B", "C", "D"], &lots),
    ];
    let mut data = runs(response, factors);
    data.measurement.shared.push(relative("assay", 0.01, 0..12));
    let fitted = model(&["heating"])
        .with_block("lot")
        .measured()
        .fitted(&data);
    assert!(fitted.written("heating: kiln").is_none() && fitted.written("heating: h").is_some());
    assert_eq!(
        written(&fitted.not_separable[0].terms),
        ["heating: kiln", "lot: D"]
    );
    assert_eq!(fitted.tests[0].df, 1);
    assert!(fitted.all_finite());
}

#[test]
fn errors_about_runs_that_are_not_there_are_faults() {
    let mut data = measured_log();
    data.measurement.shared[0].effects[0].run = 16;
    data.measurement.shared[1].effects[0].size = ErrorSize::Absolute(f64::NAN);
    data.measurement.own.pop();
    let faults = asked().check(&data).unwrap_err();
    let kinds: Vec<ErrorKind> = faults.errors().iter().map(|fault| fault.kind()).collect();
    assert_eq!(
        kinds,
        [
            ErrorKind::Missing,
            ErrorKind::UnknownName,
            ErrorKind::NotANumber
        ]
    );
}

#[test]
fn numbers_at_the_ends_of_the_range_give_a_fault_or_finite_figures_of_a_measured_fit() {
    let (mut faults, mut fits) = (0, 0);
    for of_response in [1e-310, 1e-200, 1e-100, 1.0, 1e100, 1e160, 1e300] {
        for of_error in [0.0, 1e-300, 1e-12, 1.0, 1e3, 1e150, 1e300] {
            let mut data = measured_log();
            data.response.iter_mut().for_each(|y| *y *= of_response);
            data.measurement
                .own
                .iter_mut()
                .for_each(|own| own.absolute *= of_error);
            for source in &mut data.measurement.shared {
                for effect in &mut source.effects {
                    effect.size = ErrorSize::Relative(effect.size.number() * of_error);
                }
            }
            match asked().check(&data).unwrap().fit(&data) {
                Err(_) => faults += 1,
                Ok(fitted) => {
                    fits += 1;
                    assert!(fitted.all_finite(), "{of_response} {of_error}");
                    let new = fitted.new_run_interval(&Default::default());
                    let sd = new.map(|new| new.standard_deviation.unwrap_or(0.0));
                    assert!(sd.is_ok_and(f64::is_finite), "{of_response} {of_error}");
                }
            }
        }
    }
    assert!(faults > 0 && fits > 0, "{faults} {fits}");
}

#[test]
fn a_perfect_fit_keeps_the_error_of_the_measurement() {
    let mut data = measured_log();
    let oxidant = data.factors[1].amounts().unwrap().to_vec();
    data.response = oxidant.iter().map(|x| 0.5 + x / 512.0).collect();
    let fitted = model(&["oxidant"]).measured().fitted(&data);
    let slope = fitted.written("oxidant").unwrap();
    assert!(digits(slope.value, 1.0 / 512.0) > DIGITS);
    assert!(slope.standard_error.unwrap() > 1e-5);
    assert!(fitted.all_finite());
    // Without errors of measurement there is nothing but rounding.
    data.measurement = Measurement::default();
    let nothing = model(&["oxidant"])
        .with_block("lot")
        .measured()
        .fitted(&data);
    assert_eq!(nothing.written("oxidant").unwrap().p, None);
}

#[test]
fn small_campaigns_of_any_shape_settle_with_finite_figures() {
    // From 5 to 24 runs on 2 to 6 lots and days, errors from far below to far above the scatter.
    let mut at_bound = 0;
    for campaign in 0..400_u64 {
        let mut draw = Seeded::stream(campaign, 0);
        let mut normal = move || -> f64 { draw.normal() };
        let count = 5 + (campaign % 20) as usize;
        let groups = 2 + (campaign % 5) as usize;
        let scale = 10_f64.powi(campaign as i32 % 4 - 3);
        let names: Vec<String> = (0..groups).map(|name| format!("g{name}")).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let mut pick = || -> Vec<&str> {
            (0..count)
                .map(|_| names[(normal().abs() * 2.0) as usize % groups])
                .collect()
        };
        let (lots, days) = (pick(), pick());
        let levels: Vec<f64> = (0..count).map(|_| normal()).collect();
        let response = (0..count).map(|_| 0.6 + 0.03 * normal()).collect();
        let mut data = runs(
            response,
            vec![
                amount("x", levels),
                choice("lot", &names, &lots),
                choice("day", &names, &days),
            ],
        );
        for name in &names {
            let which = (0..count).filter(|&run| lots[run] == *name);
            data.measurement
                .shared
                .push(relative("assay", 0.05 * scale, which));
        }
        let own = OwnError {
            relative: 0.02 * scale,
            absolute: 0.01 * scale,
        };
        data.measurement.own = vec![own; count];
        let mut params = model(&["x"]).with_block("lot").measured();
        if campaign % 2 == 0 {
            params = params.with_block("day");
        }
        let fitted = params.fitted(&data);
        assert!(fitted.all_finite(), "{campaign}");
        let has = |of: fn(&Doubt) -> bool| fitted.caveats.iter().any(|caveat| of(&caveat.doubt));
        assert!(
            !has(|doubt| matches!(doubt, Doubt::FitNotSettled { .. })),
            "{campaign} {:?}",
            fitted.caveats
        );
        at_bound += usize::from(has(|doubt| {
            matches!(doubt, Doubt::NoSpreadBetweenBlocks { .. })
        }));
        for term in &fitted.terms {
            let (error, interval) = (term.standard_error.unwrap(), term.interval);
            assert!(
                error > 0.0 && term.degrees_of_freedom > 0.0,
                "{campaign} {term:?}"
            );
            assert!(interval.is_none_or(|i| i.low < term.value && term.value < i.high));
        }
    }
    // Lots and days do nothing here, so that their spread is zero about half of the time.
    assert!(at_bound > 100, "{at_bound}");
}
