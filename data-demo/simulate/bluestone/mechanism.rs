//! Which effects are true? The terms below, and nothing else.
//!
//! In: the settings of a run. Out: what the terms add to yield and purity, and the terms as `truth.json`.
//! This module never draws a number.

/// One true effect, in natural units.
#[derive(Debug, Clone, Copy)]
pub struct Effect {
    /// Name of the term, as results write it.
    pub term: &'static str,
    /// Change of the response per unit of the term [fraction].
    pub value: f64,
}

/// The true effects that an analysis can hope to find; the constants are left out.
#[derive(Debug, Clone, Copy)]
pub struct Truth {
    /// Effects on contained yield, total basis.
    pub yields: &'static [Effect],
    /// Effects on the mass-weighted purity of the crops, as weighed.
    pub purity: &'static [Effect],
}

/// What was set in one run, from the quantities as logged.
#[derive(Debug, Clone, Copy)]
pub struct Settings {
    /// Lot of the feed.
    pub lot: &'static str,
    /// Heating method.
    pub heating: &'static str,
    /// Recovery route.
    pub route: &'static str,
    /// Oxidant excess [%].
    pub oxidant_excess: f64,
    /// Residue charged per fresh feed [g/g].
    pub residue_ratio: f64,
}

const fn effect(term: &'static str, value: f64) -> Effect {
    Effect { term, value }
}

/// Oxidant excess at which yield is highest [%].
pub const BEST_EXCESS: f64 = 85.0;
/// Loss of yield per squared percent of excess away from the best [1/%²].
const CURVATURE: f64 = -0.000011;

/// Yield of a run in the muffle, by chilling, without excess and without residue.
pub const YIELD_CONSTANT: f64 = 0.6205;
/// Purity of the same run.
pub const PURITY_CONSTANT: f64 = 0.988;

const YIELD_EFFECTS: &[Effect] = &[
    effect("heating: hob", -0.048),
    effect("heating: torch", -0.021),
    // The top of a parabola lies at −b₁ / 2b₂.
    effect("oxidant_excess", 0.00187),
    effect("oxidant_excess to the 2", CURVATURE),
    effect("route: boildown", 0.058),
    effect("route: spirit", 0.032),
    effect("residue_ratio", -0.09),
    effect("route: boildown with residue_ratio", -0.055),
    effect("route: spirit with residue_ratio", 0.02),
];

const PURITY_EFFECTS: &[Effect] = &[
    effect("heating: hob", -0.0008),
    effect("heating: torch", -0.0012),
    effect("oxidant_excess", 0.000012),
    effect("oxidant_excess to the 2", 0.0),
    effect("route: boildown", -0.0035),
    effect("route: spirit", 0.0015),
    effect("residue_ratio", -0.003),
    effect("route: boildown with residue_ratio", -0.004),
    effect("route: spirit with residue_ratio", 0.001),
];

/// Real as well, but tangled with one another: lot D was only heated in the kiln, and the kiln only held lot D.
pub const TANGLED_YIELD: &[Effect] = &[effect("heating: kiln", 0.03), effect("lot: D", -0.022)];
/// The same for purity.
pub const TANGLED_PURITY: &[Effect] = &[effect("heating: kiln", 0.0005), effect("lot: D", -0.001)];

/// The true effects.
pub fn truth() -> Truth {
    Truth {
        yields: YIELD_EFFECTS,
        purity: PURITY_EFFECTS,
    }
}

/// What these effects add to the response at these settings [fraction].
pub fn sum(effects: &[Effect], settings: &Settings) -> f64 {
    effects
        .iter()
        .map(|effect| effect.value * regressor(effect.term, settings))
        .sum()
}

/// What the effects that act in furnace and leach, not in the recovery, add to yield [fraction].
pub fn leaching(settings: &Settings) -> f64 {
    let leach = |effect: &&Effect| !effect.term.contains("route");
    YIELD_EFFECTS
        .iter()
        .chain(TANGLED_YIELD)
        .filter(leach)
        .map(|effect| effect.value * regressor(effect.term, settings))
        .sum()
}

/// Value of a term at these settings: a joint term is the product of its parts, a level is 1 or 0.
fn regressor(term: &str, settings: &Settings) -> f64 {
    term.split(" with ")
        .map(|part| part_value(part, settings))
        .product()
}

fn part_value(part: &str, settings: &Settings) -> f64 {
    if let Some((factor, level)) = part.split_once(": ") {
        let set = match factor {
            "heating" => settings.heating,
            "route" => settings.route,
            "lot" => settings.lot,
            _ => panic!("no such choice: {factor}"),
        };
        return f64::from(u8::from(set == level));
    }
    match part {
        "oxidant_excess" => settings.oxidant_excess,
        "oxidant_excess to the 2" => settings.oxidant_excess.powi(2),
        "residue_ratio" => settings.residue_ratio,
        _ => panic!("no such term: {part}"),
    }
}

impl Truth {
    /// The effects as a JSON object with one object a response.
    pub fn to_json(self) -> String {
        let object = |effects: &[Effect]| {
            let lines: Vec<String> = effects
                .iter()
                .map(|effect| format!("    \"{}\": {}", effect.term, effect.value))
                .collect();
            format!("{{\n{}\n  }}", lines.join(",\n"))
        };
        format!(
            "{{\n  \"yield\": {},\n  \"purity\": {}\n}}\n",
            object(self.yields),
            object(self.purity)
        )
    }
}
