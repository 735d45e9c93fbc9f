//! Checks of the comparisons against published examples and an independent simulation.
//!
//! In: published data. Out: nothing but passing tests.
//! This module never compares with a number that this project made.

use super::{Comparison, CriticalValueBy, FactorComparisons, comparisons};
use crate::regression::algebra::studentised_range::{
    studentised_range_for_tail, studentised_range_upper,
};
use crate::regression::tests::testing::{amount, cells, choice, model, numbers, runs};
use crate::regression::{FitData, FittedModel, Refusal, Tangled, TermName, TermPiece};

const PLANTS: &str = include_str!("../../../tests/data/tukey_three_groups.csv");
const COAGULATION: &str = include_str!("../../../tests/data/anova_coagulation.csv");
const BLOOD: &str = include_str!("../../../tests/data/dunnett_blood_counts.csv");
const SIMULATED: &str = include_str!("../../../tests/data/comparisons.json");

/// Limits and chances of the sources are good to this.
const SOURCE: f64 = 1e-5;

/// Relative: what is promised of simulated critical values.
const PROMISED: f64 = 0.002;

fn one_way(response: Vec<f64>, levels: &[&str], of_runs: &[&str]) -> FittedModel {
    let data = runs(response, vec![choice("group", levels, of_runs)]);
    model(&["group"]).fitted(&data)
}

fn only(model: &FittedModel) -> FactorComparisons {
    let mut all = comparisons(model, 1);
    assert_eq!(all.len(), 1);
    all.remove(0)
}

fn find<'a>(list: &'a [Comparison], level: &str, against: &str) -> &'a Comparison {
    list.iter()
        .find(|c| c.level == level && c.against == against)
        .expect("the pair stands in the list")
}

#[track_caller]
fn near(found: Option<f64>, expected: f64, tolerance: f64) {
    let found = found.expect("a number");
    assert!(
        (found - expected).abs() <= tolerance,
        "{found} is not {expected}"
    );
}

/// The certified figure of an invented or published layout in the simulation of the check script.
fn simulated(name: &str) -> f64 {
    crate::regression::tests::testing::certified(SIMULATED, name)
}

#[test]
fn three_groups_of_plants_agree_with_the_published_intervals() {
    // Dobson, An Introduction to Statistical Modelling, 1983; limits and chances published to seven decimals.
    let groups = cells(PLANTS, "group");
    let found = only(&one_way(
        numbers(PLANTS, "weight"),
        &["ctrl", "trt1", "trt2"],
        &groups,
    ));
    assert_eq!(found.pairs_by, Some(CriticalValueBy::StudentisedRange));
    assert_eq!(found.pairs.len(), 3);
    for (level, against, low, high, p) in [
        ("trt1", "ctrl", -1.0622161, 0.3202161, 0.3908711),
        ("trt2", "ctrl", -0.1972161, 1.1852161, 0.1979960),
        ("trt2", "trt1", 0.1737839, 1.5562161, 0.0120064),
    ] {
        let pair = find(&found.pairs, level, against);
        near(pair.interval.map(|i| i.low), low, SOURCE);
        near(pair.interval.map(|i| i.high), high, SOURCE);
        near(pair.p, p, SOURCE);
    }
}

#[test]
fn blood_counts_agree_with_the_published_comparison_with_a_control() {
    // Dunnett, J. American Statistical Association 50 (1955), 1096-1121; chances and limits by deterministic integration.
    let groups = cells(BLOOD, "group");
    let mut levels: Vec<&str> = groups.clone();
    levels.dedup();
    assert_eq!(levels[0], "control");
    let found = only(&one_way(numbers(BLOOD, "count"), &levels, &groups));
    assert_eq!(found.baseline_by, Some(CriticalValueBy::Plane));
    let p = [0.620101980018458, 0.005825360847952599];
    let limits = [
        [-1.2563041371484305, 2.5563041371484276],
        [0.839728206420479, 4.416271793579518],
    ];
    for (position, pair) in found.against_baseline.iter().enumerate() {
        near(pair.p, p[position], SOURCE);
        near(pair.interval.map(|i| i.low), limits[position][0], SOURCE);
        near(pair.interval.map(|i| i.high), limits[position][1], SOURCE);
        near(pair.critical_value, 2.513482903596656, SOURCE);
    }
}

