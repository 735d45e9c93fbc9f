//! What do replicates say of one another and of the method?
//!
//! In: samples titrated twice or more. Out: tests of the pooled scatter, of its degrees of freedom, and of the doubts
//! that name a discordant titre.
//! This module never drops a titre.

use residuum::campaign::LogKind;

use super::{BLUESTONE, DIGITS, Printed, bench, check_figures, root_of_squares, u_bluestone};
use crate::in_memory::InMemory;
use crate::support::{check_digits, number};

/// Runs `R1`, `R2`, ... with one crop each; every sample weighs 1 g.
fn replicates(titration: &str, uncertainty: &str, samples: &[&[f64]]) -> InMemory {
    let mut runs = String::from("run,feed_mass,feed_assay\n");
    let mut crops = String::from("run,crop,mass\n");
    let mut titres = String::from("run,crop,sample_mass,titre\n");
    for (place, sample) in samples.iter().enumerate() {
        let run = format!("R{}", place + 1);
        runs += &format!("{run},100,0.8\n");
        crops += &format!("{run},1,200\n");
        for titre in *sample {
            titres += &format!("{run},1,1,{titre}\n");
        }
    }
    bench(titration, uncertainty)
        .with(LogKind::Runs, &runs)
        .with(LogKind::Crops, &crops)
        .with(LogKind::Titres, &titres)
}

/// Purity of a run whose titres have a mean of 40 mL, and its uncertainty from these relative parts.
fn check_purity(printed: &Printed, run: &str, parts: &[f64], digits: f64) {
    let purity = 0.004 * BLUESTONE;
    let found = &printed.run(run)["purity"];
    check_digits(run, number(found, "value"), purity, DIGITS);
    let uncertainty = purity * root_of_squares(parts);
    check_digits(
        &format!("u of {run}"),
        number(found, "u"),
        uncertainty,
        digits,
    );
}

/// Two titres 1 % off their mean and three of which two are half a percent off.
const TWO_AND_THREE: [&[f64]; 2] = [&[39.6, 40.4], &[39.8, 40.0, 40.2]];

/// Digits asked where the scatter counts: a relative standard deviation may be taken at each titre or at their mean,
/// which differs by half its square, here 0.5·0.01².
const DIGITS_OF_SCATTER: f64 = 4.0;

/// Relative: √((2·0.01² + 2·0.005²)/(1 + 2)), degrees of freedom 3.
fn pooled_of_two_and_three() -> f64 {
    (2.5e-4_f64 / 3.0).sqrt()
}

#[test]
fn the_scatter_of_replicates_is_pooled_and_their_mean_is_surer() {
    // Pooled variance: JCGM 100:2008, H.3.6; standard deviation of a mean: 4.2.3.
    let printed = Printed::of(&replicates("", "", &TWO_AND_THREE));
    for (run, count) in [("R1", 2.0_f64), ("R2", 3.0)] {
        let parts = [pooled_of_two_and_three() / count.sqrt(), u_bluestone()];
        check_purity(&printed, run, &parts, DIGITS_OF_SCATTER);
    }
}

#[test]
fn what_replicates_show_is_not_counted_a_second_time() {
    // Reading and end point, and a repeatability from elsewhere, are in the scatter that was seen.
    let stated = replicates("repeatability = 0.02", "titre = \"0.5 mL\"", &TWO_AND_THREE);
    let parts = [pooled_of_two_and_three() / 2f64.sqrt(), u_bluestone()];
    check_purity(&Printed::of(&stated), "R1", &parts, DIGITS_OF_SCATTER);
}

#[test]
fn without_replicates_the_stated_repeatability_counts() {
    let stated = replicates("repeatability = 0.002", "titre = \"0.04 mL\"", &[&[40.0]]);
    let parts = [0.002, 0.04 / 40.0, u_bluestone()];
    check_purity(&Printed::of(&stated), "R1", &parts, DIGITS);
}

