//! What would runs of a known truth log?
//!
//! In: a [`Truth`] and a seed. Out: a campaign in memory, and its true gain a charged run.
//! This module never reads a result of the analysis but the charge that a question is about.
//!
//! A run of 500 g scale charges `r` g residue per g of it. Its true contained yield is
//!
//! ```text
//! y = 0.66 + slope·r + bow + route + (slope of the route)·r + drift(t) + step + lot + scatter
//! ```
//!
//! and its crop weighs what that yield of the copper truly charged gives, at a purity that scatters by 0.2 points.

use residuum::campaign::LogKind;
use residuum::seeded::Seeded;

use crate::in_memory::InMemory;

/// Fresh feed of each run \[g\].
pub const FEED: f64 = 500.0;
/// Copper oxide of the lots as logged, and its stated uncertainty.
const ASSAY: f64 = 0.83;
const U_ASSAY: f64 = 0.004;
/// Copper oxide of the residue, and its uncertainty.
const RESIDUE_ASSAY: f64 = 0.44;
const U_RESIDUE: f64 = 0.006;
/// Product per copper oxide [g/g], CuSO4·5H2O over CuO.
const PRODUCT: f64 = 249.68 / 79.545;
/// Price of the product [currency/g].
const PRICE: f64 = 0.018;
/// Scatter of yields from run to run, beyond measurement.
pub const SCATTER: f64 = 0.018;

/// How yields scatter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Scatter {
    /// Normal and independent.
    Normal,
    /// Student's t with three degrees of freedom, of the same spread in the middle half.
    HeavyTails,
    /// Normal, but every tenth run on average six times as far off.
    Wild,
    /// Each run errs as the one before, by this correlation.
    Connected(f64),
}

