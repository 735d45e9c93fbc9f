//! Whether to make the product or to buy it.
//!
//! In: runs with their costs, and what bought product costs with its delivery. Out: [`MakeOrBuy`].
//! This module never counts product that misses the specification as made to it.
//!
//! A gram costs `R = Σ cost / Σ grams` over the runs. How runs differ in masses, labour and yield is in its ± by leaving out each
//! run in turn: `u² = (n − 1)/n Σ (R₋ᵢ − mean)²`, with `n − 1` degrees of freedom; prices and assays, which all runs share, are
//! in it by propagation. Errors of single runs are in both, so that the ± is rather too wide.
//!
//! # Source
//! Tukey, Ann. Math. Statist. 29 (1958) 614 (leaving out one at a time; from memory).

use super::of_run::RunCost;
use super::prices::PriceBook;
use super::reasons::CostKind;
use crate::distributions::mean;
use crate::measured::{Distribution, Measured, Sources};

/// Grams in a kilogram, and minutes in an hour.
const PER_KILOGRAM: f64 = 1000.0;
const PER_HOUR: f64 = 60.0;

/// What to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    /// Making costs less.
    Make,
    /// Buying costs less.
    Buy,
    /// Which costs less is not known.
    Open,
    /// Making seems to cost less, and something that it takes is not counted.
    NotAllCounted,
}

/// The cost of a gram made to specification, held against buying it.
#[derive(Debug, Clone)]
pub struct Made {
    /// The cost [currency/g].
    pub per_gram: Measured,
    /// How much more that is than the bought price [currency/g].
    pub dearer: Measured,
    /// Half the width of its interval; `None` where one run tells nothing of how runs differ [currency/g].
    pub half_width: Option<f64>,
    /// What its interval says, delivery not counted.
    pub choice: Choice,
}

/// Where the choice turns, with the ends of its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turning {
    /// Best estimate.
    pub at: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end; `None` where there is none.
    pub high: Option<f64>,
}

/// Whether to make the product or to buy it.
#[derive(Debug, Clone)]
pub struct MakeOrBuy {
    /// With own labour counted.
    pub counted: Made,
    /// Without it; `None` where no labour is paid.
    pub uncounted: Option<Made>,
    /// Labour of a kilogram now, and that at which both cost the same \[h\].
    pub hours: Option<(f64, Turning)>,
    /// Quantity up to which making costs less than buying with its delivery \[kg\].
    pub quantity: Option<Turning>,
}

/// A run with the pure product in it that counts \[g\].
pub(super) type RunMade<'a> = (&'a RunCost, Measured);

/// Holds making against buying; `None` without a price of bought product, and where nothing met the specification.
pub(super) fn make_or_buy(
    runs: &[RunMade],
    (prices, all_is_counted): (&PriceBook, bool),
    sources: &mut Sources,
    confidence: f64,
) -> Option<MakeOrBuy> {
    let bought = prices.product.as_ref()?;
    let of_labour = [CostKind::Labour, CostKind::ResidueHandling];
    let is_labour = |kind: CostKind| of_labour.contains(&kind);
    let made = |counts: &dyn Fn(CostKind) -> bool, sources: &mut Sources| {
        let (per_gram, is_known) = per_gram(runs, counts, sources)?;
        let dearer = &per_gram - bought;
        let half_width = is_known.then(|| sources.expanded(&dearer, confidence));
        Some(Made {
            choice: match half_width {
                Some(half) if dearer.value() - half > 0.0 => Choice::Buy,
                Some(half) if dearer.value() + half < 0.0 => match all_is_counted {
                    true => Choice::Make,
                    false => Choice::NotAllCounted,
                },
                _ => Choice::Open,
            },
            half_width,
            dearer,
            per_gram,
        })
    };
    let counted = made(&|_| true, sources)?;
    let labour = prices.labour.as_ref().filter(|price| price.value() > 0.0);
    let is_paid = runs
        .iter()
        .any(|(run, _)| run.part(CostKind::Labour).is_some());
    let uncounted = labour.filter(|_| is_paid);
    let uncounted = uncounted.and_then(|_| made(&|kind| !is_labour(kind), sources));
    let hours = uncounted
        .as_ref()
        .zip(labour)
        .and_then(|(without, labour)| {
            let to_hours = PER_KILOGRAM / PER_HOUR;
            let at = &(without.dearer.clone() * -to_hours) / labour;
            let half = without
                .half_width
                .map(|_| sources.expanded(&at, confidence))?;
            let now = (counted.per_gram.value() - without.per_gram.value()) / labour.value();
            let turning = Turning {
                at: at.value(),
                low: (at.value() - half).max(0.0),
                high: Some(at.value() + half),
            };
            (at.value() > 0.0 && all_is_counted).then_some((to_hours * now, turning))
        });
    let quantity = prices.delivery.as_ref().zip(counted.half_width);
    let quantity = quantity.and_then(|(delivery, half)| {
        let (dearer, delivery) = (counted.dearer.value(), delivery.value() / PER_KILOGRAM);
        let shortest = dearer - half;
        (dearer > 0.0).then(|| Turning {
            at: delivery / dearer,
            low: delivery / (dearer + half),
            high: (shortest > 0.0).then(|| delivery / shortest),
        })
    });
    Some(MakeOrBuy {
        counted,
        uncounted,
        hours,
        quantity,
    })
}

