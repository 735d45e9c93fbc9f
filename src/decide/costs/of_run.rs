//! The cost of one run.
//!
//! In: what was charged into a run, and prices. Out: [`RunCost`], kind by kind.
//! This module never takes a mass that was not logged for zero: such a run has no cost, with the reason.

use super::labour::{HandlingStands, Labour};
use super::prices::{HeatPrices, PriceBook};
use super::reasons::{CostKind, NoCost, NotCounted, Paid};
use crate::campaign::Handling;
use crate::measured::{Measured, Sources};
use crate::runs::{FactorColumn, Outcome, RunResult, Runs};

/// One kind of cost.
#[derive(Debug, Clone)]
pub struct CostPart {
    /// What is paid for.
    pub kind: CostKind,
    /// The cost \[currency\].
    pub cost: Measured,
}

/// The cost of one run.
#[derive(Debug, Clone)]
pub struct RunCost {
    /// Name of the run.
    pub run: String,
    /// What is counted, in the order of [`CostKind`]; without what the run does not log.
    pub parts: Vec<CostPart>,
    /// The sum \[currency\].
    pub total: Result<Measured, NoCost>,
    /// Pure product in the crops \[g\].
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
pub(super) struct Counted<'a> {
    kinds: Vec<CostKind>,
    /// Reagents with a price whose column has numbers, by position in the campaign file.
    reagents: Vec<usize>,
    /// The choice whose level decides what heat costs.
    heated_by: Option<&'a FactorColumn>,
    labour: &'a Labour,
    pub not_counted: Vec<NotCounted>,
}

impl Counted<'_> {
    /// Counts a kind that has a price and is logged by some run.
    fn judge(&mut self, kind: CostKind, has_price: bool, is_logged: bool) {
        match (has_price, is_logged) {
            (true, true) => self.kinds.push(kind),
            (true, false) => self.not_counted.push(NotCounted::NotLogged(kind)),
            (false, _) => self.not_counted.push(NotCounted::NoPrice(kind)),
        }
    }
}

/// Decides what is counted: what has a price and is logged by some run.
pub(super) fn counted<'a>(runs: &'a Runs, prices: &PriceBook, labour: &'a Labour) -> Counted<'a> {
    let any = |logs: fn(&RunResult) -> bool| runs.counted().any(logs);
    let mut found = Counted {
        kinds: Vec::new(),
        reagents: Vec::new(),
        heated_by: match &prices.heat {
            HeatPrices::ByLevel { factor, .. } => runs.factor(factor),
            _ => None,
        },
        labour,
        not_counted: Vec::new(),
    };
    let feed_price = prices.feed.is_some() || any(|run| run.charge.feed_price.is_some());
    let logs_feed = any(|run| run.charge.feed_mass.is_some());
    found.judge(CostKind::Feed, feed_price, logs_feed);
    let logs_oxidant = any(|run| run.charge.oxidant_mass.is_some());
    // Without a price and a mass nobody used an oxidant, so that nothing is missing.
    if prices.oxidant.is_some() || logs_oxidant {
        found.judge(CostKind::Oxidant, prices.oxidant.is_some(), logs_oxidant);
    }
    for (position, reagent) in prices.reagents.iter().enumerate() {
        let is_logged = |run: &RunResult| run.charge.reagents[position].is_some();
        if runs.counted().any(is_logged) {
            found.reagents.push(position);
        } else {
            let missing = NotCounted::ReagentNotLogged(reagent.column.clone());
            found.not_counted.push(missing);
        }
    }
    if !found.reagents.is_empty() || prices.reagents.is_empty() {
        found.judge(CostKind::Reagents, !prices.reagents.is_empty(), true);
    }
    let names_level = |run| {
        found
            .heated_by
            .is_some_and(|choice| choice.level(run).is_some())
    };
    let is_named = (0..runs.results.len()).any(names_level);
    match &prices.heat {
        HeatPrices::ByLevel { factor, .. } if !is_named => {
            let missing = NotCounted::HeatWithoutLevel(factor.clone());
            found.not_counted.push(missing);
        }
        heat => found.judge(CostKind::Heat, !matches!(heat, HeatPrices::None), true),
    }
    let is_paid = prices.labour.is_some();
    let is_logged = labour.is_logged(runs, |_| true);
    found.judge(CostKind::Labour, is_paid, is_logged);
    if any(|run| run.charge.residue_mass > 0.0) {
        match (prices.handling, is_paid) {
            // These minutes are paid as labour already.
            _ if labour.handling == HandlingStands::Known(Handling::Logged) => {}
            (Some(_), true) if matches!(labour.handling, HandlingStands::Unsaid(_)) => {
                found.not_counted.push(NotCounted::HandlingMayBeLogged);
            }
            (Some(_), true) => found.kinds.push(CostKind::ResidueHandling),
            (Some(_), false) => found.not_counted.push(NotCounted::HandlingWithoutLabour),
            (None, _) => found.not_counted.push(NotCounted::HandlingWithoutTime),
        }
    }
    let mut second = runs.second.iter().zip(&prices.second);
    if !prices.second.is_empty() {
        let has_price = prices.second.iter().any(Option::is_some);
        let is_logged = second.any(|(of, price)| {
            price.is_some() && (0..of.runs.len()).any(|run| of.product(run).is_ok())
        });
        found.judge(CostKind::Second, has_price, is_logged || !has_price);
    }
    let logs_residue = any(|run| run.charge.residue_out.is_some());
    found.judge(CostKind::Disposal, prices.disposal.is_some(), logs_residue);
    if prices.product.is_none() {
        found.not_counted.push(NotCounted::ProductWithoutPrice);
    }
    found
}

