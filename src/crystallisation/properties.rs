//! Tests of what must hold for any solubility curve.
//!
//! In: invented points from seeded draws, and each salt of the built-in table. Out: nothing but passing tests.
//! This module never compares with a number that a curve gave before.

use rand_chacha::ChaCha12Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

use super::{Curve, OutOfTable};
use crate::campaign::{Solubility, SolubilityPoint};
use crate::chemistry::{AtomicWeights, Formula};
use crate::measured::Sources;

/// Curves drawn for each property.
const CURVES: u64 = 300;
/// Places that are looked at between two points.
const PLACES: u32 = 40;
/// Rounding of a cubic of mass fractions below 1, absolute.
const ROUNDING: f64 = 1e-14;

struct Drawn {
    generator: ChaCha12Rng,
}

impl Drawn {
    fn new(seed: u64) -> Self {
        let generator = ChaCha12Rng::seed_from_u64(seed);
        Self { generator }
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        let share = (self.generator.next_u64() >> 11) as f64 / (1_u64 << 53) as f64;
        low + share * (high - low)
    }

    /// From 2 to 13 points with uneven steps, some of them flat or steep, of which `rise` says where they go.
    fn points(&mut self, rise: fn(&mut Self) -> f64) -> Vec<SolubilityPoint> {
        let count = 2 + self.generator.next_u64() % 12;
        let (mut temperature, mut per_100_g) =
            (self.between(-10.0, 10.0), self.between(20.0, 60.0));
        let mut points = Vec::new();
        for _ in 0..count {
            points.push(SolubilityPoint {
                temperature,
                per_100_g,
            });
            temperature += self.between(0.5, 15.0);
            per_100_g = (per_100_g + rise(self)).max(0.0);
        }
        points
    }

    fn rising(&mut self) -> f64 {
        let steep = self.between(0.0, 1.0).powi(6) * 200.0;
        if self.between(0.0, 1.0) < 0.2 {
            0.0
        } else {
            steep
        }
    }

    fn anywhere(&mut self) -> f64 {
        self.between(-20.0, 20.0)
    }
}

fn curve(points: &[SolubilityPoint]) -> Curve {
    let weights = AtomicWeights::new(&mut Sources::default());
    let plan = Solubility {
        product: None,
        points: points.to_vec(),
        density: None,
    };
    Curve::of(&Formula::parse("KMnO4").unwrap(), Some(&plan), &weights).unwrap()
}

fn read(curve: &Curve, temperature: f64) -> f64 {
    curve.saturated(temperature).unwrap().mass_fraction
}

/// Mass fractions from one point to the next, both included.
fn walk(curve: &Curve, pair: &[SolubilityPoint]) -> Vec<f64> {
    let width = pair[1].temperature - pair[0].temperature;
    let mut places: Vec<f64> = (0..PLACES)
        .map(|place| pair[0].temperature + width * f64::from(place) / f64::from(PLACES))
        .collect();
    places.push(pair[1].temperature);
    places.iter().map(|&at| read(curve, at)).collect()
}

#[test]
fn the_curve_passes_through_every_point() {
    for seed in 0..CURVES {
        let points = Drawn::new(seed).points(Drawn::anywhere);
        let curve = curve(&points);
        for point in &points {
            let expected = point.per_100_g / (100.0 + point.per_100_g);
            assert_eq!(read(&curve, point.temperature), expected, "seed {seed}");
        }
    }
}

#[test]
fn rising_points_give_a_rising_curve() {
    for seed in 0..CURVES {
        let points = Drawn::new(seed).points(Drawn::rising);
        let curve = curve(&points);
        for pair in points.windows(2) {
            for step in walk(&curve, pair).windows(2) {
                assert!(step[1] >= step[0] - ROUNDING, "seed {seed}: {step:?}");
            }
        }
    }
}

#[test]
fn no_step_of_any_curve_leaves_the_range_of_its_two_points_or_turns_within_it() {
    for seed in 0..CURVES {
        let points = Drawn::new(seed).points(Drawn::anywhere);
        let curve = curve(&points);
        for pair in points.windows(2) {
            let direction = (pair[1].per_100_g - pair[0].per_100_g).signum();
            for step in walk(&curve, pair).windows(2) {
                let rise = direction * (step[1] - step[0]);
                assert!(rise >= -ROUNDING, "seed {seed}: {step:?}");
            }
        }
    }
}

#[test]
fn the_order_of_the_points_does_not_matter() {
    for seed in 0..CURVES {
        let points = Drawn::new(seed).points(Drawn::anywhere);
        let backwards: Vec<SolubilityPoint> = points.iter().rev().copied().collect();
        let middle = 0.5 * (points[0].temperature + points[1].temperature);
        assert_eq!(
            read(&curve(&points), middle),
            read(&curve(&backwards), middle)
        );
    }
}

#[test]
fn nothing_is_said_outside_the_points() {
    for seed in 0..CURVES {
        let points = Drawn::new(seed).points(Drawn::anywhere);
        let curve = curve(&points);
        let (low, high) = (points[0].temperature, points[points.len() - 1].temperature);
        for temperature in [low - 0.01, high + 0.01, -273.15, 1e9] {
            let reason = curve.saturated(temperature).unwrap_err();
            assert!(
                matches!(reason, OutOfTable::Outside { .. }),
                "seed {seed}: {reason:?}"
            );
        }
    }
}
