//! A route that was never run.
//!
//! In: routes that the campaign file declares, the runs made, the routes that were run as the models see them. Out: [`Route`]s.
//! This module never lets a reagent that falls short or a liquor pass for yield.

use super::bars::{Bar, Settings, bars};
use super::{Known, NotForeseen, curve};
use crate::campaign::{Chemistry, RoutePlan};
use crate::chemistry::{AtomicWeights, Formula, Term};
use crate::distributions::{mean, middle};
use crate::measured::{Measured, Sources};
use crate::runs::RunResult;

/// Product that masses are stated for where no run tells a charge \[g\].
const A_HUNDRED_GRAMS: f64 = 100.0;

/// Litres of a mole of gas at 20 degC and 1 atm: `R·T/p` with `R` = 8.314462618 J/(mol K), 293.15 K and 101 325 Pa.
const LITRES_OF_A_MOLE: f64 = 8.314_462_618 * 293.15 / 101.325;

/// What is a gas at 20 degC and 1 atm. Common practice, no source.
const GASES: [&str; 27] = [
    "Ar", "BCl3", "BF3", "C2H2", "C2H4", "C2N2", "CH4", "CO", "CO2", "COCl2", "Cl2", "ClO2", "F2",
    "H2", "H2S", "HBr", "HCl", "HI", "N2", "N2O", "NH3", "NO", "NO2", "O2", "PH3", "SO2", "SiF4",
];

/// A route that was never run, or not yet that way.
#[derive(Debug, Clone)]
pub struct Route {
    /// What the campaign file says of it.
    pub plan: RoutePlan,
    /// Runs that took it.
    pub runs: usize,
    /// What masses are counted for.
    pub scale: Scale,
    /// Product that the charge can give if all of the followed element ends in it \[g\].
    pub theory: f64,
    /// What goes in.
    pub needs: Vec<Substance>,
    /// What comes out, at the ceiling.
    pub gives: Vec<Substance>,
    /// What brings the followed element, where it is more than one substance.
    pub brought_by: Vec<String>,
    /// The largest part of theory that ceiling and reagents allow \[fraction\].
    pub most: f64,
    /// The reagent that falls short.
    pub short: Option<String>,
    /// What the last liquor keeps, where the route says how it ends; or why that cannot be told.
    pub kept: Option<Result<Kept, NotForeseen>>,
    /// What the runs made let expect.
    pub expected: Option<Expected>,
    /// What the campaign file bars of it.
    pub bars: Vec<Bar>,
}

/// What masses are counted for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    /// The middle charge of so many runs.
    OfRuns(usize),
    /// 100 g of product at the ceiling.
    OfProduct,
}

/// A substance with its mass.
#[derive(Debug, Clone, PartialEq)]
pub struct Substance {
    /// As it is written.
    pub formula: String,
    /// What reacts or comes \[g\].
    pub mass: f64,
    /// Its volume at 20 degC and 1 atm, of a gas \[L\].
    pub litres: Option<f64>,
    /// What a run is charged with, where the campaign file says it \[g\].
    pub charged: Option<f64>,
}

/// Product in the last liquor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kept {
    /// Its mass \[g\].
    pub mass: f64,
    /// Standard uncertainty of that \[g\].
    pub uncertainty: f64,
    /// The same as a part of theory, where runs tell the charge \[fraction\].
    pub of_theory: Option<f64>,
}

/// What the runs made let expect of the yield.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Yield \[fraction of theory\].
    pub value: f64,
    /// Standard uncertainty of that, for a further route or a further run; `None` where it cannot be told.
    pub uncertainty: Option<f64>,
    /// Part of their ceiling that the routes or runs reached: mean, lowest and highest.
    pub share: [f64; 3],
    /// From what.
    pub basis: Basis,
    /// Whether it was cut to what the last liquor leaves.
    pub is_cut: bool,
}

/// What an expected yield rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// The route itself, which was run.
    Itself,
    /// Adjusted means of so many other routes.
    Routes(usize),
    /// So many runs, where no factor stands for the route or no model tells it.
    Runs(usize),
}

