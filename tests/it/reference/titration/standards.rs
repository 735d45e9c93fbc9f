//! How do several standardisations make one strength?
//!
//! In: titrants with several rows. Out: tests of the weighted mean, of disagreement and of ageing, against closed
//! formulas and scipy 1.17.1.
//! This module never titrates a sample.

use residuum::campaign::LogKind;

use super::{
    IODATE, Printed, bench, check_figures, check_measured, of_rectangles, root_of_squares, share,
};
use crate::support::{check_digits, number};

/// Relative standard uncertainty of the molar mass of potassium iodate: printed uncertainties of 2021 0.0001 (K),
/// 0.00003 (I) and 0.001 (O).
fn u_iodate() -> f64 {
    of_rectangles(&[0.0001, 0.00003, 3.0 * 0.001]) / IODATE
}

fn with_titrants(uncertainty: &str, titrants: &str) -> Printed {
    let campaign = bench("", uncertainty)
        .with(LogKind::Titrants, titrants)
        .with(
            LogKind::Titres,
            "run,crop,sample_mass,titre\nR1,1,1.0000,39.68\n",
        );
    Printed::of(&campaign)
}

#[test]
fn standardisations_are_weighted_by_what_each_has_for_itself() {
    // c = 1000·6·m·p·q/(M·(V − V0)). Two rows with weighing, titre and blank of their own; the molar mass and the burette are common.
    let printed = with_titrants(
        "burette = \"±0.05 mL triangular\"\ntitre = \"0.03 mL\"\nblank = \"0.01 mL\"\nstandard_mass = \"0.0002 g\"\nshared = [\"burette\"]",
        "titrant,standard,standard_mass,standard_purity,standard_ratio,titre,blank,aliquot\n\
         S,KIO3,0.7134,0.9994,6,40.05,0.05,0.2\n\
         S,KIO3,0.3570,0.9994,6,20.07,0.05,0.2\n",
    );
    struct Line {
        mass: f64,
        volume: f64,
    }
    let lines = [
        Line {
            mass: 0.7134,
            volume: 40.00,
        },
        Line {
            mass: 0.3570,
            volume: 20.02,
        },
    ];
    let strength = |line: &Line| 6000.0 * line.mass * 0.9994 * 0.2 / (IODATE * line.volume);
    let own = |line: &Line| {
        strength(line)
            * root_of_squares(&[0.0002 / line.mass, 0.03 / line.volume, 0.01 / line.volume])
    };
    let weights = lines.each_ref().map(|line| own(line).powi(-2));
    let total: f64 = weights.iter().sum();
    let mean: f64 = lines
        .iter()
        .zip(weights)
        .map(|(line, weight)| strength(line) * weight / total)
        .sum();
    // The burette is off by the same volume in both: its part is the weighted mean of c/V, not a root of squares.
    let by_volume: f64 = lines
        .iter()
        .zip(weights)
        .map(|(line, weight)| strength(line) / line.volume * weight / total)
        .sum();
    let uncertainty = root_of_squares(&[
        total.powf(-0.5),
        mean * u_iodate(),
        by_volume * 0.05 / 6f64.sqrt(),
    ]);
    check_measured(
        "strength",
        &printed.titrant("S")["concentration"],
        mean,
        uncertainty,
    );
    assert!(printed.caveats("standardisations disagree").is_empty());
}

#[test]
fn each_row_is_listed_by_itself() {
    let printed = with_titrants(
        "",
        "titrant,date,concentration,u_concentration\nS,2026-03-02,0.1000,0.0001\nS,2026-03-09,0.1003,0.0002\n",
    );
    let rows = printed.titrant("S")["rows"].as_array().expect("rows");
    assert_eq!(rows.len(), 2);
    check_measured("first", &rows[0]["concentration"], 0.1, 0.0001);
    check_measured("second", &rows[1]["concentration"], 0.1003, 0.0002);
    assert_eq!(rows[1]["date"], "2026-03-09");
}

#[test]
fn rows_that_agree_within_their_errors_raise_no_doubt() {
    // χ² = 5.556 with 2 degrees of freedom, below the upper 5 % point 5.991 (NIST/SEMATECH e-Handbook 1.3.6.7.4).
    let printed = with_titrants(
        "",
        "titrant,concentration,u_concentration\nS,0.1000,0.0001\nS,0.1003,0.0002\nS,0.0998,0.0001\n",
    );
    assert!(printed.caveats("standardisations disagree").is_empty());
    // Weights 4 : 1 : 4, so that u = 0.0002/3.
    let mean = (4.0 * 0.1 + 0.1003 + 4.0 * 0.0998) / 9.0;
    check_measured(
        "strength",
        &printed.titrant("S")["concentration"],
        mean,
        0.0002 / 3.0,
    );
}

