//! Tables `[routes.NAME]`: routes that can be foreseen without a run.
//!
//! In: their sections and the chemistry. Out: [`RoutePlan`]s.
//! This module never knows whether a route was run.

use super::basics::Declared;
use super::figure::{amount, measure};
use super::section::Section;
use super::source::At;
use crate::chemistry::{Equation, Formula};
use crate::units::Dimension;

/// A stated ceiling may differ from that of the equation by rounding to two digits.
const ROUNDING_OF_A_CEILING: f64 = 0.005;

/// A route that can be foreseen without a run.
#[derive(Debug, Clone)]
pub struct RoutePlan {
    /// Its name.
    pub name: String,
    /// Its balanced equation.
    pub equation: Option<Equation>,
    /// The largest fraction of theory that it allows.
    pub ceiling: f64,
    /// Mother liquor that a run leaves \[mL\].
    pub end_volume: Option<f64>,
    /// Temperature at which that is filtered off \[degC\].
    pub end_temperature: Option<f64>,
    /// What a run is charged with besides the feed.
    pub reagents: Vec<RouteReagent>,
    /// Time that a run takes \[min\].
    pub time: Option<f64>,
    /// Line of the campaign file.
    pub line: usize,
}

/// A reagent of a route.
#[derive(Debug, Clone)]
pub struct RouteReagent {
    /// What it is.
    pub formula: Formula,
    /// Its mass in a run \[g\].
    pub mass: f64,
}

pub(super) fn route(routes: &Section, name: At<String>, chemistry: &Declared) -> Option<RoutePlan> {
    routes.table_if_there(&name.value, |section| {
        if matches!(chemistry, Declared::Nothing) {
            let what = format!("`{}` without `product` in `[campaign]`", routes.path(&name.value));
            let hint = "name `product`, `followed` and `assay_as`: a route is foreseen by its product";
            section.fault(what, hint);
        }
        let of_equation = equation(section, chemistry);
        let stated = section.number_within("ceiling");
        if !section.has("equation") && !section.has("ceiling") {
            let what = format!("`{}` has neither `equation` nor `ceiling`", routes.path(&name.value));
            let hint = "write its balanced equation, `equation = \"3 I2 + 6 KOH -> KIO3 + 5 KI + 3 H2O\"`, or `ceiling = 1.0`";
            section.fault(what, hint);
        }
        let found = of_equation.as_ref().and_then(|(_, ceiling)| *ceiling);
        if let (Some(stated), Some(found)) = (stated, found)
            && (stated - found).abs() > ROUNDING_OF_A_CEILING
        {
            let path = section.path("ceiling");
            let what = format!("`{path}` is {stated}, and its equation says {found:.4}");
            section.fault(what, "leave `ceiling` out: it follows from the equation");
        }
        let volume = |text: &str| measure(text, Dimension::Volume);
        let temperature = |text: &str| measure(text, Dimension::Temperature);
        Some(RoutePlan {
            line: section.source.line(name.position),
            end_volume: section.meaning("end_volume", volume),
            end_temperature: section.meaning("end_temperature", temperature),
            reagents: section.by_name("reagents", reagent),
            time: section.meaning("time", |text| amount(text, Dimension::Time)),
            ceiling: found.or(stated).unwrap_or(1.0),
            equation: of_equation.map(|(equation, _)| equation),
            name: name.value.clone(),
        })
    })
}

fn reagent(table: &Section, name: At<String>) -> Option<RouteReagent> {
    let mass = table.meaning(&name.value, |text| amount(text, Dimension::Mass));
    let formula = Formula::parse(&name.value).map_err(|error| {
        let what = format!("`{}`: {}", table.path(&name.value), error.message());
        table
            .source
            .fault(name.position, what, error.advice().unwrap_or_default());
    });
    let formula = formula.ok()?;
    Some(RouteReagent {
        formula,
        mass: mass?,
    })
}

/// The equation, with the ceiling that follows from it where the product is known.
fn equation(section: &Section, chemistry: &Declared) -> Option<(Equation, Option<f64>)> {
    let At { value, position } = section.text("equation")?;
    let path = section.path("equation");
    let fault = |what: String, hint: &str| {
        section
            .source
            .fault(position, format!("`{path}` {what}"), hint);
    };
    let equation = match Equation::parse(&value) {
        Ok(equation) => equation,
        Err(error) => {
            fault(
                error.message().to_string(),
                error.advice().unwrap_or_default(),
            );
            return None;
        }
    };
    let Declared::Sound(chemistry) = chemistry else {
        return Some((equation, None));
    };
    let ceiling = equation.ceiling(&chemistry.followed, &chemistry.product);
    if ceiling.is_none() {
        let (product, followed) = (chemistry.product.text(), &chemistry.followed);
        let what = format!("makes no `{product}`");
        let hint = format!(
            "write the product on the right as `[campaign]` has it, with its crystal water and without a charge, and what brings the {followed} on the left"
        );
        fault(what, &hint);
    }
    Some((equation, ceiling))
}
