//! Does the arithmetic of uncertainties repeat the examples of the guides?
//!
//! In: `tests/data` (JCGM 100 annex H.1, JCGM 101 section 9.2). Out: tests of the library.
//! This module never takes an input from a campaign.

use residuum::distributions::coverage_factor;
use residuum::measured::{Distribution, Draws, Measured, Sources, cross_check};
use serde_json::Value;

use crate::support::{check_digits, check_printed, data_json, list, number};

/// Digits asked of a handful of sums and products in binary64; the reference file promises 1e-9.
const DIGITS: f64 = 9.0;

/// Values simulated in one batch, the 10⁴ of JCGM 101:2008, 7.9.4 (b).
const LANES: usize = 10_000;

/// So many independent simulations are averaged that their ends rest on a million values or more.
const SIMULATIONS: u64 = 50;

/// Distance that the reference file allows the ends of an interval from a million values.
const ENDS: f64 = 0.02;

/// The end gauge of JCGM 100:2008, annex H.1, in nm.
struct EndGauge {
    sources: Sources,
    comparison: Measured,
    length: Measured,
}

impl EndGauge {
    /// `l = ls + d − ls·(δα·θ + αs·δθ)`, H.1 equation (H.2).
    fn measured() -> Self {
        let inputs = &data_json("gum_H1_end_gauge.json")["inputs"];
        let mut sources = Sources::default();
        let mut normal = |name: &str, value: f64, stated: &Value| {
            let id = sources.add(name, Distribution::Normal, number(stated, "dof"));
            Measured::new(value, id, number(stated, "u"))
        };
        let standard = normal("ls", number(&inputs["ls"], "value"), &inputs["ls"]);
        let parts = &inputs["d"]["components"];
        let comparison = &(&normal(
            "repeated_obs",
            number(&inputs["d"], "value"),
            &parts["repeated_obs"],
        ) + &normal("comparator_random", 0.0, &parts["comparator_random"]))
            + &normal(
                "comparator_systematic",
                0.0,
                &parts["comparator_systematic"],
            );
        let mut rectangular = |name: &str, value: f64, half_width: f64, degrees: f64| {
            let id = sources.add(name, Distribution::Rectangular, degrees);
            let uncertainty = Distribution::Rectangular.standard_uncertainty(half_width);
            Measured::new(value, id, uncertainty)
        };
        let stated = |name: &str, key: &str| number(&inputs[name], key);
        let expansion_apart = rectangular(
            "delta_alpha",
            stated("delta_alpha", "value"),
            stated("delta_alpha", "half_width"),
            stated("delta_alpha", "dof"),
        );
        let temperature_apart = rectangular(
            "delta_theta",
            stated("delta_theta", "value"),
            stated("delta_theta", "half_width"),
            stated("delta_theta", "dof"),
        );
        let expansion = rectangular(
            "alpha_s",
            stated("alpha_s", "value"),
            stated("alpha_s", "half_width"),
            f64::INFINITY,
        );
        // H.1.3.4: the mean temperature and the arcsine distribution of its cycle, u² = 0.2² + 0.5²/2.
        let theta = sources.add("theta", Distribution::Normal, f64::INFINITY);
        let cycle = stated("theta", "cyclic_half_amplitude") / 2f64.sqrt();
        let temperature = Measured::new(
            stated("theta", "mean"),
            theta,
            stated("theta", "u_mean").hypot(cycle),
        );
        let expanded =
            &standard * &(&(&expansion_apart * &temperature) + &(&expansion * &temperature_apart));
        let length = &(&standard + &comparison) - &expanded;
        Self {
            sources,
            comparison,
            length,
        }
    }

    /// Contribution of one source to the standard uncertainty of the length [nm].
    fn contribution(&self, name: &str) -> f64 {
        let budget = self.sources.budget(&self.length);
        let share = budget
            .iter()
            .find(|share| *share.source == *name)
            .and_then(|share| share.share)
            .unwrap_or_else(|| panic!("no source `{name}` in {budget:?}"));
        share.sqrt() * self.length.uncertainty()
    }
}

fn unrounded(key: &str) -> f64 {
    number(
        &data_json("gum_H1_end_gauge.json")["expected"]["unrounded"],
        key,
    )
}

fn printed(key: &str) -> String {
    let reference = data_json("gum_H1_end_gauge.json");
    reference["expected"][key]
        .as_str()
        .unwrap_or_else(|| panic!("no printed `{key}`"))
        .to_string()
}

#[test]
fn the_end_gauge_has_its_length_and_standard_uncertainty() {
    let gauge = EndGauge::measured();
    check_printed("l / mm", gauge.length.value() / 1e6, &printed("l_mm"));
    check_printed("u / nm", gauge.length.uncertainty(), &printed("u_c_nm"));
    let expected = unrounded("u_c_nm");
    check_digits("u", gauge.length.uncertainty(), expected, DIGITS);
}