#[test]
fn rows_that_disagree_widen_the_strength_by_the_ratio_of_birge() {
    let printed = with_titrants(
        "",
        "titrant,concentration,u_concentration\nS,0.1000,0.0001\nS,0.1004,0.0002\nS,0.0997,0.0001\n",
    );
    // Birge 1932: the external error is the internal one, 0.0002/3, times √(χ²/(n − 1)).
    let mean: f64 = (4.0 * 0.1 + 0.1004 + 4.0 * 0.0997) / 9.0;
    let square = ((0.1 - mean) / 0.0001).powi(2)
        + ((0.1004 - mean) / 0.0002).powi(2)
        + ((0.0997 - mean) / 0.0001).powi(2);
    let ratio = (square / 2.0).sqrt();
    check_measured(
        "strength",
        &printed.titrant("S")["concentration"],
        mean,
        ratio * 0.0002 / 3.0,
    );
    // scipy 1.17.1: χ² = 11.2222, chi2.sf(11.2222, 2) = 0.003657; ratio 2.3688; excess 0.14328 % of the mean.
    let caveat = printed.caveat("standardisations disagree");
    assert_eq!(caveat["about"], "titrant S");
    check_figures(caveat, &["3", "2.4", "0.37", "0.14"]);
    let disagreement = share(
        &printed.titrant("S")["budget"],
        "disagreement of standardisations of S",
    );
    // 1 − 1/(χ²/2).
    check_digits("excess", disagreement, 1.0 - ratio.powi(-2), 9.0);
}

#[test]
fn a_titrant_that_weakens_is_named_with_its_rate() {
    let printed = with_titrants(
        "",
        "titrant,date,concentration,u_concentration\n\
         S,2026-03-02,0.10040,0.0002\nS,2026-03-09,0.10031,0.0002\nS,2026-03-20,0.10024,0.0002\n\
         S,2026-04-02,0.10012,0.0002\nS,2026-04-16,0.10003,0.0002\n",
    );
    let caveat = printed.caveat("titrant ageing");
    assert_eq!(caveat["about"], "titrant S");
    // scipy 1.17.1, linregress: slope −0.24196 % of the mean in 30 days, its error 0.01374 %, twice which is shown, p = 0.00039956.
    check_figures(caveat, &["0.24", "0.03", "30", "5", "0.04"]);
    let seen = caveat["seen"].as_str().expect("a sentence");
    assert!(seen.contains("falls"), "{seen}");
}

#[test]
fn strengths_without_a_trend_raise_no_doubt_of_ageing() {
    // The same strengths on other days: scipy 1.17.1, linregress, p = 0.5702.
    let printed = with_titrants(
        "",
        "titrant,date,concentration,u_concentration\n\
         S,2026-03-02,0.10012,0.0002\nS,2026-03-09,0.10031,0.0002\nS,2026-03-20,0.10003,0.0002\n\
         S,2026-04-02,0.10040,0.0002\nS,2026-04-16,0.10024,0.0002\n",
    );
    assert!(printed.caveats("titrant ageing").is_empty());
}

#[test]
fn two_dates_make_no_trend() {
    let printed = with_titrants(
        "",
        "titrant,date,concentration,u_concentration\nS,2026-03-02,0.101,0.0002\nS,2026-04-16,0.100,0.0002\n",
    );
    assert!(printed.caveats("titrant ageing").is_empty());
}

#[test]
fn weighing_one_standard_three_times_does_not_make_it_purer() {
    // One bottle of standard: its purity is off by the same in every standardisation, so that no number of them can
    // make the strength surer than the bottle is.
    let printed = with_titrants(
        "standard_mass = \"0.0001 g\"",
        "titrant,standard,standard_mass,standard_purity,u_standard_purity,standard_ratio,titre,u_titre\n\
         S,KIO3,0.1427,0.999,0.0005,6,39.97,0.01\n\
         S,KIO3,0.1427,0.999,0.0005,6,39.97,0.01\n\
         S,KIO3,0.1427,0.999,0.0005,6,39.97,0.01\n",
    );
    let strength = &printed.titrant("S")["concentration"];
    let relative = number(strength, "u") / number(strength, "value");
    let own = root_of_squares(&[0.0001 / 0.1427, 0.01 / 39.97]) / 3f64.sqrt();
    let expected = root_of_squares(&[own, 0.0005 / 0.999, u_iodate()]);
    check_digits("relative u", relative, expected, 9.0);
}

#[test]
fn two_titrants_from_one_bottle_share_its_purity_and_its_molar_mass() {
    // cov(c₁, c₂) = c₁·c₂·((u_p/p)² + (u_M/M)²): nothing else is common without a shared burette.
    let bottle = |purity: &str| {
        let titrants = format!(
            "titrant,standard,standard_mass,u_standard_mass,standard_purity,u_standard_purity,standard_ratio,titre\n\
             S,KIO3,0.1427,0.0001,0.999,0.0005,6,39.97\nT,KIO3,0.1427,0.0001,{purity},0.0005,6,79.94\n"
        );
        let worked = bench("", "").with(LogKind::Titrants, &titrants);
        let worked = worked.with(
            LogKind::Titres,
            "run,crop,sample_mass,titre\nR1,1,1,39.68\n",
        );
        worked.work_out().runs().titrants.clone()
    };
    let correlation = |purity: &str| {
        let titrants = bottle(purity);
        let (a, b) = (&titrants[0].concentration, &titrants[1].concentration);
        a.covariance(b) / (a.value() * b.value())
    };
    let weights = u_iodate().powi(2);
    let shared = (0.0005_f64 / 0.999).powi(2) + weights;
    check_digits("one bottle", correlation("0.999"), shared, 9.0);
    check_digits("another bottle", correlation("0.998"), weights, 9.0);
}
