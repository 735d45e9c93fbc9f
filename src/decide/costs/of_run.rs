//! What did one run cost?
//!
//! In: what was charged into a run, and prices. Out: [`RunCost`], kind by kind.
//! This module never takes a mass that was not logged for zero: such a run has no cost, with the reason.

use super::contained;
use super::prices::{HeatPrices, PriceBook};
use super::reasons::{NoCost, NotCounted, Paid};
use crate::campaign::Campaign;
use crate::measured::{Measured, Sources};
use crate::runs::{FactorValues, Outcome, RunResult, Runs};

/// What is paid for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CostKind {
    /// Fresh feed.
    Feed,
    /// Oxidant.
    Oxidant,
    /// Further reagents.
    Reagents,
    /// Heat.
    Heat,
    /// Labour of the run itself.
    Labour,
    /// Handling of residue that is charged.
    ResidueHandling,
    /// Getting rid of residue; what is charged again is taken off.
    Disposal,
}

/// One kind of cost.
#[derive(Debug, Clone)]
pub struct CostPart {
    /// What is paid for.
    pub kind: CostKind,
    /// The cost [currency].
    pub cost: Measured,
}

/// The cost of one run.
#[derive(Debug, Clone)]
pub struct RunCost {
    /// Name of the run.
    pub run: String,
    /// What is counted, in the order of [`CostKind`]; without what the run does not log.
    pub parts: Vec<CostPart>,
    /// The sum [currency].
    pub total: Result<Measured, NoCost>,
    /// Pure product in the crops [g].
    pub contained: Outcome,
    /// Cost of a gram of contained product [currency/g].
    pub per_gram: Result<Measured, NoCost>,
}

impl RunCost {
    /// The cost of one kind, if it is counted.
    pub fn part(&self, kind: CostKind) -> Option<&Measured> {
        let found = self.parts.iter().find(|part| part.kind == kind);
        found.map(|part| &part.cost)
    }
}

/// What can be counted in this campaign.
pub(super) struct Counted {
    kinds: Vec<CostKind>,
    /// Reagents with a price whose column has numbers, by position in the campaign file.
    reagents: Vec<usize>,
    /// The level of each run that decides what heat costs.
    heat_levels: Vec<Option<String>>,
    pub not_counted: Vec<NotCounted>,
}

/// Decides what is counted: what has a price and is logged by some run.
pub(super) fn counted(campaign: &Campaign, runs: &Runs, prices: &PriceBook) -> Counted {
    let used = || runs.results.iter().filter(|run| run.set_aside.is_none());
    let any = |logs: fn(&RunResult) -> bool| used().any(logs);
    let mut kinds = Vec::new();
    let mut not_counted = Vec::new();
    let mut judge = |kind: CostKind, has_price: bool, logged: bool| {
        if !has_price && !logged && kind == CostKind::Oxidant {
            // Nobody used an oxidant, so that nothing is missing.
        } else if !has_price {
            not_counted.push(NotCounted::NoPrice(kind));
        } else if logged {
            kinds.push(kind);
        } else {
            not_counted.push(NotCounted::NotLogged(kind));
        }
    };
    let feed_price = prices.feed.is_some() || any(|run| run.charge.feed_price.is_some());
    judge(
        CostKind::Feed,
        feed_price,
        any(|run| run.charge.feed_mass.is_some()),
    );
    let logs_oxidant = any(|run| run.charge.oxidant_mass.is_some());
    // A campaign that names no oxidant and logs none uses none, so nothing is missing.
    if campaign.oxidant.is_some() || prices.oxidant.is_some() || logs_oxidant {
        judge(CostKind::Oxidant, prices.oxidant.is_some(), logs_oxidant);
    }
    let reagents: Vec<usize> = (0..prices.reagents.len())
        .filter(|position| used().any(|run| run.charge.reagents[*position].is_some()))
        .collect();
    for (position, reagent) in prices.reagents.iter().enumerate() {
        if !reagents.contains(&position) {
            not_counted.push(NotCounted::ReagentNotLogged(reagent.column.clone()));
        }
    }
    if prices.reagents.is_empty() {
        not_counted.push(NotCounted::NoPrice(CostKind::Reagents));
    }
    let heat_levels = heat_levels(runs, &prices.heat);
    let mut kinds_after = Vec::new();
    if !reagents.is_empty() {
        kinds_after.push(CostKind::Reagents);
    }
    match &prices.heat {
        HeatPrices::None => not_counted.push(NotCounted::NoPrice(CostKind::Heat)),
        HeatPrices::Same(_) => kinds_after.push(CostKind::Heat),
        HeatPrices::ByLevel { factor, .. } if heat_levels.iter().all(Option::is_none) => {
            not_counted.push(NotCounted::HeatWithoutLevel(factor.clone()));
        }
        HeatPrices::ByLevel { .. } => kinds_after.push(CostKind::Heat),
    }
    let labour = prices.labour.is_some();
    let logs_labour = any(|run| run.labour.is_some());
    match (labour, logs_labour) {
        (true, true) => kinds_after.push(CostKind::Labour),
        (true, false) => not_counted.push(NotCounted::NotLogged(CostKind::Labour)),
        (false, _) => not_counted.push(NotCounted::NoPrice(CostKind::Labour)),
    }
    if any(|run| run.charge.residue_mass > 0.0) {
        match (prices.handling, labour) {
            (Some(_), true) => kinds_after.push(CostKind::ResidueHandling),
            (Some(_), false) => not_counted.push(NotCounted::HandlingWithoutLabour),
            (None, _) => not_counted.push(NotCounted::HandlingWithoutTime),
        }
    }
    match (
        &prices.disposal,
        any(|run| run.charge.residue_out.is_some()),
    ) {
        (Some(_), true) => kinds_after.push(CostKind::Disposal),
        (Some(_), false) => not_counted.push(NotCounted::NotLogged(CostKind::Disposal)),
        (None, _) => not_counted.push(NotCounted::NoPrice(CostKind::Disposal)),
    }
    kinds.extend(kinds_after);
    if campaign
        .prices
        .as_ref()
        .is_some_and(|p| p.product.is_none())
    {
        not_counted.push(NotCounted::ProductWithoutPrice);
    }
    Counted {
        kinds,
        reagents,
        heat_levels,
        not_counted,
    }
}

