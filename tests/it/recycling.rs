//! Is the verdict on residue fed forward right as often as it claims?
//!
//! In: seeded campaigns of the bluestone simulator, whose true gain is known (`truth.rs`). Out: tests of verdicts.
//! This module never takes a true gain from the analysis.

mod settling;
mod truth;

use residuum::campaign::LogKind;
use residuum::decide::{Recycling, RecyclingVerdict, Settling};
use residuum::distributions::coverage_factor;
use residuum::pipeline;
use residuum::seeded::Seeded;

use crate::demo::bluestone;
use crate::in_memory::InMemory;
use truth::Prices;

/// Campaigns simulated.
const CAMPAIGNS: u64 = 500;

/// What one simulated campaign says at some prices.
struct Said {
    answer: Recycling,
    /// Oxidant excess of each run of the model [%].
    excesses: Vec<f64>,
}

impl Said {
    fn verdict(&self) -> RecyclingVerdict {
        self.answer
            .money
            .as_ref()
            .expect("prices are stated")
            .verdict
    }
}

fn campaign(seed: u64) -> InMemory {
    let files = bluestone::files(seed);
    let text = |name: &str| {
        let file = files.iter().find(|file| file.path == name);
        file.expect("the simulator writes it").text.clone()
    };
    let kinds = [
        LogKind::Runs,
        LogKind::Lots,
        LogKind::Crops,
        LogKind::Titres,
        LogKind::Titrants,
        LogKind::Residues,
    ];
    kinds
        .iter()
        .fold(InMemory::new(&text("campaign.toml")), |campaign, kind| {
            campaign.with(*kind, &text(&format!("{}.csv", kind.key())))
        })
        .edited(|text| text.replace("readings = ", "# readings = "))
}

fn at(campaign: &InMemory, prices: Prices) -> Said {
    let asked = campaign.clone().edited(|text| {
        let text = text.replace("\"18 /kg\"", &format!("\"{} /kg\"", prices.product));
        text.replace("\"3 min/run\"", &format!("\"{} min/run\"", prices.handling))
    });
    let worked = asked.work_out();
    let runs = worked.runs();
    let answer = pipeline::recycling(&worked.campaign, runs, 1)
        .unwrap_or_else(|faults| panic!("{faults}"))
        .unwrap_or_else(|why| panic!("{why:?}"));
    let excesses = runs
        .results
        .iter()
        .filter(|run| run.set_aside.is_none() && run.contained.is_ok())
        .filter_map(|run| run.oxidant_excess)
        .collect();
    Said { answer, excesses }
}

/// What many campaigns say.
#[derive(Debug, Default, Clone, Copy)]
struct Count {
    campaigns: usize,
    firm: usize,
    wrong: usize,
    held: usize,
}

/// Asks every campaign at prices that may depend on it; two halves at once, counted in the order of their seeds.
fn count(price: impl Fn(&InMemory) -> Prices + Sync) -> Count {
    let half = |seeds: std::ops::RangeInclusive<u64>| {
        let mut found = Count::default();
        for seed in seeds {
            let campaign = campaign(seed);
            let prices = price(&campaign);
            let said = at(&campaign, prices);
            let truth = truth::gain(&said.answer, &said.excesses, prices);
            let gain = said.answer.money.as_ref().expect("prices are stated").gain;
            found.campaigns += 1;
            found.held += usize::from(gain.low <= truth && truth <= gain.high);
            match said.verdict() {
                RecyclingVerdict::Pays => {
                    found.firm += 1;
                    found.wrong += usize::from(truth < 0.0);
                }
                RecyclingVerdict::DoesNotPay => {
                    found.firm += 1;
                    found.wrong += usize::from(truth > 0.0);
                }
                _ => {}
            }
        }
        found
    };
    std::thread::scope(|scope| {
        let first = scope.spawn(|| half(1..=CAMPAIGNS / 2));
        let second = half(CAMPAIGNS / 2 + 1..=CAMPAIGNS);
        let first = first.join().expect("the first half ends");
        Count {
            campaigns: first.campaigns + second.campaigns,
            firm: first.firm + second.firm,
            wrong: first.wrong + second.wrong,
            held: first.held + second.held,
        }
    })
}

/// The price of the product at which a campaign truly gains so many standard errors.
fn price_of(campaign: &InMemory, standard_errors: f64) -> Prices {
    let usual = Prices {
        product: 18.0,
        handling: 3.0,
    };
    let said = at(campaign, usual);
    let zero = truth::price_of_no_gain(&said.answer, &said.excesses, usual.handling);
    // The error of the gain grows with the price too, so that the price is found in a few steps.
    let kilograms = truth::gain_per_kilogram(&said.answer, &said.excesses);
    let per_price = said.answer.extra_product.uncertainty / 1000.0;
    let mut product = zero;
    for _ in 0..STEPS {
        product = zero + standard_errors * per_price * product / kilograms;
    }
    Prices { product, ..usual }
}

/// Steps in which the price is found to far more digits than matter.
const STEPS: usize = 30;