#[test]
fn four_groups_of_unequal_size_agree_with_an_independent_simulation() {
    // Box, Hunter and Hunter, 1978, table 6.1. The exact critical value lies a little below that of Tukey and Kramer
    // (Hayter, Annals of Statistics 12 (1984), 61-75), which is q/√2 of the studentised range.
    let groups = cells(COAGULATION, "diet");
    let found = only(&one_way(
        numbers(COAGULATION, "coagulation_time"),
        &["A", "B", "C", "D"],
        &groups,
    ));
    assert_eq!(found.pairs_by, Some(CriticalValueBy::Simulation));
    let wide = studentised_range_for_tail(0.05, 4, 20.0).unwrap() / 2f64.sqrt();
    // Limits of Tukey and Kramer, statsmodels 0.15.0 (pairwise_tukeyhsd): D − B between −8.577095 and −1.422905, p 0.0044114.
    let pair = find(&found.pairs, "D", "B");
    near(
        pair.standard_error.map(|u| -5.0 + wide * u),
        -1.422905490446977,
        SOURCE,
    );
    let ratio = -pair.value / pair.standard_error.unwrap();
    near(
        studentised_range_upper(ratio * 2f64.sqrt(), 4, 20.0),
        0.004411368778950875,
        SOURCE,
    );
    let expected = simulated("coagulation_pairs_critical");
    let critical = pair.critical_value.unwrap();
    assert!(
        (critical / expected - 1.0).abs() < PROMISED,
        "{critical} {expected}"
    );
    assert!(critical <= wide * (1.0 + PROMISED));
    assert!(pair.numerical_error.unwrap() < PROMISED);
    // The simulation has 40 million draws: its own standard error of this chance is 1e-5.
    near(pair.p, simulated("coagulation_p_of_d_against_b"), 1e-4);
}

#[test]
fn a_simulated_critical_value_agrees_with_the_exact_one() {
    // Five means that are equally well known, looked at pairwise; the exact value is the studentised range, checked against tables.
    use super::critical_by_simulation::{Simulated, Together};
    use super::level_positions::{Known, Pair, Positions};
    let pairs: Vec<Pair> = (0..5)
        .flat_map(|against| (against + 1..5).map(move |level| Pair { level, against }))
        .collect();
    let known: Vec<Known> = pairs
        .iter()
        .map(|&pair| Known {
            pair,
            variance: 2.0,
        })
        .collect();
    let positions = Positions::of(5, &known);
    for (confidence, df) in [(0.95, 12.0), (0.99, 40.0), (0.9, f64::INFINITY)] {
        let together = Together {
            confidence,
            degrees_of_freedom: df,
            seed: 7,
            stream: 3,
        };
        let (family, critical) = Simulated::of(&positions, &pairs, together).unwrap();
        let exact = studentised_range_for_tail(1.0 - confidence, 5, df).unwrap() / 2f64.sqrt();
        let error = (critical.value / exact - 1.0).abs();
        assert!(error < PROMISED, "{error} {df}");
        for t in [1.0, 2.5, 4.0, 6.0] {
            let chance = studentised_range_upper(t * 2f64.sqrt(), 5, df).unwrap();
            let found = family.upper(t);
            // Where the simulation gets rough the sum of the single chances stands in, which lies above by a few per cent.
            assert!(
                (found / chance - 1.0).abs() < 0.05,
                "{t} {df}: {found} {chance}"
            );
        }
    }
}

/// Twelve runs with an amount, so that the layout is not balanced.
fn unbalanced() -> FitData {
    let groups = ["a", "b", "c", "d", "a", "b", "c", "d", "d", "d", "c", "a"];
    let y = vec![1.0, 2.1, 2.9, 4.2, 1.3, 2.4, 3.3, 4.4, 4.1, 3.9, 3.0, 1.1];
    let x = vec![0.1, 0.5, 0.2, 0.9, 0.4, 0.3, 0.8, 0.7, 0.6, 0.2, 0.1, 0.9];
    runs(
        y,
        vec![
            choice("group", &["a", "b", "c", "d"], &groups),
            amount("x", x),
        ],
    )
}

