//! Is the verdict on residue fed forward right as often as it claims?
//!
//! In: seeded campaigns of the bluestone simulator, whose true gain is known (`truth.rs`). Out: tests of verdicts.
//! This module never takes a true gain from the analysis.

mod truth;

use residuum::campaign::LogKind;
use residuum::decide::{Recycling, RecyclingVerdict};
use residuum::pipeline;

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
