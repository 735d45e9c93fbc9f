//! Product that the last liquors keep, and what another crop would bring.
//!
//! In: volume and temperature of the last filtration of each run, the solubility of the product. Out: [`Liquors`].
//! This module never guesses a temperature or reads a solubility outside its table.

use crate::campaign::Campaign;
use crate::chemistry::{AtomicWeights, Formula};
use crate::crystallisation::{Curve, DensityFrom, NoCrop, OutOfTable, next_crop};
use crate::distributions::middle;
use crate::measured::Sources;
use crate::runs::{CropResult, RunResult, Runs};

/// Part of the liquor that is left after boiling down for one more crop.
const BOILED_DOWN_TO: f64 = 0.5;

/// What the liquors of a campaign keep.
#[derive(Debug, Clone)]
pub struct Liquors {
    /// One entry a run that logs both.
    pub runs: Vec<Liquor>,
    /// Runs whose temperature the solubility does not reach, with the reason.
    pub refused: Vec<Refused>,
    /// Middle part of theory that plain solubility keeps in the last liquor \[fraction\].
    pub kept: Option<f64>,
    /// Middle of what one more crop would bring on boiling the last liquor down to half.
    pub next: Option<Next>,
    /// Where the solubility comes from.
    pub source: String,
    /// Whether the density was estimated.
    pub density_estimated: bool,
    /// Something declared that lowers the solubility, so that these figures are upper bounds.
    pub common_ion: Option<String>,
}

/// The last liquor of one run.
#[derive(Debug, Clone)]
pub struct Liquor {
    /// The run.
    pub run: String,
    /// Its last crop.
    pub crop: u32,
    /// Temperature of the filtration \[degC\].
    pub temperature: f64,
    /// Volume of the liquor \[mL\].
    pub volume: f64,
    /// Product that the liquor keeps when it is saturated \[g\].
    pub dissolved: f64,
    /// Standard uncertainty of that, from solubility and density \[g\].
    pub uncertainty: f64,
    /// The same as a part of theory \[fraction\].
    pub of_theory: Option<f64>,
    /// Product that comes when half of the liquor is boiled away \[g\].
    pub next_crop: f64,
    /// The crop to expect between the last two filtrations by solubility alone \[g\], where both were logged.
    pub expected: Option<f64>,
    /// The crop that came \[g\].
    pub came: f64,
    /// Whether the density was estimated.
    pub density_is_estimated: bool,
}

/// One more crop, in the middle of all runs.
#[derive(Debug, Clone, Copy)]
pub struct Next {
    /// Product \[g\].
    pub mass: f64,
    /// Standard uncertainty \[g\].
    pub uncertainty: f64,
    /// Part of theory \[fraction\].
    pub of_theory: f64,
}

/// A run for which the solubility says nothing.
#[derive(Debug, Clone)]
pub struct Refused {
    /// The run.
    pub run: String,
    /// Why.
    pub reason: NoLiquor,
}

/// Why the solubility says nothing of the liquor of a run.
#[derive(Debug, Clone, PartialEq)]
pub enum NoLiquor {
    /// The table does not reach its temperature.
    OutOfTable(OutOfTable),
    /// There is no further crop to work out.
    NoCrop(NoCrop),
    /// Its liquor holds far less than plain water would keep, so that something in it lowers the solubility.
    LowersSolubility {
        /// Most product that it can hold by its balance \[g\].
        most: f64,
        /// Product that plain water would keep \[g\].
        plain: f64,
    },
}

/// What the liquors keep; `None` without a solubility or without a run that logs volume and temperature.
pub(super) fn liquors(campaign: &Campaign, runs: &Runs) -> Option<Liquors> {
    let chemistry = campaign.chemistry.as_ref()?;
    let weights = AtomicWeights::new(&mut Sources::default());
    let curve = Curve::of(&chemistry.product, campaign.solubility.as_ref(), &weights).ok()?;
    let mut found = Vec::new();
    let mut refused = Vec::new();
    for run in runs.counted() {
        let mut filtrations = filtrations(run);
        let Some(last) = filtrations.pop() else {
            continue;
        };
        match liquor(&curve, run, &last, filtrations.pop()) {
            Ok(liquor) => found.push(liquor),
            Err(reason) => refused.push(Refused {
                run: run.run.clone(),
                reason,
            }),
        }
    }
    (found.len() + refused.len() > 0).then(|| Liquors {
        kept: middle(found.iter().filter_map(|liquor| liquor.of_theory).collect()),
        next: next(&found),
        density_estimated: found.iter().any(|liquor| liquor.density_is_estimated),
        runs: found,
        refused,
        source: curve.source().to_string(),
        common_ion: common_ion(campaign),
    })
}

