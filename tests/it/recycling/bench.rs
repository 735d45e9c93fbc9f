//! What would a small bench have logged whose true gain is known?
//!
//! In: a seed and a [`Bench`]. Out: [`Invented`], the logs with every error drawn as the campaign file states it, and
//! what was truly charged.
//! This module never asks the library for a yield, an error, a molar mass or a gain.

use std::fmt::Write as _;

use residuum::campaign::LogKind;
use residuum::decide::Reference;
use residuum::seeded::Seeded;

use crate::in_memory::InMemory;

/// Product per gram of copper oxide [g/g]: CuSO4·5H2O over CuO, abridged standard atomic weights of 2021.
const PRODUCT_PER_OXIDE: f64 = 249.677 / 79.545;
/// True yield without residue, and what a gram of residue per gram of feed takes off it.
const YIELD: f64 = 0.66;
const LOST: f64 = 0.12;
/// True price of the product and of labour [currency/g, currency/min].
const PRICE: f64 = 0.018;
const LABOUR: f64 = 0.4;

/// How large each error is.
#[derive(Debug, Clone, Copy)]
pub struct Bench {
    /// What the model is told about method: `measured` or `plain`.
    pub method: &'static str,
    /// Runs on each of the lots.
    pub runs_a_lot: usize,
    /// Lots of feed.
    pub lots: usize,
    /// Relative standard uncertainty of the assay of a lot, and of each residue.
    pub assay: f64,
    pub residue_assay: f64,
    /// Standard deviation of the true yield from run to run.
    pub scatter: f64,
    /// Standard uncertainty of the purity of a run.
    pub purity: f64,
    /// Handling of residue [min/run].
    pub handling: f64,
    /// Standard uncertainty of the price of the product [currency/kg].
    pub price: f64,
    /// Coverage of the intervals.
    pub confidence: f64,
}

impl Bench {
    /// Two lots with doubtful assays, residues with more doubtful ones, one route.
    pub const SMALL: Bench = Bench {
        method: "measured",
        runs_a_lot: 9,
        lots: 2,
        assay: 0.015,
        residue_assay: 0.03,
        scatter: 0.012,
        purity: 0.003,
        handling: 1.0,
        price: 0.5,
        confidence: 0.95,
    };

    /// Few runs that are measured as badly as they scatter.
    pub const FEW: Bench = Bench {
        runs_a_lot: 3,
        purity: 0.012,
        ..Self::SMALL
    };
}

/// A campaign with its truth.
pub struct Invented {
    /// The campaign file and its logs.
    pub campaign: InMemory,
    /// Product that a gram of feed and of residue can truly give, over all runs [g/g].
    feed_content: f64,
    residue_content: f64,
    handling: f64,
}

impl Invented {
    /// True extra product of the charge that an answer is about [g].
    pub fn extra_product(&self, reference: &Reference) -> f64 {
        let with = YIELD - LOST * reference.ratio;
        let charged = self.feed_content + reference.ratio * self.residue_content;
        reference.feed_mass * (with * charged - YIELD * self.feed_content)
    }

    /// True gain of that charge [currency].
    pub fn gain(&self, reference: &Reference) -> f64 {
        PRICE * self.extra_product(reference) - LABOUR * self.handling
    }

    /// Product price at which it is truly zero [currency/g].
    pub fn price_of_no_gain(&self, reference: &Reference) -> f64 {
        LABOUR * self.handling / self.extra_product(reference)
    }
}

/// A campaign of a bench; the same seed gives the same.
pub fn campaign(bench: &Bench, seed: u64) -> Invented {
    let mut random = Seeded::stream(41, seed);
    let mut normal = |size: f64| size * random.normal();
    let mut lots = String::from("lot,assay,u_assay\n");
    let mut runs = String::from(
        "run,lot,feed_mass,residue_mass,residue_assay,u_residue_assay,crop1_mass,purity,u_purity\n",
    );
    let price = 1000.0 * PRICE + normal(bench.price);
    let [
        mut feed_sum,
        mut feed_theory,
        mut residue_sum,
        mut residue_theory,
    ] = [0.0; 4];
    for lot in 0..bench.lots {
        let assay = 0.84 - 0.05 * lot as f64;
        let name = char::from(b'A' + lot as u8);
        let error = bench.assay * assay;
        writeln!(lots, "{name},{},{error}", assay + normal(error)).unwrap();
        for run in 0..bench.runs_a_lot {
            let feed = 480.0 + 7.0 * run as f64;
            let ratio = [0.0, 0.3, 0.5][run % 3];
            let residue = ratio * feed;
            let residue_assay = 0.5 + 0.01 * run as f64;
            let residue_error = bench.residue_assay * residue_assay;
            let charged = PRODUCT_PER_OXIDE * (feed * assay + residue * residue_assay);
            let purity = 0.98;
            let crop = (YIELD - LOST * ratio + normal(bench.scatter)) * charged / purity;
            feed_sum += feed;
            feed_theory += PRODUCT_PER_OXIDE * feed * assay;
            residue_sum += residue;
            residue_theory += PRODUCT_PER_OXIDE * residue * residue_assay;
            let logged = if ratio > 0.0 {
                format!(
                    "{residue},{},{residue_error}",
                    residue_assay + normal(residue_error)
                )
            } else {
                "0,,".to_string()
            };
            let found = purity + normal(bench.purity);
            let error = bench.purity;
            writeln!(
                runs,
                "{name}{run},{name},{feed},{logged},{crop},{found},{error}"
            )
            .unwrap();
        }
    }
    Invented {
        campaign: InMemory::new(&campaign_file(bench, price))
            .with(LogKind::Runs, &runs)
            .with(LogKind::Lots, &lots),
        feed_content: feed_theory / feed_sum,
        residue_content: residue_theory / residue_sum,
        handling: bench.handling,
    }
}

fn campaign_file(bench: &Bench, price: f64) -> String {
    let Bench {
        method,
        handling,
        price: error,
        confidence,
        ..
    } = bench;
    let doubt = if *error > 0.0 {
        format!(" ± {error}")
    } else {
        String::new()
    };
    format!(
        r#"
[campaign]
title = "Invented"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"
lots = "lots.csv"

[factors.residue_ratio]
kind = "amount"
low = 0
high = 0.6
stands_for = "residue"

[model]
responses = ["yield"]
effects = ["residue_ratio"]
method = "{method}"
confidence = {confidence}

[prices]
product = "{price}{doubt} /kg"
labour = "24 /h"
residue_handling = "{handling} min/run"
"#
    )
}
