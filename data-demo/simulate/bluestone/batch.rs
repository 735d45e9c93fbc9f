//! What happens in one run, and what of it is written down?
//!
//! In: the plan, the lot, the shelf, the bench and draws. Out: one run with all that its logs say.
//! This module never looks at another run, except through the residue on the shelf.

use super::bench::{Bench, PRODUCT_MOLAR_MASS};
use super::draws::{Draws, logged};
use super::lots::Lot;
use super::mechanism::{self, Settings};
use super::plan::Planned;
use super::recovery::{self, Crop, Dissolved};
use super::shelf::{Charge, Shelf};

/// Molar masses [g/mol]. Source: IUPAC abridged standard atomic weights 2021.
const SCALE_MOLAR_MASS: f64 = 79.545;
const PEROXIDE_MOLAR_MASS: f64 = 34.014;
const CARBON_MOLAR_MASS: f64 = 12.011;
const ACID_MOLAR_MASS: f64 = 98.072;

/// The oxidant as the campaign file declares it: assay, electrons taken, electrons needed per copper and per carbon.
const OXIDANT_ASSAY: f64 = 0.30;
const ELECTRONS_TAKEN: f64 = 2.0;
const ELECTRONS_PER_COPPER: f64 = 0.4;
const ELECTRONS_PER_CARBON: f64 = 4.0;

/// Standard deviation of yield from run to run.
const YIELD_SCATTER: f64 = 0.018;
/// Standard deviation of purity from run to run.
const PURITY_SCATTER: f64 = 0.0027;
/// Bag heterogeneity of the assay, as the campaign file states.
const SAMPLING: f64 = 0.003;
/// Scatter of the platform balance [g], as the campaign file states.
const PLATFORM: f64 = 0.1;
/// Standard uncertainty of a residue's assay, as logged.
pub const RESIDUE_ASSAY_UNCERTAINTY: f64 = 0.006;
/// Share of the copper in the residue when nothing was varied.
const RESIDUE_SHARE: f64 = 0.11;

/// The run whose second crop was never titrated.
const UNTITRATED: &str = "B-023";
/// The run that boiled over: so much of its solution was left.
const SET_ASIDE: &str = "B-041";
const LEFT_IN_THE_DISH: f64 = 0.7;
/// The run whose residue is typed ten times too heavy.
const MISTYPED: &str = "B-054";

/// Insoluble rest of a run.
#[derive(Debug, Clone)]
pub struct Residue {
    /// Mass as logged [g].
    pub mass: f64,
    /// Mass fraction of CuO as logged.
    pub assay: f64,
    /// Mass fraction of CuO in truth.
    pub true_assay: f64,
}

/// One run as logged.
#[derive(Debug, Clone)]
pub struct Batch {
    /// Name of the run.
    pub name: String,
    /// Day, ISO 8601.
    pub date: String,
    /// What was set.
    pub settings: Settings,
    /// Fresh scale [g].
    pub feed_mass: f64,
    /// Hydrogen peroxide solution [g].
    pub oxidant_mass: f64,
    /// Residue charged.
    pub charge: Charge,
    /// Sulfuric acid, 96 % [g].
    pub acid_mass: f64,
    /// Alcohol [g].
    pub alcohol_mass: f64,
    /// Work [min].
    pub labour: f64,
    /// Time on the filter [min].
    pub filter_minutes: f64,
    /// Last mother liquor [mL].
    pub liquor_volume: f64,
    /// Product in it [g/L].
    pub liquor_concentration: f64,
    /// Why the run is kept out of every fit; empty when it is not.
    pub set_aside: &'static str,
    /// One crop or two.
    pub crops: Vec<Crop>,
    /// Insoluble rest.
    pub residue: Residue,
}

/// Whether the residue of this run must not go into another.
pub fn is_doubtful(run: &str) -> bool {
    run == SET_ASIDE || run == MISTYPED
}

