//! A route that was never run, in words.
//!
//! In: the route. Out: sentences, tables and cautions.
//! This module never recommends a route: it says what would come and what bars it.

use super::Told;
use super::of_crops::{common_ion, product};
use super::refused::in_words;
use crate::campaign::{NeverIs, StandsFor};
use crate::foresee::{Bar, BarredBy, Basis, Foreseen, Route, Scale, Substance};
use crate::pipeline::Analysis;
use crate::report::cautions;
use crate::report::print::{
    Cell, Columns, Table, and_list, count, percent, plain, plus_minus, when,
};

pub(super) fn told(route: &Route, analysis: &Analysis) -> Told {
    let plan = &route.plan;
    let product = product(analysis);
    let run = match route.runs {
        0 => "never run".to_string(),
        runs => format!("run {} times by now", runs),
    };
    let mut lines: Vec<String> = route.bars.iter().map(|bar| barred(bar, analysis)).collect();
    lines.extend(plan.equation.as_ref().map(|of| of.text.clone()));
    lines.extend(yield_in_words(route, analysis, &product));
    lines.extend(gases(route));
    if let Some(minutes) = plan.time {
        lines.push(format!(
            "A run takes {} min, as the campaign file says.",
            plain(minutes)
        ));
    }
    let tables = [
        table(&route.needs, "What goes in?", "goes in"),
        table(&route.gives, "What comes out?", "comes out"),
    ];
    if !route.needs.is_empty() {
        lines.push(match route.scale {
            Scale::OfRuns(runs) => format!(
                "Masses of pure substances for the middle charge of {}, which can give {} g of {product} in theory:",
                count(runs, "run"),
                plain(route.theory)
            ),
            Scale::OfProduct => format!(
                "Masses of pure substances for 100 g of {product}, because no run tells a charge:"
            ),
        });
    }
    Told {
        heading: format!("Route {}, {run}", plan.name),
        lines,
        tables: tables.into_iter().flatten().collect(),
        rests_on: rests_on(route, analysis),
        doubts: doubts(route, analysis),
        tests: tests(route, analysis),
    }
}

fn yield_in_words(route: &Route, analysis: &Analysis, product: &str) -> Vec<String> {
    let plan = &route.plan;
    let by = match &plan.equation {
        Some(_) => "its equation allows",
        None => "the campaign file states as its ceiling",
    };
    let mut lines = vec![format!(
        "{} of theory is what {by}: an upper bound of the yield.",
        percent(plan.ceiling, 1)
    )];
    if let Some(short) = &route.short {
        lines.push(format!(
            "{short} falls short at the mass stated under `reagents`, so that {} is the most.",
            percent(route.most, 1)
        ));
    }
    if !route.brought_by.is_empty() {
        lines.push(format!(
            "That is counted on what {} bring together.",
            and_list(&route.brought_by)
        ));
    }
    match &route.kept {
        Some(Ok(kept)) => {
            let mass = plus_minus(kept.mass, analysis.coverage_factor() * kept.uncertainty);
            let part = kept.of_theory.map_or_else(String::new, |part| {
                format!(", {} of theory", percent(part, 1))
            });
            let (volume, at) = (plan.end_volume, plan.end_temperature);
            lines.push(format!(
                "Of that, {mass} g of {product}{part} stay in {} mL of liquor at {} degC.",
                plain(volume.unwrap_or_default()),
                plain(at.unwrap_or_default())
            ));
        }
        Some(Err(reason)) => lines.push(format!(
            "What stays in the last liquor cannot be told: {}.",
            in_words(reason)
        )),
        None => {}
    }
    let Some(expected) = &route.expected else {
        lines.push("What part of it is reached, no run tells.".into());
        return lines;
    };
    let value = percent(expected.value, 1);
    let [_, low, high] = expected.share.map(|share| percent(share, 0));
    lines.push(match expected.basis {
        Basis::Itself => format!("{value} is what its own runs give by the model; see `residuum routes`."),
        Basis::Routes(routes) => format!(
            "{value} is to be expected if it reaches as much of its ceiling as the {routes} routes that were run ({low} to {high})."
        ),
        Basis::Runs(runs) => format!(
            "{value} is to be expected if it reaches as much of its ceiling as {} did ({low} to {high}).",
            count(runs, "run")
        ),
    });
    if expected.is_cut {
        lines.push(
            "That is all that the last liquor leaves; the runs made would let expect more.".into(),
        );
    }
    lines
}

fn table(substances: &[Substance], question: &str, heading: &str) -> Option<Table> {
    let any = |of: fn(&Substance) -> bool| substances.iter().any(of);
    let mut rows = Columns::of(substances);
    rows.words(heading, |of| &of.formula);
    rows.figures("mass / g", |of| Cell::plain(of.mass));
    rows.figures("charged / g", |of| of.charged)
        .when(any(|of| of.charged.is_some()));
    rows.figures("as gas at 20 degC and 1 atm / L", |of| of.litres)
        .when(any(|of| of.litres.is_some()));
    (!substances.is_empty()).then(|| rows.answer(question))
}