/// Which residue ratios the runs are charged with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Charges {
    /// These, in mixed order.
    Mixed(&'static [f64]),
    /// Rising from none to 0.5, give or take.
    Climbing,
    /// None in the first half, then these in mixed order.
    SecondHalf(&'static [f64]),
}

/// What is true of a campaign.
#[derive(Debug, Clone, Copy)]
pub struct Truth {
    pub runs: usize,
    pub charges: Charges,
    pub scatter: Scatter,
    /// Change of yield per ratio.
    pub slope: f64,
    /// How far the yield lies above the straight line half-way to 0.6.
    pub bow: f64,
    /// Change of the slope with the second route.
    pub joint: f64,
    /// Rise of yield from the first to the last run.
    pub drift: f64,
    /// Step of yield in the middle.
    pub step: f64,
    /// Lots, used in turn, and the standard deviation of their own effects.
    pub lots: usize,
    pub lot_sd: f64,
    /// Whether the second route is run on the first lot only.
    pub route_on_one_lot: bool,
    /// Copper oxide of the residue as logged, where that is not what it holds.
    pub logged_residue: Option<f64>,
    /// A run whose crop is logged 20 % too light.
    pub light_crop: bool,
}

/// A campaign that nothing is wrong with.
pub const CLEAN: Truth = Truth {
    runs: 24,
    charges: Charges::Mixed(&[0.0, 0.0, 0.3, 0.5]),
    scatter: Scatter::Normal,
    slope: -0.06,
    bow: 0.0,
    joint: 0.0,
    drift: 0.0,
    step: 0.0,
    lots: 1,
    lot_sd: 0.0,
    route_on_one_lot: false,
    logged_residue: None,
    light_crop: false,
};

/// Effect of the second route.
const ROUTE: f64 = 0.03;
pub const ROUTES: [&str; 2] = ["chill", "spirit"];

impl Truth {
    /// The true yield at a ratio on a route, without drift and lot.
    fn yields(&self, ratio: f64, route: usize) -> f64 {
        let away = (ratio - 0.3) / 0.3;
        let bow = self.bow * (1.0 - away * away);
        let own = route as f64 * (ROUTE + self.joint * ratio);
        0.66 + self.slope * ratio + bow + own
    }

    /// What a charged run truly makes more, on one route or on both alike \[currency\].
    pub fn gross(&self, ratio: f64, route: Option<usize>) -> f64 {
        PRICE * (self.product(ratio, route) - self.product(0.0, route))
    }

    /// What a run truly makes, on one route or on both alike \[g\].
    pub fn product(&self, ratio: f64, route: Option<usize>) -> f64 {
        let yields = match route {
            Some(route) => self.yields(ratio, route),
            None => (self.yields(ratio, 0) + self.yields(ratio, 1)) / 2.0,
        };
        yields * PRODUCT * FEED * (ASSAY + ratio * RESIDUE_ASSAY)
    }

    /// The middle ratio of the charged runs.
    pub fn typical_ratio(&self, seed: u64) -> f64 {
        let mut random = self.after_lots(seed).0;
        let mut charged = self.ratios(&mut random);
        charged.retain(|ratio| *ratio > 0.0);
        charged.sort_by(f64::total_cmp);
        (charged[(charged.len() - 1) / 2] + charged[charged.len() / 2]) / 2.0
    }

    /// The draws of a seed after those of its lots, and these: true assay and own effect of each.
    fn after_lots(&self, seed: u64) -> (Seeded, Vec<(f64, f64)>) {
        let mut random = Seeded::stream(seed, 1);
        let lots = (0..self.lots).map(|_| {
            let assay = ASSAY + U_ASSAY * random.normal();
            (assay, self.lot_sd * random.normal())
        });
        let lots = lots.collect();
        (random, lots)
    }

    /// The campaign of a seed, with this loss by handling in each charged run \[currency\].
    pub fn campaign(&self, seed: u64, handling: f64) -> InMemory {
        let (mut random, lots) = self.after_lots(seed);
        let ratios = self.ratios(&mut random);
        let mut second = shuffled((0..self.runs).map(|run| run % 2).collect(), &mut random);
        let lot_of: Vec<usize> = match self.route_on_one_lot {
            // The second route on the first lot; the first route on all others.
            true => (0..self.runs)
                .map(|run| match second[run] {
                    1 => 0,
                    _ => 1 + run % (self.lots - 1),
                })
                .collect(),
            false => (0..self.runs)
                .map(|run| run * self.lots / self.runs)
                .collect(),
        };
        if self.route_on_one_lot && self.lots == 1 {
            second.fill(0);
        }
        let noise = self.noise(&mut random);
        let residue_error = U_RESIDUE * random.normal();
        let mut runs =
            "run,lot,feed_mass,residue_mass,residue_assay,route,crop1_mass,purity\n".to_string();
        for run in 0..self.runs {
            let time = run as f64 / (self.runs - 1) as f64;
            let (assay, own) = lots[lot_of[run]];
            let ratio = ratios[run];
            let step = if 2 * run >= self.runs { self.step } else { 0.0 };
            let yields =
                self.yields(ratio, second[run]) + self.drift * time + step + own + noise[run];
            let content = FEED * (assay + ratio * (RESIDUE_ASSAY + residue_error));
            let purity = 0.991 + 0.002 * random.normal();
            let light = if self.light_crop && run == self.runs / 3 {
                0.8
            } else {
                1.0
            };
            let mass = light * yields * PRODUCT * content / purity;
            let residue = self.logged_residue.unwrap_or(RESIDUE_ASSAY);
            runs += &format!(
                "R{run:02},L{},{FEED},{:.1},{residue},{},{mass:.2},{purity:.5}\n",
                lot_of[run],
                FEED * ratio,
                ROUTES[second[run]]
            );
        }
        let logged = (0..self.lots).map(|lot| format!("L{lot},{ASSAY},{U_ASSAY}\n"));
        let logged: String = logged.collect();
        InMemory::new(&CAMPAIGN.replace("HANDLING", &format!("{:.5}", handling.max(0.0))))
            .with(LogKind::Runs, &runs)
            .with(LogKind::Lots, &format!("lot,assay,u_assay\n{logged}"))
    }

    fn ratios(&self, random: &mut Seeded) -> Vec<f64> {
        let in_turn = |ratios: &[f64], count: usize| -> Vec<f64> {
            (0..count).map(|run| ratios[run % ratios.len()]).collect()
        };
        match self.charges {
            Charges::Mixed(ratios) => shuffled(in_turn(ratios, self.runs), random),
            Charges::SecondHalf(ratios) => {
                let half = self.runs / 2;
                let mut all = vec![0.0; half];
                all.extend(shuffled(in_turn(ratios, self.runs - half), random));
                all
            }
            Charges::Climbing => (0..self.runs)
                .map(|run| {
                    let climb = 0.5 * run as f64 / (self.runs - 1) as f64;
                    (1_000.0 * (climb + 0.08 * random.normal()).max(0.0)).round() / 1_000.0
                })
                .collect(),
        }
    }

    fn noise(&self, random: &mut Seeded) -> Vec<f64> {
        let mut before = random.normal();
        (0..self.runs)
            .map(|_| {
                let own = random.normal();
                SCATTER
                    * match self.scatter {
                        Scatter::Normal => own,
                        Scatter::HeavyTails => {
                            let squares = random.chi_squared(3.0).expect("three is above zero");
                            own * (3.0 / squares).sqrt() * 0.88
                        }
                        Scatter::Wild if random.uniform() < 0.1 => 6.0 * own,
                        Scatter::Wild => own,
                        Scatter::Connected(by) => {
                            before = by * before + (1.0 - by * by).sqrt() * own;
                            before
                        }
                    }
            })
            .collect()
    }
}

fn shuffled<T>(mut values: Vec<T>, random: &mut Seeded) -> Vec<T> {
    for last in (1..values.len()).rev() {
        values.swap(last, (random.uniform() * (last + 1) as f64) as usize);
    }
    values
}

const CAMPAIGN: &str = r#"
[campaign]
title = "Bluestone with residue, invented"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"
lots = "lots.csv"

[factors.route]
kind = "choice"
baseline = "chill"
stands_for = "route"

[factors.residue_ratio]
kind = "amount"
low = 0
high = 0.6
same_within = 0.02
stands_for = "residue"

[model]
responses = ["yield"]
effects = ["route", "residue_ratio"]

[uncertainty]
feed_mass = "0.1 g"
residue_mass = "0.1 g"
crop_mass = "0.05 g"
assay = "0.004"
residue_assay = "0.006"
purity = "0.001"

[prices]
currency = "EUR"
product = "18 /kg"
labour = "60 /h"
residue_handling = "HANDLING min/run"
"#;