/// The level of each run of the choice that heat is priced by.
fn heat_levels(runs: &Runs, heat: &HeatPrices) -> Vec<Option<String>> {
    let HeatPrices::ByLevel { factor, .. } = heat else {
        return Vec::new();
    };
    let column = runs.factors.iter().find(|column| column.name == *factor);
    match column.map(|column| &column.values) {
        Some(FactorValues::Choice { levels, codes }) => codes
            .iter()
            .map(|code| code.map(|code| levels[code].clone()))
            .collect(),
        _ => vec![None; runs.results.len()],
    }
}

/// The cost of one run.
pub(super) fn cost(
    runs: &Runs,
    position: usize,
    counted: &Counted,
    prices: &mut PriceBook,
    sources: &mut Sources,
) -> RunCost {
    let run = &runs.results[position];
    let mut parts = Vec::new();
    let mut missing: Option<NoCost> = None;
    for kind in &counted.kinds {
        match of_kind(*kind, run, position, counted, prices, sources) {
            Ok(cost) => parts.push(CostPart { kind: *kind, cost }),
            Err(reason) => missing = missing.or(Some(reason)),
        }
    }
    let total = match missing {
        Some(reason) => Err(reason),
        None if parts.is_empty() => Err(NoCost::NothingPriced),
        None => Ok(Measured::sum(parts.iter().map(|part| &part.cost))),
    };
    let contained = contained(run);
    let per_gram = match (&total, &contained) {
        (Err(reason), _) => Err(reason.clone()),
        (_, Err(reason)) => Err(NoCost::NoResult(reason.clone())),
        (Ok(_), Ok(grams)) if grams.value() <= 0.0 => Err(NoCost::NoProduct),
        (Ok(total), Ok(grams)) => Ok(total / grams),
    };
    RunCost {
        run: run.run.clone(),
        parts,
        total,
        contained,
        per_gram,
    }
}

fn of_kind(
    kind: CostKind,
    run: &RunResult,
    position: usize,
    counted: &Counted,
    prices: &mut PriceBook,
    sources: &mut Sources,
) -> Result<Measured, NoCost> {
    let charge = &run.charge;
    let times = |amount: Option<f64>, price: Option<&Measured>, what: Paid| {
        let Some(amount) = amount else {
            return Err(NoCost::NotLogged(what));
        };
        let Some(price) = price else {
            return Err(NoCost::NoPrice(what));
        };
        Ok(price.clone() * amount)
    };
    match kind {
        CostKind::Feed => {
            let price = prices.feed_of(charge.feed_price, run.lot.as_deref(), sources);
            times(charge.feed_mass, price.as_ref(), Paid::Feed)
        }
        CostKind::Oxidant => times(charge.oxidant_mass, prices.oxidant.as_ref(), Paid::Oxidant),
        CostKind::Reagents => {
            let mut sum = Measured::exact(0.0);
            for position in &counted.reagents {
                let reagent = &prices.reagents[*position];
                let grams = charge.reagents[*position];
                let what = Paid::Reagent(reagent.column.clone());
                sum = &sum + &times(grams, Some(&reagent.price), what)?;
            }
            Ok(sum)
        }
        CostKind::Heat => match &prices.heat {
            HeatPrices::None => Err(NoCost::NoPrice(Paid::Heat)),
            HeatPrices::Same(price) => Ok(price.clone()),
            HeatPrices::ByLevel { factor, levels } => {
                let level = counted.heat_levels[position]
                    .as_ref()
                    .ok_or_else(|| NoCost::NotLogged(Paid::LevelOf(factor.clone())))?;
                let price = levels.get(level);
                price.cloned().ok_or_else(|| NoCost::NoHeatPrice {
                    factor: factor.clone(),
                    level: level.clone(),
                })
            }
        },
        CostKind::Labour => times(run.labour, prices.labour.as_ref(), Paid::Labour),
        CostKind::ResidueHandling => {
            let minutes = if charge.residue_mass > 0.0 {
                prices.handling
            } else {
                Some(0.0)
            };
            times(minutes, prices.labour.as_ref(), Paid::Handling)
        }
        CostKind::Disposal => {
            let out = charge.residue_out.map(|out| out - charge.residue_mass);
            times(out, prices.disposal.as_ref(), Paid::Residue)
        }
    }
}
