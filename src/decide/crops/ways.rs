//! What is sold to specification where crops are sold together, one by one or blended.
//!
//! In: whole runs with their crops, and the worth of a gram. Out: one [`Way`] each.
//! This module never counts a batch as sold to specification that only may meet it.

use super::blend::{Demand, largest};
use super::{Gained, Worth};
use crate::campaign::Sold;
use crate::measured::{Measured, Sources};
use crate::runs::RunResult;

/// How crops may be sold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SoldAs {
    /// The crops of a run together.
    Together,
    /// Each crop by itself.
    CropByCrop,
    /// All crops in one blend, as large as the specification allows, and the rest by itself.
    Blended,
}

/// What is sold in one way, all runs together.
#[derive(Debug, Clone)]
pub struct Way {
    /// How.
    pub sold: SoldAs,
    /// As weighed, to specification \[g\].
    pub on_spec: Measured,
    /// As weighed, off specification \[g\].
    pub off_spec: Measured,
    /// What both are worth \[currency\]; None where nothing is known of the worth of product off specification.
    pub worth: Option<Measured>,
    /// Its expanded uncertainty \[currency\].
    pub expanded: Option<f64>,
}

/// All ways, those that the campaign can state first; a blend only where one meets the specification.
pub(super) fn all(
    runs: &[&RunResult],
    demand: Demand,
    worth: Option<&Worth>,
    confidence: f64,
) -> Vec<Way> {
    let crops: Vec<(&Measured, &Measured)> = runs
        .iter()
        .flat_map(|run| &run.crops)
        .filter_map(|crop| Some((&crop.mass, crop.purity.as_ref().ok()?)))
        .collect();
    let is_met = |purity: &Measured| f64::from(u8::from(demand.is_met(purity)));
    let of_runs = runs.iter().flat_map(|run| {
        let share = run.purity.as_ref().map_or(0.0, is_met);
        run.crops.iter().map(move |_| share)
    });
    let one_by_one = crops.iter().map(|(_, purity)| is_met(purity));
    let shares = [
        (SoldAs::Together, Some(of_runs.collect())),
        (SoldAs::CropByCrop, Some(one_by_one.collect())),
        (SoldAs::Blended, largest(&crops, demand)),
    ];
    let known = shares.into_iter();
    let known = known.filter_map(|(sold, shares): (_, Option<Vec<f64>>)| Some((sold, shares?)));
    known
        .map(|(sold, shares)| way(sold, &crops, &shares, worth, confidence))
        .collect()
}

fn way(
    sold: SoldAs,
    crops: &[(&Measured, &Measured)],
    shares: &[f64],
    worth: Option<&Worth>,
    confidence: f64,
) -> Way {
    let part = |of: &dyn Fn(f64) -> f64| {
        let parts = crops.iter().zip(shares);
        let parts: Vec<Measured> = parts
            .map(|((mass, _), share)| (*mass).clone() * of(*share))
            .collect();
        Measured::sum(&parts)
    };
    let (on_spec, off_spec) = (part(&|share| share), part(&|share| 1.0 - share));
    let of = |worth: &Worth| &(&on_spec * worth.on_spec) + &(&off_spec * &worth.off_spec);
    let worth = worth.map(|worth| (of(worth), worth.sources));
    Way {
        expanded: worth
            .as_ref()
            .map(|(worth, sources)| sources.expanded(worth, confidence)),
        worth: worth.map(|(worth, _)| worth),
        sold,
        on_spec,
        off_spec,
    }
}

/// The way that is worth most, where it is worth more than the one stated beyond its ±.
pub(super) fn best(
    ways: &[Way],
    stated: Sold,
    sources: &Sources,
    confidence: f64,
) -> Option<(SoldAs, Gained)> {
    let as_stated = match stated {
        Sold::Together => SoldAs::Together,
        Sold::CropByCrop => SoldAs::CropByCrop,
    };
    let now = ways
        .iter()
        .find(|way| way.sold == as_stated)?
        .worth
        .as_ref()?;
    let known = ways
        .iter()
        .filter_map(|way| Some((way.sold, way.worth.as_ref()?)));
    let (sold, most) = known.max_by(|a, b| a.1.value().total_cmp(&b.1.value()))?;
    let gained = most - now;
    let expanded = sources.expanded(&gained, confidence);
    (gained.value() > expanded).then(|| {
        let value = gained.value();
        (sold, Gained { value, expanded })
    })
}