#[test]
fn a_gain_that_is_there_is_hardly_ever_called_the_other_way_round() {
    // At one standard error from zero a wrong firm verdict is the most likely that the promise covers.
    for standard_errors in [1.0, -1.0] {
        let found = count(|campaign| price_of(campaign, standard_errors));
        println!("{standard_errors} standard errors: {found:?}");
        let wrong = found.wrong as f64 / found.campaigns as f64;
        assert!(wrong <= 0.035, "{wrong}");
        // A verdict that is never firm would never be wrong either: some are firm, and intervals hold the truth.
        assert!(
            found.firm > 0 && found.held * 100 >= found.campaigns * 92,
            "{found:?}"
        );
    }
}

#[test]
fn verdicts_agree_with_the_truth_at_three_settings_of_price_and_handling() {
    let campaign = InMemory::of_folder(&crate::demo::committed("bluestone"))
        .edited(|text| text.replace("readings = ", "# readings = "));
    let cases = [
        (18.0, 3.0, RecyclingVerdict::Pays),
        (18.0, 12.0, RecyclingVerdict::DoesNotPay),
        (11.0, 3.0, RecyclingVerdict::NotSettled),
    ];
    for (product, handling, expected) in cases {
        let prices = Prices { product, handling };
        let said = at(&campaign, prices);
        let truth = truth::gain(&said.answer, &said.excesses, prices);
        let gain = said.answer.money.as_ref().expect("prices are stated").gain;
        println!(
            "{product}/kg, {handling} min: {:?}, {gain:?}, truly {truth:.3}",
            said.verdict()
        );
        assert_eq!(said.verdict(), expected);
        assert!(gain.low <= truth && truth <= gain.high);
        match expected {
            RecyclingVerdict::Pays => assert!(truth > 0.0),
            RecyclingVerdict::DoesNotPay => assert!(truth < 0.0),
            // What cannot be settled is a true gain within two standard errors of zero.
            _ => assert!(truth.abs() < 2.0 * gain.uncertainty),
        }
    }
}

/// Draws of further runs.
const REPEATS: u64 = 1_000;

#[test]
fn as_many_runs_as_asked_for_settle_it_in_four_cases_of_five() {
    let campaign = InMemory::of_folder(&crate::demo::committed("bluestone"))
        .edited(|text| text.replace("readings = ", "# readings = "));
    let prices = Prices {
        product: 12.2,
        handling: 3.0,
    };
    let said = at(&campaign, prices);
    let money = said.answer.money.as_ref().expect("prices are stated");
    let Some(Settling::Runs {
        runs,
        settings,
        chance,
        ..
    }) = &money.settling
    else {
        panic!("not open, or not to be settled: {:?}", money.settling);
    };
    let worked = campaign.work_out();
    let data = settling::made(worked.runs());
    let fit = |data: &residuum::regression::FitData| {
        let valid = settling::model()
            .check(data)
            .unwrap_or_else(|faults| panic!("{faults}"));
        valid.fit(data).unwrap_or_else(|faults| panic!("{faults}"))
    };
    let old = fit(&data);
    let per_gram = prices.product / 1000.0;
    let before = old
        .weighted_sum(&said.answer.contrast)
        .expect("the contrast is known");
    // What the gain holds beside the worth of the product stays as it is, and so does the rest of its variance.
    let rest = money.gain.value - per_gram * before.value;
    let worth = (per_gram * before.standard_error.expect("an error")).powi(2);
    let other = (money.gain.uncertainty.powi(2) - worth).max(0.0);
    let settled = |repeat: u64| {
        let mut random = Seeded::stream(11, repeat);
        let joined = settling::joined(&data, &old, settings, &mut random);
        let found = fit(&joined)
            .weighted_sum(&said.answer.contrast)
            .expect("the contrast is known");
        let error = ((per_gram * found.standard_error.expect("an error")).powi(2) + other).sqrt();
        let t = coverage_factor(0.95, found.degrees_of_freedom).expect("a factor");
        (per_gram * found.value + rest).abs() > t * error
    };
    let count = (0..REPEATS).filter(|repeat| settled(*repeat)).count();
    let share = count as f64 / REPEATS as f64;
    println!("{runs} runs asked for, foretold {chance:.3}, settled {share:.3}");
    assert!(share >= 0.75, "{share}");
    // Asking for far more runs than needed would be no help either; three standard errors above what was foretold.
    assert!(share <= chance + 0.04 + 0.05, "{share}");
}

#[test]
fn a_true_gain_of_zero_is_called_firm_about_one_time_in_twenty() {
    let found = count(|campaign| {
        let usual = Prices {
            product: 18.0,
            handling: 3.0,
        };
        let said = at(campaign, usual);
        Prices {
            product: truth::price_of_no_gain(&said.answer, &said.excesses, usual.handling),
            ..usual
        }
    });
    println!("no gain: {found:?}");
    let share = found.firm as f64 / found.campaigns as f64;
    assert!((0.03..=0.075).contains(&share), "{share}");
}
