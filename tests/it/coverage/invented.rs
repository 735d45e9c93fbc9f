//! What would a bench have logged whose truth is known?
//!
//! In: a seed, the number of a campaign and a [`Bench`], which says what is uncertain. Out: [`Invented`], the logs with
//! every error drawn from the distribution that the campaign file states for it, and the true yields.
//! This module never asks the library for a yield, an error or a molar mass.

use std::fmt::Write as _;

use rand_chacha::ChaCha12Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use residuum::campaign::LogKind;

use crate::in_memory::InMemory;

/// g/mol, from the abridged standard atomic weights of 2021; their errors are a thousandth of the others.
const BLUESTONE: f64 = 249.677;
const COPPER_OXIDE: f64 = 79.545;
const IODATE: f64 = 213.99977;

/// How large each error is, standard deviation or half-width.
#[derive(Clone, Copy)]
pub struct Bench {
    /// Lots of feed.
    pub lots: usize,
    /// Runs on each lot.
    pub runs_a_lot: usize,
    /// Standard deviation of the assay of a lot [mass fraction].
    pub assay: f64,
    /// Standard deviation of the bag from charge to charge [mass fraction].
    pub sampling: f64,
    /// Relative standard deviation of one titration; the campaign file does not state it.
    pub scatter: f64,
    /// Half-width of the triangular error of the feed mass [g].
    pub feed_mass: f64,
    /// Half-width of the rectangular error of the crop mass [g].
    pub crop_mass: f64,
}

impl Bench {
    /// A bench where assay, sampling, titration and weighing all count and none alone.
    pub const ORDINARY: Bench = Bench {
        lots: 3,
        runs_a_lot: 4,
        assay: 0.004,
        sampling: 0.0024,
        scatter: 0.003,
        feed_mass: 0.3,
        crop_mass: 0.5,
    };

    /// Two runs on one lot where titrations scatter more than all else together.
    pub const FEW_REPLICATES: Bench = Bench {
        lots: 1,
        runs_a_lot: 2,
        assay: 0.0004,
        sampling: 0.0002,
        scatter: 0.006,
        feed_mass: 0.03,
        crop_mass: 0.05,
    };
}

/// A campaign with its truth.
pub struct Invented {
    /// The campaign file and its logs.
    pub campaign: InMemory,
    /// The true contained yield of each run, in the order of the log.
    pub yields: Vec<f64>,
}

/// Name of a run in the logs, counted from 0.
pub fn run_name(run: usize) -> String {
    format!("R{run:02}")
}

/// One stream of draws.
pub struct Chance(ChaCha12Rng);

impl Chance {
    /// The stream with this number.
    pub fn stream(seed: u64, number: u64) -> Self {
        let mut generator = ChaCha12Rng::seed_from_u64(seed);
        generator.set_stream(number);
        Self(generator)
    }

    /// Uniform between 0 and 1, never one of them: the middle of one of 2⁵³ equal steps.
    pub fn uniform(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// Normal with mean zero, by Box and Muller.
    pub fn normal(&mut self, standard_deviation: f64) -> f64 {
        let radius = (-2.0 * self.uniform().ln()).sqrt();
        standard_deviation * radius * (std::f64::consts::TAU * self.uniform()).cos()
    }

    fn rectangular(&mut self, half_width: f64) -> f64 {
        half_width * (2.0 * self.uniform() - 1.0)
    }

    pub fn triangular(&mut self, half_width: f64) -> f64 {
        half_width * (self.uniform() + self.uniform() - 1.0)
    }
}

/// Burette, blank, balance and standard are the same on every bench.
const BURETTE: f64 = 0.05;
const BLANK: f64 = 0.01;
const SAMPLE_MASS: f64 = 0.0002;
const STANDARD_TITRE: f64 = 0.03;
const STANDARD_PURITY: f64 = 0.0002;

fn campaign_file(bench: &Bench) -> String {
    let Bench {
        sampling,
        feed_mass,
        crop_mass,
        ..
    } = bench;
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
crops = "crops.csv"
titres = "titres.csv"
titrants = "titrants.csv"
blanks = "blanks.csv"

[titration]
analyte = "CuSO4·5H2O"
titrant = "S"
ratio = 1.0

[uncertainty]
feed_mass = "±{feed_mass} g triangular"
crop_mass = "±{crop_mass} g rectangular"
sampling = "{sampling}"
titre = "{STANDARD_TITRE} mL"
blank = "{BLANK} mL"
burette = "±{BURETTE} mL triangular"
sample_mass = "{SAMPLE_MASS} g"
standard_mass = "{SAMPLE_MASS} g"
shared = ["burette"]
"#
    )
}

