//! Crops one by one: what each gives, and what is sold where they are sold together, one by one or blended.
//!
//! In: the runs with their crops, the specification and the worth of product off it. Out: [`Crops`].
//! This module never foretells a crop: it counts those that were made and titrated.

mod blend;
mod by_route;
mod ways;

use super::costs::PriceBook;
use super::evidence::Material;
use crate::campaign::{OffSpec, Sold};
use crate::measured::{Measured, Sources};
use crate::runs::RunResult;
use blend::Demand;

pub use by_route::CropsOf;
pub use ways::{SoldAs, Way};

/// Crops one by one.
#[derive(Debug, Clone)]
pub struct Crops {
    /// Least purity of product that meets the specification [mass fraction].
    pub spec: Option<f64>,
    /// Chance with which what is sold must meet it.
    pub chance: f64,
    /// Each crop of each route, routes in their order.
    pub each: Vec<CropsOf>,
    /// What is sold in each way, all runs with a purity together; empty without a specification, where no run has a second
    /// crop, and where all of it meets the specification in every way.
    pub ways: Vec<Way>,
    /// Runs that are counted there.
    pub runs: usize,
    /// How the campaign says that crops are sold.
    pub stated: Sold,
    /// The way whose product is worth most, and by how much more than the way stated [currency, its ±]; None where
    /// nothing is known of the worth of product off specification, or no way is worth more than the one stated.
    pub best: Option<(SoldAs, Gained)>,
    /// Name of the currency.
    pub currency: String,
    /// What becomes of product off specification.
    pub off_spec: Option<OffSpec>,
}

/// What one way brings beyond another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gained {
    /// Best estimate \[currency\].
    pub value: f64,
    /// Its expanded uncertainty \[currency\].
    pub expanded: f64,
}

/// Worth of a gram that meets the specification, and of one that does not.
struct Worth<'a> {
    on_spec: &'a Measured,
    off_spec: Measured,
    sources: &'a Sources,
    currency: &'a str,
}

/// Looks at crops one by one; `None` where no run has a crop of known purity.
pub(super) fn crops(material: &Material) -> Option<Crops> {
    let Material { campaign, runs, .. } = *material;
    let used: Vec<(usize, &RunResult)> = runs
        .results
        .iter()
        .enumerate()
        .filter(|(_, run)| run.set_aside.is_none())
        .collect();
    let each = by_route::each(campaign, runs, &used);
    if each.is_empty() {
        return None;
    }
    let whole: Vec<&RunResult> = used
        .iter()
        .map(|(_, run)| *run)
        .filter(|run| run.purity.is_ok())
        .collect();
    let off_spec = campaign.recycling.as_ref().map(|plan| plan.off_spec);
    let worth = worth(
        material.costs.map(|costs| (&costs.prices, &costs.sources)),
        off_spec,
    );
    let chance = campaign.aim.purity_chance;
    let has_second = whole.iter().any(|run| run.crops.len() > 1);
    let spec = campaign.purity_spec.filter(|_| has_second);
    let ways = spec.map(|spec| {
        ways::all(
            &whole,
            Demand::new(spec, chance),
            worth.as_ref(),
            campaign.confidence(),
        )
    });
    // Where all of it meets the specification as it is, there is nothing to choose.
    let is_asked = |ways: &Vec<Way>| ways.iter().any(|way| way.off_spec.value() > 0.0);
    let ways = ways.filter(is_asked).unwrap_or_default();
    let stated = campaign.aim.sold;
    let best = worth
        .as_ref()
        .and_then(|worth| ways::best(&ways, stated, worth.sources, campaign.confidence()));
    Some(Crops {
        spec: campaign.purity_spec,
        chance,
        each,
        ways,
        runs: whole.len(),
        stated,
        best,
        currency: worth
            .map(|worth| worth.currency.to_string())
            .unwrap_or_default(),
        off_spec,
    })
}

/// None where product has no price, or where what misses the specification is sold like all other.
fn worth<'a>(
    prices: Option<(&'a PriceBook, &'a Sources)>,
    off_spec: Option<OffSpec>,
) -> Option<Worth<'a>> {
    let (prices, sources) = prices?;
    let off_spec = off_spec.filter(|worth| *worth != OffSpec::Sold)?;
    let on_spec = prices.product.as_ref()?;
    Some(Worth {
        on_spec,
        off_spec: &(on_spec.clone() * off_spec.kept()) + &prices.off_spec,
        sources,
        currency: &prices.currency,
    })
}