/// A crop whose filtration logs volume and temperature.
struct Filtration<'r> {
    crop: &'r CropResult,
    volume: f64,
    temperature: f64,
}

fn filtrations(run: &RunResult) -> Vec<Filtration<'_>> {
    let logged = run.crops.iter().filter_map(|crop| {
        Some(Filtration {
            crop,
            volume: crop.liquor_volume?,
            temperature: crop.temperature?,
        })
    });
    logged.collect()
}

/// The last liquor of a run.
///
/// `m = L · V` with the solubility `L` of the product at the temperature of the filtration [g/L] and the volume `V` of the
/// liquor. The crop to expect is what was dissolved at the filtration before, less what the last liquor keeps.
///
/// # Assumes
/// The liquor is saturated at the filtration, and `V` is its volume there.
fn liquor(
    curve: &Curve,
    run: &RunResult,
    last: &Filtration,
    before: Option<Filtration>,
) -> Result<Liquor, NoLiquor> {
    let (temperature, volume) = (last.temperature, last.volume);
    let saturated = curve.saturated(temperature).map_err(NoLiquor::OutOfTable)?;
    let dissolved = saturated.product_per_litre * volume / 1000.0;
    if let Some(most) = at_most(run)
        && OTHER_SOLVENT * dissolved > most
    {
        return Err(NoLiquor::LowersSolubility {
            most,
            plain: dissolved,
        });
    }
    let next = next_crop(curve, temperature, volume, BOILED_DOWN_TO * volume);
    let expected = before.and_then(|before| {
        let saturated = curve.saturated(before.temperature).ok()?;
        let was = saturated.product_per_litre * before.volume / 1000.0;
        Some((was - dissolved).max(0.0))
    });
    let theory = run.theory_total.as_ref().ok();
    Ok(Liquor {
        run: run.run.clone(),
        crop: last.crop.crop,
        temperature,
        volume,
        dissolved,
        uncertainty: dissolved * saturated.relative_uncertainty(),
        of_theory: theory.map(|theory| dissolved / theory.value()),
        next_crop: next.map_err(NoLiquor::NoCrop)?.mass,
        expected,
        came: last.crop.mass.value(),
        density_is_estimated: matches!(saturated.density_from, DensityFrom::Estimated { .. }),
    })
}

/// A liquor that holds less than this part of saturation is no plain solution of the product: alcohol, say, was added.
/// Free acid lowers solubility by less, which the figures as upper bounds allow for. Common practice, no source.
const OTHER_SOLVENT: f64 = 0.5;

/// A figure counts as beyond another when it lies more than two standard uncertainties past it (about 95 %).
const COVERAGE: f64 = 2.0;

/// Most product that the liquor can hold \[g\]: what was found in it, else what the crops left of the charge.
fn at_most(run: &RunResult) -> Option<f64> {
    let theory = run.theory_total.as_ref().ok()?.value();
    let part = match (&run.balance.liquor, &run.balance.crops) {
        (Ok(liquor), _) => liquor.value() + COVERAGE * liquor.uncertainty(),
        (_, Ok(crops)) => 1.0 - crops.value() + COVERAGE * crops.uncertainty(),
        _ => return None,
    };
    Some(part * theory)
}

fn next(found: &[Liquor]) -> Option<Next> {
    let middle_of = |of: fn(&Liquor) -> Option<f64>| middle(found.iter().filter_map(of).collect());
    Some(Next {
        mass: middle_of(|liquor| Some(liquor.next_crop))?,
        uncertainty: middle_of(|liquor| {
            Some(liquor.next_crop * liquor.uncertainty / liquor.dissolved)
        })?,
        of_theory: middle_of(|liquor| {
            Some(liquor.next_crop * liquor.of_theory? / liquor.dissolved)
        })?,
    })
}

/// A declared acid that shares an element with the product besides oxygen and the followed one.
pub fn common_ion(campaign: &Campaign) -> Option<String> {
    let chemistry = campaign.chemistry.as_ref()?;
    let (product, followed) = (&chemistry.product, chemistry.followed.as_str());
    let lowers = |acid: &Formula| {
        let shares = |element: &str| {
            !["H", "O", followed].contains(&element) && product.atoms_of(element) > 0.0
        };
        acid.atoms_of("H") > 0.0
            && acid.atoms_of("C") == 0.0
            && acid.elements().any(shares)
            && *acid != *product
    };
    let mut declared = campaign.hazards.iter();
    let found = declared.find(|reagent| Formula::parse(reagent).is_ok_and(|acid| lowers(&acid)));
    found.cloned()
}
