//! The measured fit for many runs, on a lot and altogether.
//!
//! In: drawn campaigns of up to 100,000 runs. Out: nothing but passing tests.
//! This module never draws without a seed.

use crate::seeded::Seeded;

use super::testing::{amount, model, relative, runs};
use crate::regression::{Factor, FactorValues, FitData, OwnError};

/// Runs on lots whose assays have a shared error, with scatter from run to run.
fn drawn(count: usize, a_lot: usize, assay: f64, scatter: f64) -> FitData {
    let mut draw = Seeded::stream(7, 0);
    let mut normal = move || -> f64 { draw.normal() };
    let mut data = runs(Vec::new(), Vec::new());
    let lots = count.div_ceil(a_lot);
    for lot in 0..lots {
        let factor = 1.0 + assay * normal();
        let which = lot * a_lot..count.min((lot + 1) * a_lot);
        for run in which.clone() {
            data.runs.push(format!("r{run}"));
            data.response.push(0.62 * factor + scatter * normal());
        }
        data.measurement
            .shared
            .push(relative("assay", assay, which));
    }
    data
}

#[test]
fn the_mean_of_many_runs_a_lot_is_not_biased() {
    // With errors taken at the observed values the mean falls: low runs would count as well-measured ones.
    for (count, a_lot) in [(20_000, 20_000), (20_000, 10_000), (20_000, 200)] {
        let data = drawn(count, a_lot, 0.017, 0.02);
        let fitted = model(&[]).measured().fitted(&data);
        let found = fitted.written("constant").unwrap();
        let mean = data.response.iter().sum::<f64>() / count as f64;
        let error = found.standard_error.unwrap();
        // With lots of one size the mean of all runs is the best there is.
        assert!(
            (found.value - mean).abs() < 0.1 * error,
            "{} {mean} {error}",
            found.value
        );
        // One error a lot, and scatter that averages out: a third of 1e-4 of the mean at most.
        let lots = count as f64 / a_lot as f64;
        let expected = (0.017 * mean / lots.sqrt()).hypot(0.02 / (count as f64).sqrt());
        assert!((error / expected - 1.0).abs() < 0.005, "{error} {expected}");
        assert!((fitted.variance_components[0].sd - 0.02).abs() < 5e-4);
    }
}

#[test]
fn a_hundred_thousand_runs_on_five_thousand_lots_are_fitted() {
    let (count, a_lot) = (100_000, 20);
    let mut data = drawn(count, a_lot, 0.012, 0.02);
    for titrant in 0..8 {
        let which = (0..count).filter(|run| run / 12_500 == titrant);
        data.measurement
            .shared
            .push(relative("titrant", 0.002, which));
    }
    for weight in ["Cu", "S", "O", "H"] {
        data.measurement
            .shared
            .push(relative(weight, 1e-5, 0..count));
    }
    for run in (0..count - 2).step_by(3) {
        data.measurement
            .shared
            .push(relative("residue", 0.003, [run, run + 2]));
    }
    data.measurement.own = vec![
        OwnError {
            relative: 0.004,
            absolute: 0.001,
        };
        count
    ];
    let names: Vec<String> = (0..count / a_lot).map(|lot| format!("L{lot}")).collect();
    data.factors.push(Factor {
        name: "lot".into(),
        unit: String::new(),
        values: FactorValues::Choice {
            levels: names,
            codes: (0..count).map(|run| run / a_lot).collect(),
        },
    });
    let mut asked = model(&[]).with_block("lot").measured();
    for position in 0..19 {
        let name = format!("x{position}");
        let value = |run: usize| ((run * (2 * position + 3) + run / 7) % (11 + position)) as f64;
        data.factors
            .push(amount(&name, (0..count).map(value).collect()));
        asked.effects.push(name);
    }
    let fitted = asked.fitted(&data);
    assert_eq!(fitted.terms.len(), 20);
    assert!(fitted.all_finite());
    // Nothing but the mean is there; of 19 slopes about one is beyond two standard errors.
    let beyond = fitted.terms[1..]
        .iter()
        .filter(|term| term.t.unwrap().abs() > 2.0)
        .count();
    assert!(beyond <= 5, "{beyond}");
}