#[test]
fn one_burette_does_not_average_away() {
    let stated = replicates("", "burette = \"±0.3 mL triangular\"", &TWO_AND_THREE);
    let parts = [
        pooled_of_two_and_three() / 2f64.sqrt(),
        0.3 / 6f64.sqrt() / 40.0,
        u_bluestone(),
    ];
    check_purity(&Printed::of(&stated), "R1", &parts, DIGITS_OF_SCATTER);
}

#[test]
fn a_pooled_scatter_keeps_its_degrees_of_freedom_however_many_titres_use_it() {
    // The standard uncertainty of each mean is one estimate, s/√n, with the 3 degrees of freedom of s: JCGM 100:2008,
    // H.3.6 and G.4.1. The yield rests on nothing else that is uncertain (molar masses of product cancel, but that
    // of copper oxide, known to 2e-5, is left: a part of 1e-5 in the variance).
    let printed = Printed::of(&replicates("", "", &TWO_AND_THREE));
    for run in ["R1", "R2"] {
        let found = number(printed.run(run), "effective_df");
        check_digits(&format!("degrees of freedom of {run}"), found, 3.0, 4.0);
    }
}

#[test]
fn two_titres_further_apart_than_2_8_standard_deviations_are_named() {
    // Nine pairs 0.02 mL apart and one D apart about 40 mL: s² = (9·0.02² + D²)/20 mL², 10 degrees of freedom.
    // D = 0.049: 2.8·s = 0.0485 mL, D = 0.047: 2.8·s = 0.0477 mL (ISO 5725-6:1994, 4.1.4: critical difference 2.8 s).
    let pairs = |apart: f64| {
        let pair = |apart: f64| vec![40.0 - apart / 2.0, 40.0 + apart / 2.0];
        let mut samples: Vec<Vec<f64>> = vec![pair(0.02); 9];
        samples.push(pair(apart));
        let samples: Vec<&[f64]> = samples.iter().map(Vec::as_slice).collect();
        Printed::of(&replicates("", "", &samples))
    };
    assert!(pairs(0.047).caveats("discordant titres").is_empty());
    let printed = pairs(0.049);
    let caveat = printed.caveat("discordant titres");
    assert_eq!(caveat["about"], "run R10");
    // In points of purity: 0.049 mL and 0.0485 mL of 0.1 mol/L in 1 g.
    let points = |volume: f64| format!("{:.2}", 100.0 * volume * 1e-4 * BLUESTONE);
    check_figures(caveat, &["2", &points(0.049), &points(0.0485014638954331)]);
    // It is named, and stays in the mean.
    let purity = number(&printed.run("R10")["purity"], "value");
    check_digits("purity", purity, 0.004 * BLUESTONE, DIGITS);
}

#[test]
fn one_titre_of_four_beyond_grubbs_value_is_named() {
    // numpy 2.4.6: G = 1.49920 for the first, 1.48039 for the second; ISO 5725-2:1994, table 5: 1.481 for n = 4.
    let named = Printed::of(&replicates("", "", &[&[40.0, 40.02, 39.98, 41.0]]));
    let caveat = named.caveat("discordant titres");
    assert_eq!(caveat["about"], "run R1");
    let odd = format!("{:.2}", 100.0 * 0.0041 * BLUESTONE);
    check_figures(caveat, &["4", "1.50", "1.48", &odd]);
    let mean = (40.0 + 40.02 + 39.98 + 41.0) / 4.0;
    let purity = number(&named.run("R1")["purity"], "value");
    check_digits("purity", purity, mean * 1e-4 * BLUESTONE, DIGITS);

    let quiet = Printed::of(&replicates("", "", &[&[40.0, 40.02, 39.98, 40.20]]));
    assert!(quiet.caveats("discordant titres").is_empty());
}

#[test]
fn titres_that_are_all_alike_raise_no_doubt() {
    let printed = Printed::of(&replicates("", "", &[&[40.0, 40.0], &[40.0, 40.0, 40.0]]));
    assert!(printed.caveats("discordant titres").is_empty());
}
