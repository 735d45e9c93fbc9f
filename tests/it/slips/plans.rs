//! What a campaign is like before any run is made: its size, lots, logs and what is varied on purpose.
//!
//! In: a preparation and a stream of draws. Out: [`Plan`].
//! This module never draws an error.

use residuum::seeded::Seeded;

use super::preparations::{Preparation, Route};

/// A stream of draws with the forms that benches need.
pub struct Draws(pub Seeded);

impl Draws {
    /// Normal with mean zero.
    pub fn normal(&mut self, standard_deviation: f64) -> f64 {
        standard_deviation * self.0.normal()
    }

    /// Uniform between two values.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.uniform()
    }

    /// Whether something of that chance happens.
    pub fn chance(&mut self, chance: f64) -> bool {
        self.0.uniform() < chance
    }

    /// One of several, all equally likely.
    pub fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[(self.0.uniform() * of.len() as f64) as usize]
    }

    /// A whole number between two, both included.
    pub fn count(&mut self, low: usize, high: usize) -> usize {
        low + (self.0.uniform() * (high - low + 1) as f64) as usize
    }
}

/// How the logs are kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// One table with the purity found.
    Flat,
    /// Lots, crops, titres and titrants in logs of their own.
    Separate,
}

/// A campaign that is going to be made.
#[derive(Debug, Clone)]
pub struct Plan {
    pub preparation: &'static Preparation,
    pub runs: usize,
    pub lots: usize,
    pub style: Style,
    /// Whether the mother liquor and the residue of each run are measured.
    pub balance: bool,
    /// Residue charged per fresh feed, of the levels tried; only where residues are measured.
    pub ratios: Vec<f64>,
    pub routes: Vec<Route>,
    /// Excesses of oxidant tried [%].
    pub excesses: Vec<f64>,
    /// Sizes of batches in usual charges.
    pub sizes: Vec<f64>,
    /// Whether the size is declared as a factor.
    pub size_is_factor: bool,
    /// How far charges spread around what was meant \[fraction\].
    pub spread_of_charge: f64,
    /// Part of runs without a note of labour or liquor.
    pub forgotten: f64,
    /// Lightest and heaviest sample as a part of the usual one.
    pub samples: [f64; 2],
    /// Strength of the second titrant as a part of the first.
    pub second_titrant: f64,
}

impl Plan {
    /// A campaign of any size and kind.
    pub fn draw(preparation: &'static Preparation, draws: &mut Draws) -> Self {
        let runs = (8.0 * 8f64.powf(draws.0.uniform())).round() as usize;
        let balance = draws.chance(0.5);
        let recycles = balance && draws.chance(0.6);
        let ratios: &[f64] = match recycles {
            true => &[0.0, 0.0, 0.2, 0.4, 0.6],
            false => &[0.0],
        };
        let most = (runs / 4).min(preparation.routes.len());
        let sizes = match draws.chance(0.1) {
            true => vec![1.0, draws.pick(&[2.0, 4.0, 5.0, 10.0])],
            false => vec![1.0],
        };
        Plan {
            preparation,
            runs,
            lots: draws.count(1, 5.min(runs / 4)),
            style: draws.pick(&[Style::Flat, Style::Separate, Style::Separate]),
            balance,
            ratios: ratios.to_vec(),
            routes: preparation.routes[..draws.count(1, most)].to_vec(),
            excesses: draws
                .pick(&[&[10.0, 60.0, 120.0] as &[f64], &[0.0, 50.0, 300.0], &[40.0]])
                .to_vec(),
            size_is_factor: sizes.len() > 1 && draws.chance(0.5),
            sizes,
            spread_of_charge: draws.pick(&[0.005, 0.02, 0.06]),
            forgotten: draws.pick(&[0.0, 0.0, 0.15]),
            samples: draws.pick(&[[0.95, 1.05], [0.8, 1.25]]),
            second_titrant: draws.pick(&[1.0, 1.0, 0.5]),
        }
    }

    /// A small titrated campaign without liquor and residue log, the same whatever is drawn.
    pub fn small(preparation: &'static Preparation, style: Style) -> Self {
        Plan {
            preparation,
            runs: 24,
            lots: 2,
            style,
            balance: false,
            ratios: vec![0.0],
            routes: preparation.routes[..2].to_vec(),
            excesses: vec![40.0],
            size_is_factor: false,
            sizes: vec![1.0],
            spread_of_charge: 0.02,
            forgotten: 0.0,
            samples: [0.9, 1.1],
            second_titrant: 1.0,
        }
    }
}
