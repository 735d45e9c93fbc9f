//! What was never run: a crop never taken, a route never run, a wash in portions.
//!
//! In: what is asked, the campaign, its runs and what was found. Out: [`Foreseen`], or the reason why there is none.
//! This module never words an answer, never reads a solubility outside its table and never recommends anything.

mod bars;
mod crop;
mod liquors;
mod route;
mod wash;

pub use bars::{Bar, BarredBy};
pub use crop::{Crop, CropAsked, CropFrom, CropOfRun, Strength};
pub use liquors::{Liquor, logged_liquors, other_solvents, saturated_liquors};
pub use route::{Basis, Expected, Kept, Route, Substance};
pub use wash::{Dissolved, Held, Logged, Wash, WashAsked};

use serde::Serialize;

use crate::campaign::{Campaign, RoutePlan};
use crate::chemistry::AtomicWeights;
use crate::crystallisation::{Curve, NoCrop, OutOfTable, Unknown};
use crate::decide::Routes;
use crate::measured::Sources;
use crate::runs::Runs;

/// Millilitres in a litre.
const MILLILITRES: f64 = 1000.0;

/// A figure with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Figure {
    /// The figure.
    pub value: f64,
    /// Its standard uncertainty; `None` where nothing is known of it.
    pub u: Option<f64>,
}

impl Figure {
    fn of(value: f64, u: f64) -> Self {
        let u = Some(u);
        Figure { value, u }
    }
}

/// What is asked.
#[derive(Debug, Clone, Default)]
pub struct Asked<'a> {
    /// A crop.
    pub crop: Option<CropAsked>,
    /// Routes.
    pub routes: Vec<&'a RoutePlan>,
    /// A wash.
    pub wash: Option<WashAsked>,
}

/// What it is answered from.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// The campaign file.
    pub campaign: &'a Campaign,
    /// Runs on one footing.
    pub runs: &'a Runs,
    /// Liquors of the log.
    pub liquors: &'a [Liquor],
    /// Runs whose liquor is no plain solution of the product.
    pub other_solvents: &'a [String],
    /// The routes that were run, as the models see them.
    pub routes: Option<&'a Routes>,
}

/// What is foreseen.
#[derive(Debug, Clone)]
pub struct Foreseen {
    /// The crop, where one was asked for.
    pub crop: Option<Crop>,
    /// The routes asked for.
    pub routes: Vec<Route>,
    /// The wash, where one was asked for.
    pub wash: Option<Wash>,
}

impl Foreseen {
    /// Whether the campaign file bars any of it.
    pub fn is_barred(&self) -> bool {
        let crop = self.crop.iter().flat_map(|crop| &crop.bars);
        let routes = self.routes.iter().flat_map(|route| &route.bars);
        crop.chain(routes).next().is_some()
    }
}

/// Why nothing is foreseen.
#[derive(Debug, Clone, PartialEq)]
pub enum NotForeseen {
    /// The campaign names no product.
    NoProduct,
    /// Nothing is known of the solubility of the product.
    Unknown(Unknown),
    /// The solubility at that temperature cannot be read.
    OutOfTable(OutOfTable),
    /// A crop at that volume cannot be told.
    NoCrop(NoCrop),
    /// At that temperature the product dissolves in its own crystal water.
    MeltsInItsWater {
        /// The temperature \[degC\].
        temperature: f64,
    },
    /// No run logs the volume of its liquor with what tells its strength.
    NoLiquors,
    /// Every liquor of the log is smaller than what it should be boiled down to.
    AllSmaller {
        /// The largest \[mL\].
        largest: f64,
        /// What was asked for \[mL\].
        to: f64,
    },
}

/// Answers all that is asked.
///
/// # Errors
/// The first thing that stands in the way of the crop or of the wash; a route is answered as far as can be.
pub fn foresee(asked: &Asked, known: &Known) -> Result<Foreseen, NotForeseen> {
    let crop = asked.crop.map(|crop| {
        let curve = curve(known.campaign)?;
        crop::crop(&curve, &crop, known)
    });
    let crop = crop.transpose()?;
    let wash = asked.wash.map(|wash| wash::wash(&wash, known));
    Ok(Foreseen {
        crop,
        routes: route::routes(&asked.routes, known),
        wash: wash.transpose()?,
    })
}

/// The solubility of the product.
fn curve(campaign: &Campaign) -> Result<Curve, NotForeseen> {
    let chemistry = campaign.chemistry.as_ref().ok_or(NotForeseen::NoProduct)?;
    let weights = AtomicWeights::new(&mut Sources::default());
    let plan = campaign.solubility.as_ref();
    Curve::of(&chemistry.product, plan, &weights).map_err(NotForeseen::Unknown)
}
