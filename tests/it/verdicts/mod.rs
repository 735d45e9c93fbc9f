//! Is an answer that is *settled* wrong as seldom as it claims, whatever is wrong with the log?
//!
//! In: campaigns of a known truth (`logs.rs`), from seeds fixed beforehand. Out: tests of what is settled.
//! This module never takes a truth from the analysis.
//!
//! Each row is asked at a true gain of nothing, of one standard error to either side and of three; what counts is the status of
//! question 5, beside the verdict that its interval alone would give. At full size with `RESIDUUM_SIMULATIONS=full`.

mod logs;

use residuum::answers::{Answer, Question, Status};
use residuum::decide::{Claim, Recycling, RecyclingVerdict};
use residuum::pipeline::{self, Analysis, Asked, Extent};

use logs::{CLEAN, Charges, Scatter, Truth};

/// Campaigns of each row and true gain.
fn size() -> u64 {
    match std::env::var("RESIDUUM_SIMULATIONS").as_deref() {
        Ok("full") => 500,
        _ => 60,
    }
}

const SEED: u64 = 1;
/// First seed of the campaigns, fixed beforehand.
const FIRST: u64 = 4_001;
/// Campaigns that tell how well a gain is known, beside those that are counted.
const PILOTS: u64 = 6;

fn analysed(truth: &Truth, seed: u64, handling: f64) -> Analysis {
    let worked = truth.campaign(seed, handling).work_out();
    let asked = Asked {
        extent: Extent::WithoutCharts,
        ..Asked::usual(SEED)
    };
    pipeline::analyse(worked.campaign, worked.normalised, asked)
        .unwrap_or_else(|faults| panic!("{faults}"))
}

fn recycling(analysis: &Analysis) -> &Recycling {
    let found = analysis.findings.recycling.as_ref();
    found.unwrap_or_else(|why| panic!("{why:?}"))
}

fn answer(analysis: &Analysis, question: Question) -> &Answer {
    let mut answers = analysis.answers.iter();
    let found = answers.find(|answer| answer.question == question);
    found.expect("all questions are answered")
}

/// What many campaigns of one truth and one true gain say.
#[derive(Debug, Default, Clone, Copy)]
pub struct Count {
    campaigns: u64,
    /// Firm by the interval alone, and wrong among these.
    shown: u64,
    shown_wrong: u64,
    /// Settled, and wrong among these.
    settled: u64,
    wrong: u64,
    /// Intervals that hold the true gain.
    held: u64,
}

impl Count {
    fn and(self, other: Count) -> Count {
        Count {
            campaigns: self.campaigns + other.campaigns,
            shown: self.shown + other.shown,
            shown_wrong: self.shown_wrong + other.shown_wrong,
            settled: self.settled + other.settled,
            wrong: self.wrong + other.wrong,
            held: self.held + other.held,
        }
    }

    fn wrong_at_most(self) -> f64 {
        upper_limit(self.wrong, self.campaigns)
    }
}

