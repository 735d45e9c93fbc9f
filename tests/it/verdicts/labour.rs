//! Is an answer about residue wrong as seldom as it claims where runs log their labour?
//!
//! In: campaigns of a known truth with a column of labour, valued in each way. Out: tests of what is settled.
//! This module never takes a truth from the analysis.

use residuum::answers::{Question, Status};
use residuum::campaign::LogKind;
use residuum::seeded::Seeded;

use super::logs::{CLEAN, Charges, FEED, ROUTES, Truth};
use super::{
    Count, FIRST, PILOTS, WRONG, answer, judged, of_campaign, recycling, size, upper_limit,
};
use crate::in_memory::InMemory;

/// Minutes of a run without residue on the first route, and what the second takes more.
const MINUTES: f64 = 20.0;
const SECOND: f64 = 5.0;
/// Scatter of logged labour \[min\].
const SCATTER: f64 = 1.0;
/// Price of feed [currency/g]; labour costs one a minute.
const FEED_PRICE: f64 = 0.004;
/// What charged runs log more where the handling stands beside the log \[min\]: they are quicker, so that each way has some.
const QUICKER: f64 = -1.4;
/// Handling that is stated where the log holds it: it must not count.
const STATED: f64 = 7.0;

/// How labour is logged, and what is valued.
#[derive(Debug, Clone, Copy)]
struct Logged {
    truth: Truth,
    value: &'static str,
    handling: &'static str,
    /// What the last run takes less than the first \[min\].
    learning: f64,
}

const PRODUCT: Logged = Logged {
    truth: CLEAN,
    value: "product",
    handling: "extra",
    learning: 0.0,
};

impl Logged {
    /// What a charged run truly brings before its labour \[currency\].
    fn gross(&self, ratio: f64) -> f64 {
        let [with, without] = [ratio, 0.0].map(|ratio| self.truth.product(ratio, None));
        match self.value {
            "feed" => FEED_PRICE * FEED * (1.0 - without / with),
            "runs" => (FEED_PRICE * FEED + MINUTES + SECOND / 2.0) * (with / without - 1.0),
            _ => self.truth.gross(ratio, None),
        }
    }

    /// The campaign of a seed in which a charged run truly gains so much.
    fn campaign(&self, seed: u64, ratio: f64, gain: f64) -> InMemory {
        let all = self.gross(ratio) - gain;
        let (extra, handling) = match self.handling {
            "logged" => (all, STATED),
            _ => (QUICKER, all - QUICKER),
        };
        let campaign = self.truth.campaign(seed, handling).edited(|text| {
            text.replace("[prices]", "[prices]\nfeed = \"4 /kg\"")
                + &format!(
                    "\n[recycling]\nvalue = \"{}\"\nhandling = \"{}\"\n",
                    self.value, self.handling
                )
        });
        let mut random = Seeded::stream(seed, 2);
        let last = (self.truth.runs - 1) as f64;
        with_labour(campaign, |run, charged, route| {
            let second = if route == ROUTES[1] { SECOND } else { 0.0 };
            let learnt = self.learning * run as f64 / last;
            let minutes = MINUTES + second + extra * charged / ratio - learnt;
            format!("{:.2}", minutes + SCATTER * random.normal())
        })
    }

    /// Asks campaigns whose true gain is so much.
    fn counted(&self, gain: f64) -> Count {
        let mut all = Count::default();
        for seed in FIRST..FIRST + size() {
            let ratio = self.truth.typical_ratio(seed);
            let analysis = of_campaign(&self.campaign(seed, ratio, gain));
            all = all.and(judged(&analysis, ratio, gain));
        }
        println!("{self:?} at {gain:.2}: {all:?}");
        all
    }

    fn is_seldom_wrong(&self) {
        let count = self.counted(0.0);
        let most = match size() {
            super::SMALL => count.wrong as f64 / count.campaigns as f64,
            _ => upper_limit(count.wrong, count.campaigns),
        };
        assert!(most <= WRONG[0], "{count:?}");
    }
}