/// A campaign of a bench; the same seed and number give the same.
pub fn campaign(bench: &Bench, seed: u64, number: u64) -> Invented {
    let mut chance = Chance::stream(seed, number);
    let burette = chance.triangular(BURETTE);
    let strength = 0.1 + chance.normal(0.0005);
    let titrants = titrants(&mut chance, strength, burette);
    let mut lots = String::from("lot,assay,u_assay\n");
    let mut runs = String::from("run,date,lot,feed_mass\n");
    let mut crops = String::from("run,crop,mass\n");
    let mut titres = String::from("run,crop,sample_mass,titre,blank_of\n");
    let mut blanks = String::from("blank,titre\n");
    let mut yields = Vec::new();
    for lot in 0..bench.lots {
        let assay = 0.78 + 0.04 * chance.uniform();
        let stated = assay + chance.normal(bench.assay);
        let name = char::from(b'A' + lot as u8);
        writeln!(lots, "{name},{stated},{}", bench.assay).unwrap();
        for _ in 0..bench.runs_a_lot {
            let run = run_name(yields.len());
            let feed = 95.0 + 10.0 * chance.uniform();
            let charged = assay + chance.normal(bench.sampling);
            let theory = feed * charged * BLUESTONE / COPPER_OXIDE;
            let true_yield = 0.6 + 0.3 * chance.uniform();
            let purity = 0.96 + 0.03 * chance.uniform();
            let crop = true_yield * theory / purity;
            yields.push(true_yield);
            let day = yields.len();
            let weighed = feed + chance.triangular(bench.feed_mass);
            writeln!(runs, "{run},2026-02-{day:02},{name},{weighed}").unwrap();
            let weighed = crop + chance.rectangular(bench.crop_mass);
            writeln!(crops, "{run},1,{weighed}").unwrap();
            // One blank for both titres of a sample.
            let blank = 0.05;
            let found_blank = blank + chance.normal(BLANK);
            writeln!(blanks, "{run},{found_blank}").unwrap();
            for _ in 0..2 {
                let sample = 1.0 + 0.05 * chance.uniform();
                let volume = 1000.0 * sample * purity / BLUESTONE / strength;
                let read = volume * (1.0 + chance.normal(bench.scatter)) + blank - burette;
                let weighed = sample + chance.normal(SAMPLE_MASS);
                writeln!(titres, "{run},1,{weighed},{read},{run}").unwrap();
            }
        }
    }
    let campaign = InMemory::new(&campaign_file(bench))
        .with(LogKind::Runs, &runs)
        .with(LogKind::Lots, &lots)
        .with(LogKind::Crops, &crops)
        .with(LogKind::Titres, &titres)
        .with(LogKind::Titrants, &titrants)
        .with(LogKind::Blanks, &blanks);
    Invented { campaign, yields }
}

/// Three standardisations of one solution from one bottle of standard.
fn titrants(chance: &mut Chance, strength: f64, burette: f64) -> String {
    const STATED_PURITY: f64 = 0.9994;
    let purity = STATED_PURITY + chance.normal(STANDARD_PURITY);
    let mut titrants = String::from(
        "titrant,standard,standard_mass,standard_purity,u_standard_purity,standard_ratio,titre,blank,aliquot\n",
    );
    for _ in 0..3 {
        let mass = 0.71 + 0.02 * chance.uniform();
        let volume = 1000.0 * 6.0 * 0.2 * mass * purity / IODATE / strength;
        let blank = 0.05;
        let read = volume + chance.normal(STANDARD_TITRE) + blank - burette;
        let found_blank = blank + chance.normal(BLANK);
        let weighed = mass + chance.normal(SAMPLE_MASS);
        writeln!(
            titrants,
            "S,KIO3,{weighed},{STATED_PURITY},{STANDARD_PURITY},6,{read},{found_blank},0.2"
        )
        .unwrap();
    }
    titrants
}
