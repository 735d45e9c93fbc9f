//! Costs of runs, and of a gram of product against buying it.
//!
//! In: runs with what was charged, and `[prices]`. Out: [`Costs`].
//! This module never counts what has no price, and names it instead.

mod doubts;
mod labour;
mod make_or_buy;
mod of_run;
mod prices;
mod reasons;

pub use doubts::doubts_of_money;
pub use labour::{HandlingStands, Labour};
pub use make_or_buy::{Choice, Made, MakeOrBuy, Turning};
pub use of_run::{CostPart, RunCost};
pub use prices::{HeatPrices, PriceBook, ReagentPrice};
pub use reasons::{CostKind, NoCost, NotCounted, Paid, WithoutCost, WorthUnknown};

use crate::campaign::{Campaign, Sold};
use crate::measured::{Measured, Sources};
use crate::runs::{Outcome, RunResult, Runs};

/// What runs and product cost.
#[derive(Debug, Clone)]
pub struct Costs {
    /// The prices.
    pub prices: PriceBook,
    /// Every source of uncertainty of runs and prices.
    pub sources: Sources,
    /// Minutes that are paid as labour.
    pub labour: Labour,
    /// One entry a run, in run order; those set aside are among them.
    pub runs: Vec<RunCost>,
    /// All runs together that count and have a cost and a yield.
    pub campaign: Result<CampaignCost, NoCost>,
    /// What is not counted, each with its reason.
    pub not_counted: Vec<NotCounted>,
    /// How many runs have no cost though others have one, reason by reason.
    pub without_a_cost: Vec<WithoutCost>,
}

impl Costs {
    /// The cost of a gram of contained product in each run, in run order [currency/g].
    pub fn per_gram_of_runs(&self) -> Vec<Option<f64>> {
        let runs = self.runs.iter();
        runs.map(|run| Some(run.per_gram.as_ref().ok()?.value()))
            .collect()
    }

    /// What the products of second elements bring in each run, in run order [currency/g fresh feed].
    pub fn second_of_runs(&self, runs: &Runs) -> Vec<Option<f64>> {
        let all = runs.results.iter().zip(&self.runs);
        let brought = all.map(|(run, cost)| {
            let feed = run.charge.feed_mass.filter(|feed| *feed > 0.0)?;
            Some(-cost.part(CostKind::Second)?.value() / feed)
        });
        brought.collect()
    }
}

/// The cost of all runs together.
#[derive(Debug, Clone)]
pub struct CampaignCost {
    /// Runs that are counted.
    pub runs: usize,
    /// Each kind of cost over all runs \[currency\], the largest first.
    pub parts: Vec<CostPart>,
    /// The sum \[currency\].
    pub total: Measured,
    /// Pure product in the crops \[g\].
    pub contained: Measured,
    /// Cost of a gram of contained product [currency/g].
    pub per_gram: Measured,
    /// Share of the contained product in runs that met the specification; `None` without one.
    pub on_spec: Option<f64>,
    /// Cost of a gram of contained product that met the specification [currency/g].
    pub per_gram_on_spec: Option<Measured>,
    /// Whether to make the product or to buy it, where it has a price.
    pub make_or_buy: Option<MakeOrBuy>,
    /// What buying a gram costs more than making it [currency/g]; negative where buying is cheaper.
    pub gained_by_making: Option<Measured>,
}

/// Works out what runs and product cost; `None` without `[prices]`.
pub fn costs(campaign: &Campaign, runs: &Runs) -> Option<Costs> {
    let mut sources = runs.sources.clone();
    let mut prices = PriceBook::of(campaign, &mut sources)?;
    let labour = Labour::of(campaign, runs);
    let counted = of_run::counted(runs, &prices, &labour);
    let of_runs: Vec<RunCost> = (0..runs.results.len())
        .map(|run| of_run::cost(runs, run, &counted, &mut prices, &mut sources))
        .collect();
    let not_counted = counted.not_counted;
    Some(Costs {
        without_a_cost: without_a_cost(runs, &of_runs),
        campaign: together(
            campaign,
            runs,
            &of_runs,
            (&prices, making_is_counted(&not_counted)),
            &mut sources,
        ),
        runs: of_runs,
        labour,
        not_counted,
        prices,
        sources: sources.to_be_copied(),
    })
}