/// Pure product in the crops of a run \[g\].
fn contained(run: &RunResult) -> Outcome {
    let share = run.contained.as_ref().map_err(Clone::clone)?;
    let theory = run.theory_total.as_ref().map_err(Clone::clone)?;
    Ok(share * theory)
}

/// The cost of one run, `Σ amount · price` over the kinds that are counted, and that of a gram of contained product.
///
/// # Assumes
/// Masses and times as logged are exact beside the prices; one price of a lot has one error in all its runs.
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
        match of_kind(*kind, runs, position, counted, prices, sources) {
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

/// What the products of second elements bring, taken off: `−Σ m·p` with grams `m` of pure product and prices `p`.
fn second(runs: &Runs, position: usize, prices: &PriceBook) -> Result<Measured, NoCost> {
    let mut sum = Measured::default();
    for (of, price) in runs.second.iter().zip(&prices.second) {
        let Some(price) = price else { continue };
        let what = || NoCost::NotLogged(Paid::Second(of.element.clone()));
        let grams = of.product(position).map_err(|_| what())?;
        sum = &sum - &(price.clone() * grams.value());
    }
    Ok(sum)
}

fn of_kind(
    kind: CostKind,
    runs: &Runs,
    position: usize,
    counted: &Counted,
    prices: &mut PriceBook,
    sources: &mut Sources,
) -> Result<Measured, NoCost> {
    let run = &runs.results[position];
    let charge = &run.charge;
    let times = |amount: Option<f64>, price: Option<&Measured>, what: Paid| match (amount, price) {
        (None, _) => Err(NoCost::NotLogged(what)),
        (_, None) => Err(NoCost::NoPrice(what)),
        (Some(amount), Some(price)) => Ok(price.clone() * amount),
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
                let level = counted.heated_by.and_then(|choice| choice.level(position));
                let level =
                    level.ok_or_else(|| NoCost::NotLogged(Paid::LevelOf(factor.clone())))?;
                let price = levels.get(level);
                price.cloned().ok_or_else(|| NoCost::NoHeatPrice {
                    factor: factor.clone(),
                    level: level.to_string(),
                })
            }
        },
        CostKind::Labour => {
            let minutes = counted.labour.minutes[position].clone();
            times(
                Some(minutes.map_err(NoCost::NotLogged)?),
                prices.labour.as_ref(),
                Paid::Labour,
            )
        }
        CostKind::ResidueHandling => {
            let charges = charge.residue_mass > 0.0;
            let minutes = if charges { prices.handling } else { Some(0.0) };
            times(minutes, prices.labour.as_ref(), Paid::Handling)
        }
        CostKind::Second => second(runs, position, prices),
        CostKind::Disposal => {
            let out = charge.residue_out.map(|out| out - charge.residue_mass);
            times(out, prices.disposal.as_ref(), Paid::Residue)
        }
    }
}