fn gases(route: &Route) -> Vec<String> {
    let names = |of: &[Substance]| {
        let gases = of.iter().filter(|substance| substance.litres.is_some());
        let gases: Vec<String> = gases.map(|gas| gas.formula.clone()).collect();
        (!gases.is_empty()).then(|| and_list(gases))
    };
    let off = names(&route.gives).map(|gases| {
        format!("{gases} may come off as gas: never in a closed vessel, under a hood that draws.")
    });
    let led_in = names(&route.needs).map(|gases| {
        format!("{gases} may go in as gas: never under pressure in gear that is not made for it, and not faster than it is taken up.")
    });
    off.into_iter().chain(led_in).collect()
}

fn rests_on(route: &Route, analysis: &Analysis) -> Vec<String> {
    let mut rests_on = Vec::new();
    rests_on.push(match &route.plan.equation {
        Some(_) => "from stoichiometry: the ceiling and all masses, an upper bound of what comes"
            .to_string(),
        None => "stated in the campaign file: the ceiling".to_string(),
    });
    if let Scale::OfRuns(runs) = route.scale {
        rests_on.push(format!(
            "measured here: the charge of {}",
            count(runs, "run")
        ));
    }
    rests_on.extend(route.expected.map(|expected| match expected.basis {
        Basis::Itself => "measured here: the yield of its own runs".to_string(),
        Basis::Routes(_) => {
            "measured here, on other routes: the part of the ceiling that is reached".to_string()
        }
        Basis::Runs(_) => {
            "measured here, whatever the route: the part of the ceiling that is reached".to_string()
        }
    }));
    if let Some(Ok(_)) = route.kept {
        let liquors = analysis.findings.liquors.as_ref();
        let source = liquors.map_or("", |liquors| liquors.source.as_str());
        rests_on.push(format!(
            "from tables: what the last liquor keeps, of the pure salt in water{}{source}",
            when(!source.is_empty(), "; ")
        ));
    }
    rests_on
}

fn doubts(route: &Route, analysis: &Analysis) -> Vec<String> {
    let mut doubts = Vec::new();
    if route.plan.equation.is_some() {
        doubts.push("an equation says what can react, not that it does, how fast, or what reacts beside it: reagents are usually needed in excess".to_string());
    }
    if route.expected.is_some_and(|of| of.basis != Basis::Itself) {
        doubts.push("nothing that was measured here is of this route: it may do better or worse than any that was run".into());
    }
    if let Some(Ok(_)) = route.kept {
        let ion = common_ion(analysis).map_or_else(String::new, |ion| format!(", as {ion} has"));
        doubts.push(format!(
            "by-products and reagents left over stay in that liquor: a common ion{ion} keeps less of the product there, another salt may keep more; a liquor may stay supersaturated"
        ));
    }
    doubts
}

fn tests(route: &Route, analysis: &Analysis) -> Vec<String> {
    let name = &route.plan.name;
    if !route.bars.is_empty() {
        return vec!["none, as long as the campaign file bars it".into()];
    }
    let mut tests = vec![format!(
        "one run by {name} on a small scale, logged like the others, with volume and strength of its liquor; a second one tells its scatter"
    )];
    let factor = analysis.campaign.factor_for(StandsFor::Route);
    if let Some(factor) = factor.filter(|factor| !factor.declares(name) && route.runs == 0) {
        tests.push(format!(
            "name it under `levels` of `[factors.{}]`, and `residuum next` plans runs for it",
            factor.name
        ));
    }
    tests
}

/// What the campaign file bars.
pub(super) fn barred(bar: &Bar, analysis: &Analysis) -> String {
    let place = format!("`{}` line {}", analysis.campaign.file, bar.line);
    let called = analysis.campaign.called(&bar.factor);
    match &bar.by {
        BarredBy::Never { together_with } if together_with.is_empty() => {
            format!("Barred: {place} says that this {called} is never to be run.")
        }
        BarredBy::Never { together_with } => {
            let others = together_with.iter().map(|part| {
                let called = analysis.campaign.called(&part.factor);
                match &part.is {
                    NeverIs::Level(level) => format!("{called} {level}"),
                    NeverIs::Amounts { .. } => format!("the {called} named there"),
                }
            });
            let others = and_list(others);
            format!(
                "Barred in part: {place} says that this {called} is never to be run together with {others}."
            )
        }
        BarredBy::Outside { value, end, unit } => format!(
            "Barred: {called} {} {unit} lies beyond its declared end, {} {unit}, in {place}.",
            plain(*value),
            plain(*end)
        ),
    }
}

/// Cautions of all that goes in and comes out, and of what is at hand where a liquor is worked on.
pub(super) fn cautions(found: &Foreseen, analysis: &Analysis) -> Vec<String> {
    let of_routes = found.routes.iter();
    let of_routes = of_routes.flat_map(|route| route.needs.iter().chain(&route.gives));
    let mut present: Vec<String> = Vec::new();
    let names = of_routes.map(|substance| substance.formula.clone());
    for name in names.chain(analysis.campaign.hazards.iter().cloned()) {
        if name != WATER && !present.contains(&name) {
            present.push(name);
        }
    }
    cautions::of(&present)
}

const WATER: &str = "H2O";
