//! What did a run cost, and a gram of product, against buying it?
//!
//! In: runs with what was charged, and `[prices]`. Out: [`Costs`].
//! This module never counts what has no price, and names it instead.

mod of_run;
mod prices;
mod reasons;

pub use of_run::{CostKind, CostPart, RunCost};
pub use prices::{HeatPrices, PriceBook, ReagentPrice};
pub use reasons::{NoCost, NotCounted, Paid, WithoutCost, WorthUnknown};

use crate::campaign::Campaign;
use crate::measured::{Measured, Sources};
use crate::runs::{Outcome, RunResult, Runs};

/// What runs and product cost.
#[derive(Debug, Clone)]
pub struct Costs {
    /// The prices.
    pub prices: PriceBook,
    /// Every source of uncertainty of runs and prices.
    pub sources: Sources,
    /// One entry a run, in run order; those set aside are among them.
    pub runs: Vec<RunCost>,
    /// All runs together that count and have a cost and a yield.
    pub campaign: Result<CampaignCost, NoCost>,
    /// What is not counted, each with its reason.
    pub not_counted: Vec<NotCounted>,
    /// How many runs have no cost though others have one, reason by reason.
    pub without_a_cost: Vec<WithoutCost>,
}

/// The cost of all runs together.
#[derive(Debug, Clone)]
pub struct CampaignCost {
    /// Runs that are counted.
    pub runs: usize,
    /// Each kind of cost over all runs [currency], the largest first.
    pub parts: Vec<CostPart>,
    /// The sum [currency].
    pub total: Measured,
    /// Pure product in the crops [g].
    pub contained: Measured,
    /// Cost of a gram of contained product [currency/g].
    pub per_gram: Measured,
    /// Share of the contained product in runs that met the specification; `None` without one.
    pub on_spec: Option<f64>,
    /// Cost of a gram of contained product that met the specification [currency/g].
    pub per_gram_on_spec: Option<Measured>,
    /// What buying a gram costs more than making it [currency/g]; negative where buying is cheaper.
    pub gained_by_making: Option<Measured>,
}

/// Works out the costs; `None` without `[prices]`.
pub(super) fn costs(campaign: &Campaign, runs: &Runs) -> Option<Costs> {
    let mut sources = runs.sources.clone();
    let mut prices = PriceBook::of(campaign, &mut sources)?;
    let counted = of_run::counted(campaign, runs, &prices);
    let of_runs: Vec<RunCost> = (0..runs.results.len())
        .map(|run| of_run::cost(runs, run, &counted, &mut prices, &mut sources))
        .collect();
    let campaign_cost = together(campaign, runs, &of_runs, &prices);
    Some(Costs {
        prices,
        sources,
        without_a_cost: without_a_cost(runs, &of_runs),
        runs: of_runs,
        campaign: campaign_cost,
        not_counted: counted.not_counted,
    })
}

/// Runs that lack a price or a mass that others have, by reason; nothing where no run has a cost.
fn without_a_cost(runs: &Runs, of_runs: &[RunCost]) -> Vec<WithoutCost> {
    let used = || {
        let all = runs.results.iter().zip(of_runs);
        all.filter(|(run, _)| run.set_aside.is_none())
    };
    let mut found: Vec<WithoutCost> = Vec::new();
    if !used().any(|(_, cost)| cost.total.is_ok()) {
        return found;
    }
    let of = used().count();
    for reason in used().filter_map(|(_, cost)| cost.total.as_ref().err()) {
        match found.iter_mut().find(|known| known.reason == *reason) {
            Some(known) => known.runs += 1,
            None => found.push(WithoutCost {
                reason: reason.clone(),
                runs: 1,
                of,
            }),
        }
    }
    found
}

/// Pure product in the crops of a run [g].
pub(super) fn contained(run: &RunResult) -> Outcome {
    let share = run.contained.as_ref().map_err(Clone::clone)?;
    let theory = run.theory_total.as_ref().map_err(Clone::clone)?;
    Ok(share * theory)
}

fn together(
    campaign: &Campaign,
    runs: &Runs,
    of_runs: &[RunCost],
    prices: &PriceBook,
) -> Result<CampaignCost, NoCost> {
    let counted: Vec<(&RunResult, &RunCost)> = runs
        .results
        .iter()
        .zip(of_runs)
        .filter(|(run, cost)| run.set_aside.is_none() && cost.per_gram.is_ok())
        .collect();
    let Some((_, first)) = counted.first() else {
        let reason = of_runs.iter().find_map(|cost| cost.per_gram.as_ref().err());
        return Err(reason.map_or(NoCost::NoRun, Clone::clone));
    };
    let mut parts: Vec<CostPart> = first
        .parts
        .iter()
        .map(|part| CostPart {
            kind: part.kind,
            cost: Measured::sum(counted.iter().filter_map(|(_, cost)| cost.part(part.kind))),
        })
        .collect();
    parts.sort_by(|a, b| b.cost.value().total_cmp(&a.cost.value()));
    let total = Measured::sum(parts.iter().map(|part| &part.cost));
    let contained_of = |run: &RunResult| contained(run).unwrap_or_default();
    let grams: Vec<Measured> = counted.iter().map(|(run, _)| contained_of(run)).collect();
    let all = Measured::sum(&grams);
    let on_spec = campaign.purity_spec.map(|spec| {
        let good = counted.iter().zip(&grams).filter(|((run, _), _)| {
            run.purity
                .as_ref()
                .is_ok_and(|purity| purity.value() >= spec)
        });
        Measured::sum(good.map(|(_, grams)| grams))
    });
    let per_gram = &total / &all;
    Ok(CampaignCost {
        runs: counted.len(),
        per_gram_on_spec: on_spec
            .as_ref()
            .filter(|grams| grams.value() > 0.0)
            .map(|grams| &total / grams),
        on_spec: on_spec.map(|grams| grams.value() / all.value()),
        gained_by_making: prices.product.as_ref().map(|bought| bought - &per_gram),
        per_gram,
        parts,
        total,
        contained: all,
    })
}
