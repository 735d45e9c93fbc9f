//! Estimability against exact arithmetic.
//!
//! In: seeded random logs of small whole numbers. Out: nothing but passing tests.
//! This module never uses floating-point numbers to find a rank; ranks are found modulo a large prime.

use super::testing::{amount, choice, model, runs, written};
use crate::regression::{FitData, ModelParams, Settings};

/// A prime far above every determinant that these logs can have by chance multiples of it.
const PRIME: i128 = (1 << 61) - 1;
/// Random logs looked at.
const LOGS: u64 = 3_000;

/// A small seeded generator; quality does not matter here.
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: u64) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % bound) as usize
    }
}

fn inverse(value: i128) -> i128 {
    // Fermat: the power p − 2 is the inverse modulo a prime p.
    let (mut base, mut power, mut result) = (value, PRIME - 2, 1);
    while power > 0 {
        if power & 1 == 1 {
            result = result * base % PRIME;
        }
        base = base * base % PRIME;
        power >>= 1;
    }
    result
}

fn rank(mut rows: Vec<Vec<i128>>) -> usize {
    let width = rows.first().map_or(0, Vec::len);
    let mut found = 0;
    for column in 0..width {
        let Some(pivot) = (found..rows.len()).find(|&row| rows[row][column].rem_euclid(PRIME) != 0)
        else {
            continue;
        };
        rows.swap(found, pivot);
        let scale = inverse(rows[found][column].rem_euclid(PRIME));
        let chosen = rows[found].clone();
        for row in rows.iter_mut().skip(found + 1) {
            let share = row[column].rem_euclid(PRIME) * scale % PRIME;
            for (entry, by) in row.iter_mut().zip(&chosen) {
                *entry = (*entry - share * by.rem_euclid(PRIME)).rem_euclid(PRIME);
            }
        }
        found += 1;
    }
    found
}

/// A random log and model; the factors are `a`, `b` (choices), `x`, `z` (amounts) and `lot`.
fn draw(dice: &mut Dice) -> (FitData, ModelParams) {
    let count = 6 + dice.below(9);
    let names = ["p", "q", "r", "s"];
    let mut pick =
        |levels: u64| -> Vec<&str> { (0..count).map(|_| names[dice.below(levels)]).collect() };
    let (a, b, mut lot) = (pick(3), pick(2), pick(3));
    let mut whole =
        |bound: u64| -> Vec<f64> { (0..count).map(|_| dice.below(bound) as f64).collect() };
    let (mut x, mut z) = (whole(4), whole(3));
    match dice.below(5) {
        0 => lot = a.clone(),
        1 => z = x.iter().map(|x| 2.0 * x + 1.0).collect(),
        2 => {
            x = a
                .iter()
                .map(|&level| f64::from(level != "p") * 3.0)
                .collect()
        }
        // The level r of the choice has its own lot, as when a kiln only ever saw one.
        3 => {
            lot = lot
                .iter()
                .zip(&a)
                .map(|(&lot, &a)| if a == "r" { "s" } else { lot })
                .collect()
        }
        _ => {}
    }
    let y = (0..count).map(|_| dice.below(1000) as f64 / 8.0).collect();
    let data = runs(
        y,
        vec![
            choice("a", &names[..3], &a),
            choice("b", &names[..2], &b),
            amount("x", x),
            amount("z", z),
            choice("lot", &names, &lot),
        ],
    );
    let effects: Vec<&str> = ["a", "b", "x", "z"]
        .into_iter()
        .filter(|_| dice.below(3) > 0)
        .collect();
    let mut params = model(&effects);
    if effects.contains(&"x") && dice.below(2) == 0 {
        params = params.with_curve("x", 2 + dice.below(2) as u32);
    }
    for joint in [["a", "b"], ["a", "x"], ["x", "z"]] {
        if dice.below(5) == 0 {
            params = params.with_joint(&joint);
        }
    }
    if dice.below(2) == 0 {
        params = params.with_block("lot");
    }
    if dice.below(6) == 0 {
        params = params.without_constant();
    }
    (data, params)
}

/// The value of a term in one run, found from its name.
fn entry(name: &str, data: &FitData, run: usize) -> i128 {
    let parts = name.split(" with ").map(|part| {
        let value = |factor: &str| {
            data.factors[data.position(factor).unwrap()]
                .amounts()
                .unwrap()[run] as i128
        };
        if part == "constant" {
            1
        } else if let Some((factor, level)) = part.split_once(": ") {
            let factor = &data.factors[data.position(factor).unwrap()];
            i128::from(factor.levels()[factor.codes()[run]] == level)
        } else if let Some((factor, power)) = part.split_once(" to the ") {
            value(factor).pow(power.parse().unwrap())
        } else {
            value(part)
        }
    });
    parts.product()
}