/// Upper 99 % limit of a share, one-sided: the share at which so few or fewer would be seen in one case of a hundred.
///
/// Source: Clopper and Pearson, Biometrika 26 (1934), 404-413; by bisection of the binomial sum.
pub fn upper_limit(seen: u64, of: u64) -> f64 {
    let so_few = |share: f64| -> f64 {
        let mut term = (1.0 - share).powf(of as f64);
        let mut sum = term;
        for k in 0..seen {
            term *= (of - k) as f64 / (k + 1) as f64 * share / (1.0 - share);
            sum += term;
        }
        sum
    };
    let (mut low, mut high) = (seen as f64 / of as f64, 1.0);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if so_few(middle) > 0.01 {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

/// The standard error of the gain, in the middle of a few campaigns.
fn error_of_gain(truth: &Truth) -> f64 {
    let mut errors: Vec<f64> = (0..PILOTS)
        .map(|seed| {
            let analysis = analysed(truth, seed + 1, 1.0);
            let money = recycling(&analysis).money.as_ref();
            money.expect("prices are stated").gain.uncertainty
        })
        .collect();
    errors.sort_by(f64::total_cmp);
    errors[errors.len() / 2]
}

/// Asks campaigns whose true gain is so many standard errors.
fn counted(truth: &Truth, standard_errors: f64) -> Count {
    let error = error_of_gain(truth);
    let count = |seeds: std::ops::Range<u64>| {
        let mut all = Count::default();
        for seed in seeds {
            all = all.and(one(truth, seed, standard_errors * error));
        }
        all
    };
    let middle = FIRST + size() / 2;
    std::thread::scope(|scope| {
        let first = scope.spawn(|| count(FIRST..middle));
        let second = count(middle..FIRST + size());
        first.join().expect("the first half ends").and(second)
    })
}

fn one(truth: &Truth, seed: u64, gain: f64) -> Count {
    // The ratio of the typical charge is that of the plan; a climbing one is asked for first.
    let ratio = truth.typical_ratio(seed);
    let handling = truth.gross(ratio, None) - gain;
    let analysis = analysed(truth, seed, handling);
    let found = recycling(&analysis);
    let asked = found.reference.ratio;
    assert!((asked - ratio).abs() < 1e-3, "{ratio} {asked}");
    let money = found.money.as_ref().expect("prices are stated");
    let wrong = match money.verdict {
        RecyclingVerdict::Pays => gain <= 0.0,
        RecyclingVerdict::DoesNotPay => gain >= 0.0,
        _ => false,
    };
    let shown = matches!(
        money.verdict,
        RecyclingVerdict::Pays | RecyclingVerdict::DoesNotPay
    );
    if shown && std::env::var("WHY").is_ok() {
        println!("  why {:?}", analysis.firmness.shaken(Claim::Residue));
        for held in &analysis.firmness.of(Claim::Residue).expect("shown").held {
            if let Some(figure) = held.figure {
                println!(
                    "  fig {:?} {:.4} {:.4} {:?}",
                    held.how,
                    figure - gain,
                    money.gain.uncertainty,
                    held.outcome
                );
            }
        }
    }
    let settled = answer(&analysis, Question::Residue).status == Status::Settled;
    Count {
        campaigns: 1,
        shown: shown.into(),
        shown_wrong: (shown && wrong).into(),
        settled: settled.into(),
        wrong: (settled && wrong).into(),
        held: (money.gain.low <= gain && gain <= money.gain.high).into(),
    }
}

/// The rows that are looked at.
pub const ROWS: [(&str, Truth); 12] = [
    ("clean", CLEAN),
    (
        "ratio climbs while the process drifts 3 points",
        Truth {
            runs: 20,
            charges: Charges::Climbing,
            drift: 0.03,
            ..CLEAN
        },
    ),
    (
        "charged in the second half, a step of 2 points between",
        Truth {
            charges: Charges::SecondHalf(&[0.2, 0.35, 0.5]),
            step: 0.02,
            ..CLEAN
        },
    ),
    (
        "bowed by 3.75 points",
        Truth {
            charges: Charges::Mixed(&[0.0, 0.15, 0.3, 0.45, 0.6]),
            bow: 0.0375,
            ..CLEAN
        },
    ),
    (
        "bowed, ratios 0, 0.15, 0.5",
        Truth {
            charges: Charges::Mixed(&[0.0, 0.15, 0.5]),
            bow: 0.0375,
            ..CLEAN
        },
    ),
    (
        "joint effect missing",
        Truth {
            joint: 0.12,
            ..CLEAN
        },
    ),
    (
        "heavy tails",
        Truth {
            scatter: Scatter::HeavyTails,
            ..CLEAN
        },
    ),
    (
        "one run in ten wild",
        Truth {
            scatter: Scatter::Wild,
            ..CLEAN
        },
    ),
    (
        "neighbours connected by 0.7",
        Truth {
            scatter: Scatter::Connected(0.7),
            ..CLEAN
        },
    ),
    (
        "two lots that differ by 2 points",
        Truth {
            lots: 2,
            lot_sd: 0.02,
            ..CLEAN
        },
    ),
    (
        "three lots that differ by 2 points",
        Truth {
            lots: 3,
            lot_sd: 0.02,
            ..CLEAN
        },
    ),
    ("two lots alike", Truth { lots: 2, ..CLEAN }),
];

#[test]
fn what_is_settled_is_wrong_as_seldom_as_it_claims() {
    let only = std::env::var("ROW").unwrap_or_default();
    for (name, truth) in ROWS {
        if !name.contains(&only) {
            continue;
        }
        for standard_errors in [0.0, 1.0, -1.0, 3.0] {
            let started = std::time::Instant::now();
            let found = counted(&truth, standard_errors);
            println!(
                "{name}, {standard_errors:+} SE: {found:?}, wrong at most {:.3}, {:?}",
                found.wrong_at_most(),
                started.elapsed()
            );
        }
    }
}