#[test]
fn each_source_of_the_end_gauge_contributes_what_table_h1_says() {
    let gauge = EndGauge::measured();
    check_printed("u of d", gauge.comparison.uncertainty(), &printed("u_d_nm"));
    let expected = unrounded("u_d_nm");
    check_digits("u of d", gauge.comparison.uncertainty(), expected, DIGITS);
    let reference = data_json("gum_H1_end_gauge.json");
    for name in ["ls", "delta_alpha", "delta_theta"] {
        let printed = reference["expected"]["contributions_nm"][name].as_str();
        let printed = printed.expect("a printed contribution");
        check_printed(name, gauge.contribution(name), printed);
    }
    for (name, key) in [
        ("delta_alpha", "contribution_delta_alpha_nm"),
        ("delta_theta", "contribution_delta_theta_nm"),
    ] {
        check_digits(name, gauge.contribution(name), unrounded(key), DIGITS);
    }
    // H.1.3.3 and H.1.3.4: both differences have the value zero, so that neither of these counts to first order.
    for name in ["alpha_s", "theta"] {
        assert_eq!(gauge.contribution(name), 0.0, "{name}");
    }
}

#[test]
fn degrees_of_freedom_of_the_end_gauge_follow_welch_and_satterthwaite() {
    let gauge = EndGauge::measured();
    let of = |result: &Measured| gauge.sources.effective_degrees_of_freedom(result);
    check_digits("of d", of(&gauge.comparison), unrounded("dof_d"), DIGITS);
    check_digits("of l", of(&gauge.length), unrounded("dof_eff"), DIGITS);
    // The guide rounds down before it looks up t.
    let rounded_down = of(&gauge.length).floor();
    assert_eq!(rounded_down.to_string(), printed("dof_eff"));
    let t = coverage_factor(0.99, rounded_down).expect("a factor");
    check_printed("t", t, &printed("t_99_16"));
    check_digits("t", t, unrounded("t_99_16"), DIGITS);
}

#[test]
fn the_end_gauge_is_known_to_93_nanometres_at_99_percent() {
    let gauge = EndGauge::measured();
    let expanded = gauge.sources.expanded(&gauge.length, 0.99);
    check_digits("U", expanded, unrounded("U_99_nm"), DIGITS);
    // The guide multiplies 2.92 by a rounded 32 nm, which is one unit of its last digit.
    let guide: f64 = printed("U_99_nm").parse().expect("a number");
    assert!((expanded - guide).abs() < 1.0, "{expanded}");
}

/// Mean ends of the interval of a sum of four, over a million values or more, and how many of the simulations agreed
/// with propagation.
struct SumOfFour {
    low: f64,
    high: f64,
    uncertainty: f64,
    trials: usize,
    propagated_end: f64,
    agreed: u64,
}

fn sum_of_four(distribution: Distribution) -> SumOfFour {
    let mut sources = Sources::default();
    let ids = [1, 2, 3, 4].map(|i| sources.add(format!("X{i}"), distribution, f64::INFINITY));
    let inputs = ids.map(|id| Measured::new(0.0, id, 1.0));
    let total = Measured::sum(&inputs);
    let mut sum = SumOfFour {
        low: 0.0,
        high: 0.0,
        uncertainty: 0.0,
        trials: 0,
        propagated_end: sources.expanded(&total, 0.95),
        agreed: 0,
    };
    for seed in 0..SIMULATIONS {
        let checks = cross_check(std::slice::from_ref(&total), &sources, 0.95, |batch| {
            let draws = Draws {
                seed,
                batch,
                lanes: LANES,
            };
            let errors = ids.map(|id| draws.errors(id, sources.get(id)));
            let simulated = errors.map(|lanes| Measured::exact(0.0).with_lanes(lanes));
            vec![Measured::sum(&simulated).lanes().to_vec()]
        });
        let check = &checks[0];
        assert!(check.stable, "{check:?}");
        let part = 1.0 / SIMULATIONS as f64;
        sum.low += part * check.low;
        sum.high += part * check.high;
        sum.uncertainty += part * check.uncertainty;
        sum.trials += check.trials;
        sum.agreed += u64::from(check.agrees);
    }
    sum
}

fn check_sum_of_four(distribution: Distribution, case: &str) {
    let expected = data_json("jcgm101_9_2_additive.json")["expected"].take();
    let sum = sum_of_four(distribution);
    println!("{case}: {} values", sum.trials);
    assert!(sum.trials >= 1_000_000);
    check_printed("u", sum.uncertainty, expected["u_y"].as_str().unwrap());
    let exact = number(&expected, &format!("{case}_endpoint_exact"));
    assert!((sum.high - exact).abs() < ENDS, "{} {exact}", sum.high);
    assert!((sum.low + exact).abs() < ENDS, "{} {exact}", sum.low);
    // Propagation takes the sum for normal in both cases; half a unit of one digit of u = 2.0 hides the difference.
    let ends = list(&expected, "case_b_gum_framework_interval_95");
    let propagated = ends[1].as_str().expect("a printed end");
    check_printed("end by propagation", sum.propagated_end, propagated);
    assert_eq!(sum.agreed, SIMULATIONS);
}

#[test]
fn a_sum_of_four_normal_inputs_ends_at_3_92() {
    check_sum_of_four(Distribution::Normal, "case_a");
}

#[test]
fn a_sum_of_four_rectangular_inputs_ends_at_3_88() {
    check_sum_of_four(Distribution::Rectangular, "case_b");
}

#[test]
fn the_closed_form_of_the_rectangular_sum_stands_in_the_reference() {
    // JCGM 101:2008, 9.2.3.2: the ends are 2√3·(2 − (3/5)^(1/4)).
    let closed = 2.0 * 3f64.sqrt() * (2.0 - 0.6_f64.powf(0.25));
    let expected = &data_json("jcgm101_9_2_additive.json")["expected"];
    check_digits(
        "end",
        number(expected, "case_b_endpoint_exact"),
        closed,
        12.0,
    );
}
