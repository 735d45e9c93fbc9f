//! A route that was never run, in words.
//!
//! In: the route. Out: sentences, tables and cautions.
//! This module never recommends a route: it says what would come and what bars it.

use super::refused::in_words;
use super::{NONE, Of, Told};
use crate::campaign::StandsFor;
use crate::decide::common_ion;
use crate::foresee::{Basis, Route, Substance};
use crate::report::print::{Cell, Columns, Table, and_list, around, count, percent, plain};

pub(super) fn told(route: &Route, of: &Of) -> Told {
    let product = of.product();
    let run = match route.runs {
        0 => "never run".to_string(),
        1 => "run once by now".to_string(),
        runs => format!("run {runs} times by now"),
    };
    let mut lines: Vec<String> = route.equation.clone().into_iter().collect();
    lines.extend(yield_in_words(route, of));
    lines.extend(gases(route));
    if let Some(minutes) = route.time {
        let minutes = plain(minutes);
        lines.push(format!(
            "A run takes {minutes} min, as the campaign file says."
        ));
    }
    let tables = [
        table(&route.needs, "What goes in?", "goes in"),
        table(&route.gives, "What comes out?", "comes out"),
    ];
    if !route.needs.is_empty() {
        lines.push(match route.charges {
            0 => format!("Masses of pure substances for 100 g of {product}, because no run tells a charge:"),
            runs => format!(
                "Masses of pure substances for the middle charge of {}, which can give {} g of {product} in theory:",
                count(runs, "run"),
                plain(route.theory)
            ),
        });
    }
    Told {
        heading: format!("Route {}, {run}", route.route),
        barred: of.barred(&route.bars),
        lines,
        tables: tables.into_iter().flatten().collect(),
        rests_on: rests_on(route),
        doubts: doubts(route, of),
        tests: tests(route, of),
    }
}

fn yield_in_words(route: &Route, of: &Of) -> Vec<String> {
    let by = match &route.equation {
        Some(_) => "its equation allows",
        None => "the campaign file states as its ceiling",
    };
    let mut lines = vec![format!(
        "{} of theory is what {by}: an upper bound of the yield.",
        percent(route.ceiling, 1)
    )];
    if let Some(short) = &route.short {
        lines.push(format!(
            "{short} falls short at the mass stated under `reagents`, so that {} is the most.",
            percent(route.upper_bound, 1)
        ));
    }
    if !route.brought_by.is_empty() {
        lines.push(format!(
            "That is counted on what {} bring together.",
            and_list(&route.brought_by)
        ));
    }
    if let Some(kept) = &route.keeps {
        let part = kept
            .of_theory
            .map_or_else(String::new, |part| percent(part, 1));
        let part = around(", ", &part, " of theory");
        let (volume, at) = (route.plan.end_volume, route.plan.end_temperature);
        lines.push(format!(
            "Of that, {} g of {}{part} stay in {} mL of liquor at {} degC.",
            of.figure(kept.mass),
            of.product(),
            plain(volume.unwrap_or_default()),
            plain(at.unwrap_or_default())
        ));
    }
    if let Some(reason) = &route.not_told {
        let reason = in_words(reason);
        lines.push(format!(
            "What stays in the last liquor cannot be told: {reason}."
        ));
    }
    let Some(expected) = &route.expected else {
        lines.push("What part of it is reached, no run tells.".into());
        return lines;
    };
    let value = percent(expected.figure.value, 1);
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
    rows.figures("as gas at 20 degC and 1 atm / L", |of| of.gas_volume)
        .when(any(|of| of.gas_volume.is_some()));
    (!substances.is_empty()).then(|| rows.answer(question))
}

fn gases(route: &Route) -> Vec<String> {
    let names = |of: &[Substance]| {
        let gases = of.iter().filter(|substance| substance.gas_volume.is_some());
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

fn rests_on(route: &Route) -> Vec<String> {
    let mut rests_on = vec![
        match &route.equation {
            Some(_) => {
                "from stoichiometry: the ceiling and all masses, an upper bound of what comes"
            }
            None => "stated in the campaign file: the ceiling",
        }
        .to_string(),
    ];
    if route.charges > 0 {
        let runs = count(route.charges, "run");
        rests_on.push(format!("measured here: the charge of {runs}"));
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
    rests_on.extend(route.keeps.as_ref().map(|kept| {
        let source = &kept.source;
        format!("from tables: what the last liquor keeps, of the pure salt in water; {source}")
    }));
    rests_on
}

fn doubts(route: &Route, of: &Of) -> Vec<String> {
    let mut doubts = Vec::new();
    if route.equation.is_some() {
        doubts.push("an equation says what can react, not that it does, how fast, or what reacts beside it: reagents are usually needed in excess".to_string());
    }
    if route
        .expected
        .is_some_and(|expected| expected.basis != Basis::Itself)
    {
        doubts.push("nothing that was measured here is of this route: it may do better or worse than any that was run".into());
    }
    if route.keeps.is_some() {
        let ion = common_ion(of.campaign).unwrap_or_default();
        let ion = around(", as ", &ion, " has,");
        doubts.push(format!(
            "by-products and reagents left over stay in that liquor: a common ion{ion} keeps less of the product there, another salt may keep more; a liquor may stay supersaturated"
        ));
    }
    doubts
}

fn tests(route: &Route, of: &Of) -> Vec<String> {
    let name = &route.route;
    if !route.bars.is_empty() {
        return vec![NONE.into()];
    }
    let mut tests = vec![format!(
        "one run by {name} on a small scale, logged like the others, with volume and strength of its liquor; a second one tells its scatter"
    )];
    let factor = of.campaign.factor_for(StandsFor::Route);
    if let Some(factor) = factor.filter(|factor| !factor.declares(name) && route.runs == 0) {
        tests.push(format!(
            "name it under `levels` of `[factors.{}]`, and `residuum next` plans runs for it",
            factor.name
        ));
    }
    tests
}
