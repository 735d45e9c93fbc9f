//! Checks of the ranking against an independent one.
//!
//! In: invented runs. Out: nothing but passing tests.
//! This module never compares with a number that this project made.

use super::{Addition, Candidates, NoRank, Search, Selection, candidates};
use crate::regression::diagnostics::testing::{invented, list, text};
use crate::regression::tests::testing::{amount, model, runs, written};
use crate::regression::{Curve, FitData};

/// Relative: the same formula in another library, on a well conditioned design.
const COMPUTED: f64 = 1e-8;

fn term(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| name.to_string()).collect()
}

fn square(factor: &str) -> Curve {
    Curve {
        factor: factor.to_string(),
        power: 2,
    }
}

fn of_invented() -> Selection {
    candidates(
        &model(&["heating", "oxidant"]),
        &Candidates {
            terms: vec![
                term(&["ratio"]),
                term(&["heating", "oxidant"]),
                term(&["heating", "ratio"]),
            ],
            powers: vec![square("oxidant")],
        },
        &invented(),
    )
}

#[test]
fn criterion_and_left_out_error_of_every_subset_agree_with_statsmodels() {
    // statsmodels 0.15.0 (likelihood) and numpy (each run left out by hand), tests/check-scripts/diagnostics.py.
    let found = of_invented();
    assert_eq!(found.search, Search::AllSubsets);
    let expected: Vec<String> = text("candidates_terms")
        .split('|')
        .map(String::from)
        .collect();
    let (criteria, errors) = (list("candidates_aicc"), list("candidates_left_out_sd"));
    assert_eq!(found.ranked.len(), expected.len());
    for (position, candidate) in found.ranked.iter().enumerate() {
        let mut names = written(&candidate.added);
        names.sort();
        let mut wanted: Vec<&str> = expected[position]
            .split(" + ")
            .filter(|n| !n.is_empty())
            .collect();
        wanted.sort();
        assert_eq!(names, wanted, "{position}");
        assert!((candidate.aicc / criteria[position] - 1.0).abs() < COMPUTED);
        let left_out = candidate.leave_one_out_sd.unwrap();
        assert!((left_out / errors[position] - 1.0).abs() < COMPUTED);
        let delta = criteria[position] - criteria[0];
        assert!((candidate.delta - delta).abs() < COMPUTED * criteria[0]);
    }
}

/// Runs with fourteen amounts, two of which matter; the amounts are those of a simple recurrence.
fn many() -> FitData {
    let mut state = 1_u64;
    let mut next = || {
        state = state
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        (state >> 33) as f64 / (1_u64 << 31) as f64
    };
    let amounts: Vec<Vec<f64>> = (0..14).map(|_| (0..40).map(|_| next()).collect()).collect();
    let response = (0..40)
        .map(|run| 3.0 * amounts[2][run] - 5.0 * amounts[9][run] + 0.1 * next())
        .collect();
    let factors = amounts
        .into_iter()
        .enumerate()
        .map(|(position, values)| amount(&format!("x{position}"), values))
        .collect();
    runs(response, factors)
}

#[test]
fn more_than_twelve_candidates_are_searched_forward_and_the_true_ones_come_first() {
    let terms: Vec<Vec<String>> = (0..14).map(|x| vec![format!("x{x}")]).collect();
    let asked = Candidates {
        terms,
        powers: Vec::new(),
    };
    let found = candidates(&model(&[]), &asked, &many());
    assert_eq!(found.search, Search::Forward);
    let best = &found.ranked[0];
    let added = |name: &str| best.added.contains(&Addition::Term(term(&[name])));
    assert!(added("x2") && added("x9"));
    assert_eq!(best.delta, 0.0);
    assert!(
        found
            .ranked
            .windows(2)
            .all(|pair| pair[0].aicc <= pair[1].aicc)
    );
}

#[test]
fn models_without_a_criterion_are_listed_with_their_reason() {
    let data = runs(
        vec![1.0, 2.0, 2.5, 4.0, 5.5, 5.0],
        vec![
            amount("x", vec![1.0, 2.0, 3.0, 4.0, 5.0, 6.0]),
            amount("twice_x", vec![2.0, 4.0, 6.0, 8.0, 10.0, 12.0]),
        ],
    );
    let asked = Candidates {
        terms: vec![term(&["twice_x"]), term(&["unknown"])],
        powers: vec![Curve {
            factor: "x".to_string(),
            power: 4,
        }],
    };
    let found = candidates(&model(&["x"]), &asked, &data);
    assert_eq!(found.ranked.len(), 1);
    assert!(found.ranked[0].added.is_empty());
    let why = |name: &str| {
        let entry = found
            .not_ranked
            .iter()
            .find(|entry| written(&entry.added) == [name]);
        entry.expect("it is listed").why.clone()
    };
    assert!(matches!(why("twice_x"), NoRank::Untold(_)));
    assert_eq!(why("unknown"), NoRank::Faulty);
    assert_eq!(why("x to the 4"), NoRank::NoCriterion);
}
