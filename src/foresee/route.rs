//! A route that was never run.
//!
//! In: routes that the campaign file declares, the runs made, the routes that were run as the models see them. Out: [`Route`]s.
//! This module never lets a reagent that falls short or a liquor pass for yield.

use serde::Serialize;

use super::bars::{Bar, Settings, bars};
use super::{Figure, Known, MILLILITRES, NotForeseen, curve};
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
#[derive(Debug, Clone, Serialize)]
pub struct Route {
    /// Its name.
    pub route: String,
    /// Runs that took it.
    pub runs: usize,
    /// Its equation as it was written.
    pub equation: Option<String>,
    /// The largest part of theory that its equation allows \[fraction\].
    pub ceiling: f64,
    /// What the runs made let expect \[fraction of theory\].
    #[serde(rename = "yield")]
    pub expected: Option<Expected>,
    /// The largest part of theory that ceiling and reagents allow \[fraction\].
    pub upper_bound: f64,
    /// The reagent that falls short.
    pub short: Option<String>,
    /// Product that the charge can give if all of the followed element ends in it \[g\].
    pub theory: f64,
    /// Runs in the middle of which that is; none where it is for 100 g of product at the ceiling.
    pub charges: usize,
    /// What goes in.
    pub needs: Vec<Substance>,
    /// What comes out, at the ceiling.
    pub gives: Vec<Substance>,
    /// What the last liquor keeps, where that can be told.
    pub keeps: Option<Kept>,
    /// Why not, where the route says how it ends.
    #[serde(skip)]
    pub not_told: Option<NotForeseen>,
    /// What brings the followed element, where it is more than one substance.
    #[serde(skip)]
    pub brought_by: Vec<String>,
    /// What the campaign file says of it.
    #[serde(skip)]
    pub plan: RoutePlan,
    /// What the campaign file bars of it.
    #[serde(skip)]
    pub bars: Vec<Bar>,
    /// Time that a run takes \[min\].
    pub time: Option<f64>,
}

/// A substance with its mass.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Substance {
    /// As it is written.
    pub formula: String,
    /// What reacts or comes \[g\].
    pub mass: f64,
    /// Its volume at 20 degC and 1 atm, of a gas \[L\].
    pub gas_volume: Option<f64>,
    /// What a run is charged with, where the campaign file says it \[g\].
    pub charged: Option<f64>,
}

/// Product in the last liquor.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Kept {
    /// Its mass \[g\].
    pub mass: Figure,
    /// The same as a part of theory, where runs tell the charge \[fraction\].
    pub of_theory: Option<f64>,
    /// Where the solubility comes from.
    #[serde(skip)]
    pub source: String,
}

/// What the runs made let expect of the yield.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Expected {
    /// Yield, with its standard uncertainty for a further route or a further run \[fraction of theory\].
    #[serde(flatten)]
    pub figure: Figure,
    /// Part of their ceiling that the routes or runs reached: mean, lowest and highest.
    #[serde(skip)]
    pub share: [f64; 3],
    /// From what.
    #[serde(skip)]
    pub basis: Basis,
    /// Whether it was cut to what the last liquor leaves.
    #[serde(skip)]
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
    let charges = theories.len();
    let theory = middle(theories).unwrap_or(A_HUNDRED_GRAMS / plan.ceiling);
    let (needs, gives, brought_by) = substances(plan, chemistry, theory);
    let short = needs.iter().filter_map(|of| {
        let part = of.charged? / of.mass;
        (part < 1.0 && charges > 0).then_some((part, of))
    });
    let short = short.min_by(|a, b| a.0.total_cmp(&b.0));
    let most = plan.ceiling * short.as_ref().map_or(1.0, |(part, _)| *part);
    let ends = plan.end_volume.zip(plan.end_temperature);
    let kept = ends.map(|(volume, temperature)| {
        let kept = kept_at(volume, temperature, known)?;
        Ok(Kept {
            of_theory: (charges > 0).then_some(kept.mass.value / theory),
            ..kept
        })
    });
    let kept = kept.transpose();
    let liquor = kept.as_ref().ok().and_then(|kept| kept.as_ref()?.of_theory);
    let expected = expected(plan, known).map(|expected| {
        let Figure { value, u } = expected.figure;
        let room = (most - liquor.unwrap_or(0.0)).max(0.0);
        Expected {
            figure: Figure {
                value: (most * value).min(room),
                u: u.map(|share| most * share),
            },
            is_cut: most * value > room,
            ..expected
        }
    });
    let settings = Settings {
        route: Some(&plan.name),
        end_volume: plan.end_volume,
        end_temperature: plan.end_temperature,
    };
    Route {
        route: plan.name.clone(),
        runs: runs_of(plan, known).count(),
        equation: plan.equation.as_ref().map(|of| of.text.clone()),
        ceiling: plan.ceiling,
        expected,
        upper_bound: most,
        short: short.map(|(_, of)| of.formula.clone()),
        theory,
        charges,
        needs,
        gives,
        not_told: kept.as_ref().err().cloned(),
        keeps: kept.ok().flatten(),
        brought_by,
        bars: bars(known.campaign, &settings),
        time: plan.time,
        plan: plan.clone(),
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
        gas_volume: None,
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
            gas_volume: is_gas.then_some(moles * LITRES_OF_A_MOLE),
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

fn kept_at(volume: f64, temperature: f64, known: &Known) -> Result<Kept, NotForeseen> {
    let curve = curve(known.campaign)?;
    let liquor = curve.saturated(temperature);
    let liquor = liquor.map_err(NotForeseen::OutOfTable)?;
    let mass = liquor.product_per_litre * volume / MILLILITRES;
    Ok(Kept {
        mass: Figure::of(mass, mass * liquor.relative_uncertainty()),
        of_theory: None,
        source: curve.source().to_string(),
    })
}

/// The part of its ceiling that a route may reach, as the others did.
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
            figure: Figure {
                value: *share,
                u: *uncertainty,
            },
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
        figure: Figure {
            value: share,
            u: (n > 1.0).then(|| further(n)),
        },
        share: [
            share,
            shares.iter().copied().fold(f64::INFINITY, f64::min),
            shares.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        ],
        basis,
        is_cut: false,
    })
}
