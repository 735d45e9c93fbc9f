//! What is foreseen, in words and as data.
//!
//! In: what was foreseen, from which runs. Out: text for a terminal, data, a fault where nothing can be foreseen.
//! This module never works out a mass.

pub mod data;
mod of_crops;
mod of_routes;
mod of_washes;
pub mod refused;
pub mod terminal;

use super::cautions;
use super::print::{Table, and_list, plain, plus_minus};
use crate::campaign::{Campaign, NeverIs};
use crate::foresee::{Bar, BarredBy, Figure, Foreseen, Route};

/// One thing that is foreseen, as it is told.
struct Told {
    /// What it is of.
    heading: String,
    /// What the campaign file bars of it.
    barred: Vec<String>,
    /// What is foreseen, sentence by sentence.
    lines: Vec<String>,
    /// Figures, where there are several.
    tables: Vec<Table>,
    /// What was measured here, and what comes from elsewhere.
    rests_on: Vec<String>,
    /// How it could be wrong.
    doubts: Vec<String>,
    /// What would test it.
    tests: Vec<String>,
}

/// What all of it is told from.
#[derive(Clone, Copy)]
struct Of<'a> {
    campaign: &'a Campaign,
    /// What makes a standard uncertainty half the width of an interval.
    factor: f64,
}

impl Of<'_> {
    /// Formula of the product.
    fn product(&self) -> &str {
        let chemistry = self.campaign.chemistry.as_ref();
        chemistry.map_or("", |of| of.product.text())
    }

    /// A figure with its ±, where that is known.
    fn figure(&self, figure: Figure) -> String {
        match figure.u {
            Some(u) => plus_minus(figure.value, self.factor * u),
            None => plain(figure.value),
        }
    }

    /// What the campaign file bars.
    fn barred(&self, bars: &[Bar]) -> Vec<String> {
        bars.iter().map(|bar| self.bar(bar)).collect()
    }

    fn bar(&self, bar: &Bar) -> String {
        let place = format!("`{}` line {}", self.campaign.file, bar.line);
        let called = self.campaign.called(&bar.factor);
        match &bar.by {
            BarredBy::Never { together_with } if together_with.is_empty() => {
                format!("Barred: {place} says that this {called} is never to be run.")
            }
            BarredBy::Never { together_with } => {
                let others = together_with.iter().map(|part| match &part.is {
                    NeverIs::Level(level) => {
                        format!("{} {level}", self.campaign.called(&part.factor))
                    }
                    NeverIs::Amounts { .. } => {
                        format!("the {} named there", self.campaign.called(&part.factor))
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

    /// Cautions of all that goes into a route and comes out, beside what is at hand; each once.
    fn cautions(&self, found: &Foreseen) -> Vec<String> {
        let at_hand = &self.campaign.hazards;
        let of_route = |route: &Route| {
            let substances = route.needs.iter().chain(&route.gives);
            let names = substances.map(|substance| &substance.formula);
            let mut present: Vec<String> = Vec::new();
            for name in names.chain(at_hand) {
                if name != WATER && !present.contains(name) {
                    present.push(name.clone());
                }
            }
            cautions::of(&present)
        };
        let of_routes = found.routes.iter().flat_map(of_route);
        let mut told: Vec<String> = Vec::new();
        for caution in of_routes.chain(cautions::of(at_hand)) {
            if !told.contains(&caution) {
                told.push(caution);
            }
        }
        told
    }
}

const WATER: &str = "H2O";

/// What would test what is barred.
const NONE: &str = "none, as long as the campaign file bars it";