/// Whether a kilogram made costs no more than is counted: what the product is worth when bought is no cost of making it.
fn making_is_counted(not_counted: &[NotCounted]) -> bool {
    let mut others = not_counted.iter();
    others.all(|missing| *missing == NotCounted::ProductWithoutPrice)
}

/// Runs that every fit may use, with their costs.
fn used<'a>(
    runs: &'a Runs,
    costs: &'a [RunCost],
) -> impl Iterator<Item = (&'a RunResult, &'a RunCost)> {
    let all = runs.results.iter().zip(costs);
    all.filter(|(run, _)| run.set_aside.is_none())
}

/// Runs that lack a price or a mass that others have, by reason; nothing where no run has a cost.
fn without_a_cost(runs: &Runs, costs: &[RunCost]) -> Vec<WithoutCost> {
    let mut found: Vec<WithoutCost> = Vec::new();
    let of = used(runs, costs).count();
    let reasons = used(runs, costs).filter_map(|(_, cost)| cost.total.as_ref().err());
    for reason in reasons {
        match found.iter_mut().find(|known| known.reason == *reason) {
            Some(known) => known.runs += 1,
            None => found.push(WithoutCost {
                reason: reason.clone(),
                runs: 1,
                of,
            }),
        }
    }
    let without: usize = found.iter().map(|without| without.runs).sum();
    if without < of { found } else { Vec::new() }
}

/// The cost of all runs together that have one, and a yield.
fn together(
    campaign: &Campaign,
    runs: &Runs,
    costs: &[RunCost],
    (prices, all_is_counted): (&PriceBook, bool),
    sources: &mut Sources,
) -> Result<CampaignCost, NoCost> {
    let counted = used(runs, costs).filter(|(_, cost)| cost.per_gram.is_ok());
    let counted: Vec<(&RunResult, &RunCost)> = counted.collect();
    let Some((_, first)) = counted.first() else {
        let reason = costs.iter().find_map(|cost| cost.per_gram.as_ref().err());
        return Err(reason.cloned().unwrap_or(NoCost::NoRun));
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
    // What each run made, and what of it met the specification.
    let made = |of: &dyn Fn(&RunResult, &RunCost) -> Measured| -> Vec<(&RunCost, Measured)> {
        let each = counted.iter().map(|(run, cost)| (*cost, of(run, cost)));
        each.collect()
    };
    let of_run = |cost: &RunCost| cost.contained.clone().unwrap_or_default();
    let whole = made(&|_, cost| of_run(cost));
    let good = campaign.purity_spec.map(|spec| {
        let meets = |purity: &Outcome| matches!(purity, Ok(found) if found.value() >= spec);
        made(&|run, cost| match campaign.aim.sold {
            Sold::Together if meets(&run.purity) => of_run(cost),
            Sold::Together => Measured::default(),
            Sold::CropByCrop => {
                let good = run.crops.iter().filter(|crop| meets(&crop.purity));
                let pure = good.filter_map(|crop| Some(&crop.mass * crop.purity.as_ref().ok()?));
                Measured::sum(&pure.collect::<Vec<_>>())
            }
        })
    });
    let grams = |made: &[(&RunCost, Measured)]| Measured::sum(made.iter().map(|(_, grams)| grams));
    let all = grams(&whole);
    let on_spec = good.as_deref().map(grams);
    let mut per_gram = |made: &[(&RunCost, Measured)]| {
        make_or_buy::per_gram(made, &|_| true, sources).map(|(per_gram, _)| per_gram)
    };
    let per_gram_on_spec = good.as_deref().and_then(&mut per_gram);
    let per_gram = per_gram(&whole).ok_or(NoCost::NoProduct)?;
    let to_sell = good.as_deref().unwrap_or(&whole);
    let confidence = campaign.confidence();
    Ok(CampaignCost {
        make_or_buy: make_or_buy::make_or_buy(
            to_sell,
            (prices, all_is_counted),
            sources,
            confidence,
        ),
        runs: counted.len(),
        per_gram_on_spec,
        on_spec: on_spec.map(|grams| grams.value() / all.value()),
        gained_by_making: prices.product.as_ref().map(|bought| bought - &per_gram),
        per_gram,
        parts,
        total,
        contained: all,
    })
}