/// A campaign whose runs log labour, by the position of the run, its residue per feed and its route.
fn with_labour(
    campaign: InMemory,
    mut minutes: impl FnMut(usize, f64, &str) -> String,
) -> InMemory {
    let lines = campaign.text(LogKind::Runs).to_string();
    let lines = lines.lines().enumerate().map(|(line, text)| {
        let cells: Vec<&str> = text.split(',').collect();
        let labour = match line {
            0 => "labour".to_string(),
            _ => {
                let residue: f64 = cells[3].parse().expect("a mass");
                minutes(line - 1, residue / FEED, cells[5])
            }
        };
        format!("{text},{labour}\n")
    });
    let lines: String = lines.collect();
    campaign.with(LogKind::Runs, &lines)
}

#[test]
fn seldom_wrong_valued_as_product_where_labour_is_logged() {
    PRODUCT.is_seldom_wrong();
}

#[test]
fn seldom_wrong_valued_as_feed_where_labour_is_logged() {
    Logged {
        value: "feed",
        ..PRODUCT
    }
    .is_seldom_wrong();
}

#[test]
fn seldom_wrong_valued_as_runs_where_labour_is_logged() {
    Logged {
        value: "runs",
        ..PRODUCT
    }
    .is_seldom_wrong();
}

#[test]
fn seldom_wrong_where_the_labour_log_holds_the_handling() {
    for value in ["product", "feed", "runs"] {
        Logged {
            value,
            handling: "logged",
            ..PRODUCT
        }
        .is_seldom_wrong();
    }
}

#[test]
fn seldom_wrong_where_ratio_climbs_while_the_hands_grow_quicker() {
    let truth = Truth {
        runs: 20,
        charges: Charges::Climbing,
        ..CLEAN
    };
    Logged {
        truth,
        learning: 6.0,
        ..PRODUCT
    }
    .is_seldom_wrong();
}

#[test]
fn a_large_gain_is_settled_all_the_same() {
    let mut errors: Vec<f64> = (1..=PILOTS)
        .map(|seed| {
            let ratio = CLEAN.typical_ratio(seed);
            let analysis = of_campaign(&PRODUCT.campaign(seed, ratio, 0.0));
            let money = recycling(&analysis).money.as_ref();
            money.expect("prices are stated").gain.uncertainty
        })
        .collect();
    errors.sort_by(f64::total_cmp);
    // At four standard errors an interval that reaches two holds zero in one campaign of forty.
    let count = PRODUCT.counted(4.0 * errors[errors.len() / 2]);
    assert!(2 * count.settled > count.campaigns, "{count:?}");
    assert_eq!(count.wrong, 0, "{count:?}");
}

#[test]
fn labour_that_only_charged_runs_log_is_no_settled_gain() {
    let unstated = |text: &str| -> String {
        let lines = text.lines();
        let lines = lines.filter(|line| !line.starts_with("residue_handling"));
        lines.map(|line| format!("{line}\n")).collect()
    };
    let campaign = CLEAN.campaign(FIRST, 1.0).edited(|text| unstated(text));
    let of = |labour: &dyn Fn(f64) -> String| {
        let logged = with_labour(campaign.clone(), |_, charged, _| labour(charged));
        let analysis = of_campaign(&logged);
        answer(&analysis, Question::Residue).status
    };
    // Labour that nobody logs is not part of the gain, and is named as such.
    assert_eq!(of(&|_| String::new()), Status::Settled);
    let of_charged = |charged: f64| if charged > 0.0 { "60" } else { "" };
    assert_eq!(
        of(&|charged| of_charged(charged).into()),
        Status::PartlyOpen
    );
    // Sixty minutes in each line are no log, whatever they seem to say of residue.
    assert_eq!(of(&|_| "60".into()), Status::PartlyOpen);
}