#[test]
fn a_layout_with_an_amount_agrees_with_an_independent_simulation() {
    // Invented data; the check script forms the covariance with numpy and draws 40 million multivariate t.
    let found = only(&model(&["group", "x"]).fitted(&unbalanced()));
    for (list, name) in [
        (&found.pairs, "invented_pairs_critical"),
        (&found.against_baseline, "invented_baseline_critical"),
    ] {
        let critical = list[0].critical_value.unwrap();
        let expected = simulated(name);
        assert!(
            (critical / expected - 1.0).abs() < PROMISED,
            "{name}: {critical} {expected}"
        );
    }
}

#[test]
fn the_same_seed_gives_the_same_numbers_and_together_is_wider_than_alone() {
    let data = unbalanced();
    let fitted = model(&["group", "x"]).fitted(&data);
    assert_eq!(comparisons(&fitted, 5), comparisons(&fitted, 5));
    let simultaneous = only(&fitted);
    for pair in &simultaneous.pairs {
        let single = fitted
            .level_difference("group", &pair.level, &pair.against)
            .unwrap();
        let (wide, narrow) = (pair.interval.unwrap(), single.interval.unwrap());
        assert!(wide.low < narrow.low && wide.high > narrow.high);
        assert!(pair.p >= single.p);
    }
}

#[test]
fn levels_that_cannot_be_compared_are_named_and_the_others_compared() {
    // The kiln was only ever run on lot D and lot D only in the kiln.
    let heating = [
        "muffle", "hob", "muffle", "hob", "kiln", "kiln", "muffle", "hob",
    ];
    let lot = ["A", "A", "B", "B", "D", "D", "A", "B"];
    let data = runs(
        vec![1.0, 2.0, 1.5, 2.4, 3.0, 3.1, 1.2, 2.2],
        vec![
            choice("heating", &["muffle", "hob", "kiln"], &heating),
            choice("lot", &["A", "B", "D"], &lot),
        ],
    );
    let all = comparisons(&model(&["heating", "lot"]).fitted(&data), 1);
    let heating = &all[0];
    assert_eq!(heating.pairs.len(), 1);
    assert_eq!(heating.pairs_by, Some(CriticalValueBy::SingleDifference));
    assert_eq!(heating.untold.len(), 2);
    let together = [("heating", "kiln"), ("lot", "D")].map(|(factor, level)| {
        TermName::of(TermPiece::Level {
            factor: factor.into(),
            level: level.into(),
        })
    });
    let why = Tangled::OnlyTogether(together.to_vec());
    assert_eq!(heating.untold[0].reason, Refusal::NotSeparable(vec![why]));
}

#[test]
fn without_degrees_of_freedom_there_are_values_only() {
    let data = runs(
        vec![1.0, 2.0, 4.0],
        vec![choice("g", &["a", "b", "c"], &["a", "b", "c"])],
    );
    let found = only(&model(&["g"]).fitted(&data));
    assert_eq!(found.pairs.len(), 3);
    for pair in &found.pairs {
        assert!(pair.interval.is_none() && pair.p.is_none() && pair.critical_value.is_none());
    }
    let (last, first) = (find(&found.pairs, "c", "a").value, 3.0);
    near(Some(last), first, 1e-12);
}