/// Makes one run and writes its log.
pub fn make(
    planned: &Planned,
    lot: &Lot,
    shelf: &mut Shelf,
    bench: &Bench,
    draws: &mut Draws,
) -> Batch {
    let feed_mass = logged(500.0 + draws.bounded(6.0), 1);
    let mut charge = shelf.take(planned.residue_ratio * feed_mass);
    charge.mass = logged(charge.mass, 1);

    // What the chemist knows: oxidant and acid are weighed by the logged assays.
    let copper = (feed_mass * lot.assay + charge.mass * charge.assay) / SCALE_MOLAR_MASS;
    let carbon = feed_mass * lot.carbon / CARBON_MOLAR_MASS;
    let needed = ELECTRONS_PER_COPPER * copper + ELECTRONS_PER_CARBON * carbon;
    let grams_per_electron = PEROXIDE_MOLAR_MASS / OXIDANT_ASSAY / ELECTRONS_TAKEN;
    let aim = planned.oxidant_excess + draws.bounded(0.7);
    let oxidant_mass = logged(needed * (1.0 + aim / 100.0) * grams_per_electron, 0);
    let settings = Settings {
        lot: planned.lot,
        heating: planned.heating,
        route: planned.route,
        oxidant_excess: 100.0 * (oxidant_mass / grams_per_electron / needed - 1.0),
        residue_ratio: charge.mass / feed_mass,
    };

    // What is true: the copper really charged, as product, and where it goes.
    let fresh = (feed_mass + draws.bounded(PLATFORM)) * (lot.true_assay + draws.bounded(SAMPLING));
    let recharged = if charge.mass > 0.0 {
        charge.mass + draws.bounded(PLATFORM)
    } else {
        0.0
    };
    let theory = (fresh + recharged * charge.true_assay) * PRODUCT_MOLAR_MASS / SCALE_MOLAR_MASS;
    let shares = Shares::draw(&settings, draws);
    let left = if planned.name == SET_ASIDE {
        LEFT_IN_THE_DISH
    } else {
        1.0
    };
    let dissolved = Dissolved {
        run: planned.number,
        route: planned.route,
        in_crops: left * shares.crops * theory,
        in_liquor: left * shares.liquor * theory,
        purity: purity(&settings, draws),
    };
    let mut recovered = recovery::recover(&dissolved, bench, draws);
    if planned.name == UNTITRATED {
        recovered.crops[1].titres.clear();
    }

    let gangue = draws.between(0.56, 0.68) * feed_mass * (1.0 - lot.true_assay)
        + 0.92 * recharged * (1.0 - charge.true_assay);
    let oxide = shares.residue * theory * SCALE_MOLAR_MASS / PRODUCT_MOLAR_MASS;
    let true_assay = oxide / (oxide + gangue);
    let typed = if planned.name == MISTYPED { 10.0 } else { 1.0 };
    let residue = Residue {
        mass: logged(oxide + gangue, 1) * typed,
        assay: logged(true_assay + draws.bounded(RESIDUE_ASSAY_UNCERTAINTY), 4),
        true_assay,
    };

    let (labour, filter_minutes, alcohol_mass) = match planned.route {
        "boildown" => (85.0, 20.0, 0.0),
        "spirit" => (70.0, 12.0, 1000.0 + draws.bounded(25.0)),
        _ => (55.0, 14.0, 0.0),
    };
    Batch {
        name: planned.name.clone(),
        date: planned.date.clone(),
        feed_mass,
        oxidant_mass,
        acid_mass: logged(1.06 * copper * ACID_MOLAR_MASS / 0.96, 0),
        alcohol_mass: logged(alcohol_mass, 0),
        labour: logged(labour + draws.bounded(4.0), 0),
        filter_minutes: logged(
            filter_minutes + 22.0 * settings.residue_ratio + draws.bounded(2.0),
            1,
        ),
        liquor_volume: recovered.liquor_volume,
        liquor_concentration: recovered.liquor_concentration,
        set_aside: if planned.name == SET_ASIDE {
            "boiled over during the boil-down"
        } else {
            ""
        },
        crops: recovered.crops,
        settings,
        charge,
        residue,
    }
}

/// Where the copper of a run goes; with a small loss the shares add up to one.
struct Shares {
    crops: f64,
    liquor: f64,
    residue: f64,
}

impl Shares {
    fn draw(settings: &Settings, draws: &mut Draws) -> Self {
        let scatter = draws.normal(YIELD_SCATTER);
        let loss = draws.between(0.01, 0.02);
        let crops = mechanism::YIELD_CONSTANT
            + mechanism::sum(mechanism::truth().yields, settings)
            + mechanism::sum(mechanism::TANGLED_YIELD, settings)
            + scatter;
        let usual = Settings {
            lot: "A",
            heating: "muffle",
            route: "chill",
            oxidant_excess: mechanism::BEST_EXCESS,
            residue_ratio: 0.0,
        };
        let residue = RESIDUE_SHARE + mechanism::leaching(&usual)
            - mechanism::leaching(settings)
            - scatter / 2.0;
        let liquor = 1.0 - loss - crops - residue;
        assert!(
            liquor > 0.0 && residue > 0.0,
            "a run cannot leave less than nothing behind"
        );
        Self {
            crops,
            liquor,
            residue,
        }
    }
}

fn purity(settings: &Settings, draws: &mut Draws) -> f64 {
    mechanism::PURITY_CONSTANT
        + mechanism::sum(mechanism::truth().purity, settings)
        + mechanism::sum(mechanism::TANGLED_PURITY, settings)
        + draws.bounded(PURITY_SCATTER)
}