/// Whether each term can be estimated, by exact rank, with one more column beside the design or none.
fn estimable(design: &[Vec<i128>], beside: Option<&[i128]>) -> Vec<bool> {
    let mut wide = design.to_vec();
    for (row, extra) in wide.iter_mut().zip(beside.unwrap_or(&[])) {
        row.push(*extra);
    }
    let before = rank(wide.clone());
    (0..design[0].len())
        .map(|term| {
            let mut unit = vec![0; wide[0].len()];
            unit[term] = 1;
            let mut longer = wide.clone();
            longer.push(unit);
            rank(longer) == before
        })
        .collect()
}

/// The names of the terms that exact arithmetic finds estimable, and the block levels that take some away.
fn exactly(terms: &[String], data: &FitData, params: &ModelParams) -> (Vec<String>, Vec<String>) {
    let design: Vec<Vec<i128>> = (0..data.runs.len())
        .map(|run| terms.iter().map(|term| entry(term, data, run)).collect())
        .collect();
    let plain = estimable(&design, None);
    let mut kept = plain.clone();
    let mut hiding = Vec::new();
    for block in &params.blocks {
        let factor = &data.factors[data.position(block).unwrap()];
        let counts = factor.runs_of_levels();
        let used = (0..counts.len()).filter(|&level| counts[level] > 0);
        if used.clone().count() < 2 {
            continue;
        }
        for level in used {
            let marks: Vec<i128> = factor
                .codes()
                .iter()
                .map(|&code| i128::from(code == level))
                .collect();
            let with = estimable(&design, Some(&marks));
            if (0..terms.len()).any(|term| plain[term] && !with[term]) {
                hiding.push(format!("{block}: {}", factor.levels()[level]));
                for term in 0..terms.len() {
                    kept[term] &= with[term];
                }
            }
        }
    }
    let names = terms
        .iter()
        .zip(&kept)
        .filter(|&(_, &kept)| kept)
        .map(|(term, _)| term.clone());
    (names.collect(), hiding)
}

#[test]
fn estimable_terms_are_those_of_exact_arithmetic() {
    let mut dice = Dice(7);
    let (mut looked_at, mut tangled, mut hidden) = (0, 0, 0);
    for _ in 0..LOGS {
        let (data, params) = draw(&mut dice);
        let Ok(valid) = params.clone().check(&data) else {
            continue;
        };
        let fitted = valid.fit(&data).unwrap();
        let columns = valid.design(&data).unwrap().columns.into_iter();
        let terms: Vec<String> = columns.map(|column| column.name.to_string()).collect();
        let (expected, hiding) = exactly(&terms, &data, &params);
        let found: Vec<String> = fitted
            .terms
            .iter()
            .map(|term| term.name.to_string())
            .collect();
        assert_eq!(found, expected, "{params:?} {data:?}");
        let groups = fitted.not_separable.iter();
        let named: Vec<String> = groups.flat_map(|group| written(&group.terms)).collect();
        for term in terms {
            assert_eq!(
                named.contains(&term),
                !expected.contains(&term),
                "{term} {params:?} {data:?}"
            );
        }
        for level in &hiding {
            assert!(named.contains(level), "{level} {params:?} {data:?}");
        }
        assert!(
            named
                .iter()
                .filter(|name| name.starts_with("lot: "))
                .all(|name| hiding.contains(name))
        );
        for group in &fitted.not_separable {
            assert!(
                !group.runs_that_would_separate.is_empty(),
                "{group:?} {params:?} {data:?}"
            );
        }
        assert!(fitted.all_finite(), "{params:?} {data:?}");
        looked_at += 1;
        tangled += usize::from(!fitted.not_separable.is_empty());
        hidden += usize::from(!hiding.is_empty());
    }
    // The draw must not pass by avoiding what it is about.
    assert!(
        looked_at > 1_000 && tangled > 300 && hidden > 100,
        "{looked_at} {tangled} {hidden}"
    );
}

#[test]
fn every_run_made_has_its_fitted_value_as_estimate_unless_a_block_hides_it() {
    let mut dice = Dice(11);
    let mut compared = 0;
    for _ in 0..LOGS {
        let (data, mut params) = draw(&mut dice);
        params.blocks.clear();
        let Ok(valid) = params.clone().check(&data) else {
            continue;
        };
        let fitted = valid.fit(&data).unwrap();
        for run in 0..data.runs.len() {
            let mut settings = Settings::default();
            for factor in &data.factors {
                let asked = params.effects.contains(&factor.name)
                    || params.joint.iter().flatten().any(|n| *n == factor.name);
                settings = match factor.amounts() {
                    _ if !asked => settings,
                    Some(values) => settings.amount(&factor.name, values[run]),
                    None => settings.level(&factor.name, &factor.levels()[factor.codes()[run]]),
                };
            }
            let found = fitted.estimate(&settings).unwrap();
            // Responses go up to 125; rounding of a dozen sums.
            assert!(
                (found.value - fitted.fitted[run]).abs() < 1e-10,
                "{params:?} {data:?}"
            );
            compared += 1;
        }
    }
    assert!(compared > 5_000);
}