#[test]
fn simultaneous_intervals_cover_all_differences_together_as_often_as_they_say() {
    // 2,000 simulated logs on the unbalanced layout: the share has a standard error of 0.0049, the tolerance is three of them.
    use crate::regression::Settings;
    use crate::seeded::Seeded;
    let layout = unbalanced();
    let valid = model(&["group", "x"]).check(&layout).unwrap();
    let critical = |list: &[Comparison]| list[0].critical_value.unwrap();
    // The critical values depend on the layout alone.
    let found = only(&valid.fit(&layout).unwrap());
    let (pairs, baseline) = (critical(&found.pairs), critical(&found.against_baseline));
    let names = ["a", "b", "c", "d"];
    let truth = [3.0, 3.0, 4.0, 7.0];
    let mut generator = Seeded::stream(11, 0);
    let (mut all_covered, mut baseline_covered) = (0, 0);
    let logs = 2000;
    for _ in 0..logs {
        let mut log = layout.clone();
        for (run, response) in log.response.iter_mut().enumerate() {
            let error: f64 = generator.normal();
            *response = truth[log.factors[0].codes()[run]] + error;
        }
        let fitted = valid.fit(&log).unwrap();
        let (mut worst, mut worst_from_baseline) = (0.0_f64, 0.0_f64);
        for against in 0..4 {
            for level in against + 1..4 {
                let at = |level: usize| Settings::default().level("group", names[level]);
                let difference = fitted.difference(&at(level), &at(against)).unwrap();
                let miss = difference.value - (truth[level] - truth[against]);
                let ratio = (miss / difference.standard_error.unwrap()).abs();
                worst = worst.max(ratio);
                if against == 0 {
                    worst_from_baseline = worst_from_baseline.max(ratio);
                }
            }
        }
        all_covered += usize::from(worst <= pairs);
        baseline_covered += usize::from(worst_from_baseline <= baseline);
    }
    for covered in [all_covered, baseline_covered] {
        let share = covered as f64 / f64::from(logs);
        assert!((share - 0.95).abs() < 0.015, "{share}");
    }
}

#[test]
fn where_differences_have_different_degrees_of_freedom_the_smallest_is_used() {
    // Level d was run on its own lots only, so that its differences rest on few lots and the others on many runs.
    let groups = [
        "a", "b", "c", "a", "b", "c", "a", "b", "c", "d", "d", "d", "d", "a", "b", "c",
    ];
    let lots = [
        "P", "P", "P", "Q", "Q", "Q", "R", "R", "R", "S", "S", "T", "T", "P", "Q", "R",
    ];
    let response = vec![
        1.0, 2.3, 3.1, 2.2, 3.4, 4.0, 0.4, 1.7, 2.1, 5.2, 5.0, 6.9, 7.3, 1.3, 3.1, 2.5,
    ];
    let data = runs(
        response,
        vec![
            choice("group", &["a", "b", "c", "d"], &groups),
            choice("lot", &["P", "Q", "R", "S", "T"], &lots),
        ],
    );
    let asked = model(&["group"]).with_block("lot").measured();
    let found = only(&asked.fitted(&data));
    let dfs = found.pairs.iter().map(|pair| pair.degrees_of_freedom);
    let (least, most) = dfs.fold((f64::INFINITY, 0.0_f64), |(low, high), df| {
        (low.min(df), high.max(df))
    });
    assert!(most > 2.0 * least, "{least} {most}");
    assert_eq!(found.degrees_of_freedom, Some(least));
    assert_eq!(found.pairs.len(), 6);
    assert!(found.pairs.iter().all(|pair| pair.interval.is_some()));
}

#[test]
fn of_many_levels_the_ends_are_held_against_all_others_with_room_for_all_pairs() {
    // 25 levels of two runs each, 1 apart within a level: 25 degrees of freedom.
    let names: Vec<String> = (0..25).map(|level| format!("L{level:02}")).collect();
    let levels: Vec<&str> = names.iter().map(String::as_str).collect();
    let of_runs: Vec<&str> = levels.iter().flat_map(|&level| [level, level]).collect();
    let response = (0..50).map(|run| f64::from((run / 2 * 7) % 25 + run % 2));
    let found = only(&one_way(response.collect(), &levels, &of_runs));
    assert_eq!(found.pairs_by, Some(CriticalValueBy::SumOfChances));
    // The lowest mean is that of L00; 7 times 7 is 24 beyond 25, so that L07 has the highest.
    assert_eq!(found.pairs.len(), 2 * 24 - 1);
    let ends = |pair: &Comparison| {
        [&pair.level, &pair.against]
            .iter()
            .any(|of| *of == "L00" || *of == "L07")
    };
    assert!(found.pairs.iter().all(ends));
    assert_eq!(found.against_baseline.len(), 24);
    // scipy 1.17.1: t.ppf(1 − 0.05/600, 25) for all 300 pairs, t.ppf(1 − 0.05/48, 25) for 24.
    near(found.pairs[0].critical_value, 4.422065925807534, SOURCE);
    near(
        found.against_baseline[0].critical_value,
        3.4338478303196993,
        SOURCE,
    );
}