/// All routes that are asked for.
pub(super) fn routes(asked: &[&RoutePlan], known: &Known) -> Vec<Route> {
    let Some(chemistry) = &known.campaign.chemistry else {
        return Vec::new();
    };
    let route = |plan: &&RoutePlan| route(plan, chemistry, known);
    asked.iter().map(route).collect()
}

fn route(plan: &RoutePlan, chemistry: &Chemistry, known: &Known) -> Route {
    let theories = known.runs.counted();
    let theories = theories.filter_map(|run| run.theory_total.as_ref().ok());
    let theories: Vec<f64> = theories.map(Measured::value).collect();
    let scale = match theories.len() {
        0 => Scale::OfProduct,
        runs => Scale::OfRuns(runs),
    };
    let theory = middle(theories).unwrap_or(A_HUNDRED_GRAMS / plan.ceiling);
    let (needs, gives, brought_by) = substances(plan, chemistry, theory);
    let short = needs.iter().filter_map(|of| {
        let part = of.charged? / of.mass;
        (part < 1.0 && scale != Scale::OfProduct).then_some((part, of))
    });
    let short = short.min_by(|a, b| a.0.total_cmp(&b.0));
    let most = plan.ceiling * short.as_ref().map_or(1.0, |(part, _)| *part);
    let kept = plan.end_volume.zip(plan.end_temperature);
    let kept = kept.map(|(volume, temperature)| kept_at(volume, temperature, scale, theory, known));
    let liquor = kept.as_ref().and_then(|kept| kept.as_ref().ok()?.of_theory);
    let expected = expected(plan, known).map(|expected| {
        let value = most * expected.share[0];
        let room = (most - liquor.unwrap_or(0.0)).max(0.0);
        Expected {
            value: value.min(room),
            uncertainty: expected.uncertainty.map(|share| most * share),
            is_cut: value > room,
            ..expected
        }
    });
    let settings = Settings {
        route: Some(&plan.name),
        end_volume: plan.end_volume,
        end_temperature: plan.end_temperature,
    };
    Route {
        runs: runs_of(plan, known).count(),
        bars: bars(known.campaign, &settings),
        plan: plan.clone(),
        scale,
        theory,
        short: short.map(|(_, of)| of.formula.clone()),
        needs,
        gives,
        brought_by,
        most,
        kept,
        expected,
    }
}

/// Runs that took a route.
fn runs_of<'a>(plan: &'a RoutePlan, known: &'a Known) -> impl Iterator<Item = &'a RunResult> {
    let factor = known.routes.map(|routes| routes.factor.as_str());
    let column = factor.and_then(|factor| known.runs.factor(factor));
    let results = known.runs.results.iter().enumerate();
    let took = results.filter(move |(position, run)| {
        let level = column.and_then(|column| column.level(*position));
        run.set_aside.is_none() && level == Some(&plan.name)
    });
    took.map(|(_, run)| run)
}

/// What goes in and what comes out, in grams, and what brings the followed element where that is more than one substance.
///
/// `m = ν·M·N/a`: formula units `ν` of molar mass `M`, followed atoms `N` of the charge \[mol\], of which one formula of the
/// equation takes `a`.
fn substances(
    plan: &RoutePlan,
    chemistry: &Chemistry,
    theory: f64,
) -> (Vec<Substance>, Vec<Substance>, Vec<String>) {
    let Chemistry {
        product, followed, ..
    } = chemistry;
    let weights = AtomicWeights::new(&mut Sources::default());
    let charged = |formula: &Formula| {
        let mut reagents = plan.reagents.iter();
        let stated = reagents.find(|reagent| reagent.formula == *formula);
        stated.map(|reagent| reagent.mass)
    };
    let alone = |formula: &Formula, mass: f64| Substance {
        formula: formula.text().to_string(),
        mass,
        litres: None,
        charged: Some(mass),
    };
    let Some(equation) = &plan.equation else {
        let reagents = plan.reagents.iter();
        let needs = reagents.map(|reagent| alone(&reagent.formula, reagent.mass));
        return (needs.collect(), Vec::new(), Vec::new());
    };
    let atoms = theory / product.molar_mass(&weights).value() * product.atoms_of(followed);
    let turns = atoms / equation.atoms_brought(followed, product);
    let of_term = |term: &Term| {
        let moles = term.count * turns;
        let is_it = |gas: &&str| Formula::parse(gas).is_ok_and(|gas| gas == term.formula);
        let is_gas = term.charge == 0.0 && GASES.iter().any(is_it);
        Substance {
            formula: term.text.clone(),
            mass: moles * term.formula.molar_mass(&weights).value(),
            litres: is_gas.then_some(moles * LITRES_OF_A_MOLE),
            charged: None,
        }
    };
    let needs = equation.left.iter().map(|term| Substance {
        charged: charged(&term.formula),
        ..of_term(term)
    });
    let stands_there =
        |formula: &Formula| equation.left.iter().any(|term| term.formula == *formula);
    let besides = plan.reagents.iter();
    let besides = besides.filter(|reagent| !stands_there(&reagent.formula));
    let besides = besides.map(|reagent| alone(&reagent.formula, reagent.mass));
    let brings = equation.left.iter();
    let brings = brings.filter(|term| term.formula.atoms_of(followed) > 0.0);
    let brings: Vec<String> = brings.map(|term| term.text.clone()).collect();
    (
        needs.chain(besides).collect(),
        equation.right.iter().map(of_term).collect(),
        if brings.len() > 1 { brings } else { Vec::new() },
    )
}