/// The cost of a gram over the runs with how these differ, and whether that is known; `None` without product.
pub(super) fn per_gram(
    runs: &[RunMade],
    counts: &dyn Fn(CostKind) -> bool,
    sources: &mut Sources,
) -> Option<(Measured, bool)> {
    let cost = |run: &RunCost| {
        let parts = run.parts.iter().filter(|part| counts(part.kind));
        Measured::sum(parts.map(|part| &part.cost))
    };
    let costs: Vec<Measured> = runs.iter().map(|(run, _)| cost(run)).collect();
    let all = Measured::sum(runs.iter().map(|(_, grams)| grams));
    if all.value() <= 0.0 {
        return None;
    }
    let per_gram = &Measured::sum(&costs) / &all;
    let sum: f64 = costs.iter().map(Measured::value).sum();
    let without = runs
        .iter()
        .zip(&costs)
        .map(|((_, grams), cost)| (sum - cost.value()) / (all.value() - grams.value()));
    let without: Vec<f64> = without.collect();
    let (middle, count) = (mean(&without), without.len() as f64);
    let squares: f64 = without.iter().map(|one| (one - middle).powi(2)).sum();
    let error = ((count - 1.0) / count * squares).sqrt();
    if count < 2.0 || !error.is_finite() {
        return Some((per_gram, false));
    }
    let source = sources.add("how runs differ", Distribution::Normal, count - 1.0);
    Some((&per_gram + &Measured::new(0.0, source, error), true))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decide::costs::CostPart;
    use crate::seeded::Seeded;

    fn run(cost: f64) -> RunCost {
        let labour = CostPart {
            kind: CostKind::Labour,
            cost: Measured::exact(cost),
        };
        RunCost {
            run: "R".into(),
            parts: vec![labour],
            total: Ok(Measured::exact(cost)),
            contained: Ok(Measured::exact(1.0)),
            per_gram: Ok(Measured::exact(cost)),
        }
    }

    fn told(runs: &[(f64, f64)]) -> (f64, f64, bool) {
        let costs: Vec<RunCost> = runs.iter().map(|(cost, _)| run(*cost)).collect();
        let made = costs.iter().zip(runs);
        let made: Vec<RunMade> = made
            .map(|(run, (_, grams))| (run, Measured::exact(*grams)))
            .collect();
        let mut sources = Sources::default();
        let (per_gram, is_known) = per_gram(&made, &|_| true, &mut sources).expect("product");
        let half = sources.expanded(&per_gram, 0.95);
        (per_gram.value(), half, is_known)
    }

    #[test]
    fn leaving_out_each_of_two_runs_tells_how_they_differ() {
        // By hand: (10 + 20) / 2 = 15; without the first 20, without the second 10: u² = 1/2 (25 + 25), and t = 12.706.
        let (value, half, is_known) = told(&[(10.0, 1.0), (20.0, 1.0)]);
        assert!(is_known && (value - 15.0).abs() < 1e-12);
        assert!((half - 12.706 * 5.0).abs() < 0.01, "{half}");
    }

    #[test]
    fn one_run_or_one_that_met_the_specification_tells_nothing_of_how_runs_differ() {
        assert!(!told(&[(10.0, 1.0)]).2);
        assert!(!told(&[(10.0, 1.0), (12.0, 0.0), (11.0, 0.0)]).2);
    }

    #[test]
    fn the_interval_holds_the_true_cost_as_often_as_it_claims() {
        let mut random = Seeded::stream(17, 0);
        let campaigns = 2_000;
        let mut held = 0;
        for _ in 0..campaigns {
            let runs: Vec<(f64, f64)> = (0..16)
                .map(|_| {
                    let grams = 300.0 + 30.0 * random.normal();
                    (12.0 + 0.01 * grams + 1.5 * random.normal(), grams)
                })
                .collect();
            let (value, half, _) = told(&runs);
            held += u32::from((value - 0.05).abs() <= half);
        }
        // 15 a run of 300 g. Four standard errors of a coverage of 95 % in so many campaigns.
        let share = f64::from(held) / f64::from(campaigns);
        println!("{share}");
        assert!((share - 0.95).abs() < 4.0 * (0.95 * 0.05 / f64::from(campaigns)).sqrt());
    }
}