fn kept_at(
    volume: f64,
    temperature: f64,
    scale: Scale,
    theory: f64,
    known: &Known,
) -> Result<Kept, NotForeseen> {
    let liquor = curve(known.campaign)?.saturated(temperature);
    let liquor = liquor.map_err(NotForeseen::OutOfTable)?;
    let mass = liquor.product_per_litre * volume / 1000.0;
    Ok(Kept {
        mass,
        uncertainty: mass * liquor.relative_uncertainty(),
        of_theory: (scale != Scale::OfProduct).then_some(mass / theory),
    })
}

/// The part of its ceiling that a route may reach, as the others did: in `value` and `share` alike.
///
/// The mean of the shares; for a further one `u = s·√(1 + 1/n)`, `s` the standard deviation of `n` shares.
///
/// # Assumes
/// The route is to the others what they are to each other.
/// # Source
/// Prediction of a further value of a normal sample; Hahn, G. J. and Meeker, W. Q., Statistical Intervals, 1991, section 4.7.
fn expected(plan: &RoutePlan, known: &Known) -> Option<Expected> {
    let levels = known.routes.iter().flat_map(|routes| &routes.levels);
    let told = levels.filter_map(|level| {
        let mean = level.mean_yield.as_ref().ok()?;
        let ceiling = level.ceiling.unwrap_or(1.0);
        let error = mean.standard_error.map(|error| error / ceiling);
        Some((level.level.as_str(), mean.value / ceiling, error))
    });
    let told: Vec<(&str, f64, Option<f64>)> = told.collect();
    if let Some((_, share, uncertainty)) = told.iter().find(|(level, ..)| *level == plan.name) {
        return Some(Expected {
            value: *share,
            uncertainty: *uncertainty,
            share: [*share; 3],
            basis: Basis::Itself,
            is_cut: false,
        });
    }
    let (shares, basis): (Vec<f64>, _) = if told.len() > 1 {
        let shares = told.iter().map(|(_, share, _)| *share);
        (shares.collect(), Basis::Routes(told.len()))
    } else {
        let runs = known.runs.counted().filter_map(|run| {
            let contained = run.contained.as_ref().ok()?.value();
            Some(contained / run.ceiling.unwrap_or(1.0))
        });
        let shares: Vec<f64> = runs.collect();
        let runs = shares.len();
        (shares, Basis::Runs(runs))
    };
    if shares.is_empty() {
        return None;
    }
    let (share, n) = (mean(&shares), shares.len() as f64);
    let squares: f64 = shares.iter().map(|one| (one - share).powi(2)).sum();
    let further = |n: f64| (squares / (n - 1.0) * (1.0 + 1.0 / n)).sqrt();
    Some(Expected {
        value: share,
        uncertainty: (n > 1.0).then(|| further(n)),
        share: [
            share,
            shares.iter().copied().fold(f64::INFINITY, f64::min),
            shares.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        ],
        basis,
        is_cut: false,
    })
}
