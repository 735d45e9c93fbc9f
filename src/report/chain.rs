//! The chain of one run as equations with numbers and units.
//!
//! In: a [`Chain`]. Out: lines for a terminal, or JSON.
//! This module never works a figure out.

use serde_json::{Value, json};

use super::print::one_line;
use crate::runs::{Chain, PurityBy, TitreStep, WeighedHow, WeighedStep};

/// Digits that an equation shows: enough to check it with a pocket calculator.
const DIGITS: usize = 7;

/// The equations, one a line.
pub fn chain(chain: &Chain) -> String {
    let mut lines = vec![format!("chain of run {}", chain.run)];
    for titre in &chain.titres {
        lines.extend(of_titre(titre));
    }
    lines.extend(chain.weighed.iter().map(of_weighed));
    let mut pure = Vec::new();
    for crop in &chain.crops {
        let titres = chain.titres.iter().filter(|titre| titre.crop == crop.crop);
        let titres: Vec<String> = titres.map(|titre| shown(titre.found)).collect();
        let weighed = chain.weighed.iter().filter(|step| step.crop == crop.crop);
        let found = match crop.by {
            PurityBy::Titres => titres,
            PurityBy::Entry => Vec::new(),
            PurityBy::Ignition | PurityBy::Difference => {
                weighed.map(|step| shown(step.found)).collect()
            }
        };
        let Some(purity) = crop.purity else {
            lines.push(format!(
                "crop {}: {} g, purity not known",
                crop.crop,
                shown(crop.mass)
            ));
            continue;
        };
        let mean = match found.len() {
            0 => "as logged".to_string(),
            1 => found[0].clone(),
            more => format!("({}) / {more}", found.join(" + ")),
        };
        let dried = crop.moisture.map_or_else(String::new, |moisture| {
            format!(" · (1 − {}) of moisture", shown(moisture))
        });
        lines.push(format!(
            "crop {}: purity as weighed = {mean}{dried} = {}",
            crop.crop,
            shown(purity)
        ));
        pure.push(format!("{} g · {}", shown(crop.mass), shown(purity)));
    }
    if let Some(theory) = &chain.theory {
        let residue = match theory.residue > 0.0 {
            true => format!(
                " + {} g · {}",
                shown(theory.residue),
                shown(theory.residue_assay)
            ),
            false => String::new(),
        };
        let liquor = match theory.liquor {
            (volume, strength) if volume > 0.0 => {
                format!(" + {} mL · {} g/mL", shown(volume), shown(strength))
            }
            _ => String::new(),
        };
        lines.push(format!(
            "theory = {} g/g · ({} g · {}{residue}){liquor} = {} g",
            shown(theory.per_feed),
            shown(theory.feed),
            shown(theory.assay),
            shown(theory.theory)
        ));
        match chain.contained {
            Some(contained) => lines.push(format!(
                "contained yield = ({}) / {} g = {}",
                pure.join(" + "),
                shown(theory.theory),
                shown(contained)
            )),
            None => lines.push("contained yield: not known".into()),
        }
    }
    let lines = lines.iter().map(|line| one_line(line) + "\n");
    lines.collect()
}

/// `w = r · n · M · d / (m · q)`, and the moles before it.
fn of_titre(step: &TitreStep) -> Vec<String> {
    let (name, strength) = &step.titrant;
    let back = step
        .back
        .as_ref()
        .map_or_else(String::new, |(name, strength, volume, ratio)| {
            format!(
                " − {} · {} mol/L ({name}) · {} mL",
                shown(*ratio),
                shown(*strength),
                shown(*volume)
            )
        });
    let (product, molar_mass) = &step.product;
    let place = format!(
        "crop {}, {} line {}",
        step.crop, step.place.file, step.place.line
    );
    vec![
        format!(
            "{place}: n = {} mol/L ({name}) · ({} − {} mL){back}, in mmol",
            shown(*strength),
            shown(step.titre),
            shown(step.blank)
        ),
        format!(
            "  w = {} mol/mol · n · {} g/mol ({product}) · {} (dilution) / (1000 · {} g · {} (aliquot)){} = {}",
            shown(step.ratio),
            shown(*molar_mass),
            shown(step.dilution),
            shown(step.sample),
            shown(step.aliquot),
            step.recovery.map_or_else(String::new, |recovery| format!(
                " / {} (control)",
                shown(recovery)
            )),
            shown(step.found)
        ),
    ]
}

/// `w = q·(left − dish) / (sample − dish)`, or `w = 1 − moisture − impurities`.
fn of_weighed(step: &WeighedStep) -> String {
    let equation = match &step.how {
        WeighedHow::Ignition {
            leaves,
            per_left,
            masses,
        } => {
            let [sample, left, dish] = masses.map(shown);
            format!(
                "{} g/g (product per {leaves}) · ({left} − {dish} g) / ({sample} − {dish} g)",
                shown(*per_left)
            )
        }
        WeighedHow::Difference { parts } => {
            let part = |(name, content): &(String, f64)| format!(" − {} ({name})", shown(*content));
            format!("1{}", parts.iter().map(part).collect::<String>())
        }
    };
    let WeighedStep {
        place, crop, found, ..
    } = step;
    format!(
        "crop {crop}, {} line {}: w = {equation} = {}",
        place.file,
        place.line,
        shown(*found)
    )
}

fn shown(value: f64) -> String {
    let decimals = (DIGITS as i32 - 1 - value.abs().max(1e-9).log10().floor() as i32).clamp(0, 12);
    let text = format!("{value:.0$}", decimals as usize);
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_string(),
        false => text,
    }
}

/// The same as data, with full precision.
pub fn chain_as_data(chain: &Chain) -> Value {
    let titres = chain.titres.iter().map(|step| {
        json!({
            "file": step.place.file.as_str(),
            "line": step.place.line,
            "crop": step.crop,
            "titrant": step.titrant.0,
            "concentration": step.titrant.1,
            "titre": step.titre,
            "blank": step.blank,
            "back": step.back.as_ref().map(|(name, strength, volume, ratio)| json!({
                "titrant": name, "concentration": strength, "titre": volume, "ratio": ratio,
            })),
            "ratio": step.ratio,
            "product": step.product.0,
            "molar_mass": step.product.1,
            "sample_mass": step.sample,
            "aliquot": step.aliquot,
            "dilution": step.dilution,
            "recovery": step.recovery,
            "found": step.found,
        })
    });
    let crops = chain.crops.iter().map(|crop| {
        json!({ "crop": crop.crop, "mass": crop.mass, "purity": crop.purity, "moisture": crop.moisture })
    });
    json!({
        "run": chain.run,
        "titres": titres.collect::<Value>(),
        "weighed": chain.weighed.iter().map(weighed_as_data).collect::<Value>(),
        "crops": crops.collect::<Value>(),
        "theory": chain.theory.as_ref().map(|theory| json!({
            "feed_mass": theory.feed,
            "feed_assay": theory.assay,
            "residue_mass": theory.residue,
            "residue_assay": theory.residue_assay,
            "liquor": theory.liquor.0,
            "liquor_strength": theory.liquor.1,
            "product_per_feed": theory.per_feed,
            "theory": theory.theory,
        })),
        "contained": chain.contained,
    })
}

fn weighed_as_data(step: &WeighedStep) -> Value {
    let mut data = match &step.how {
        WeighedHow::Ignition {
            leaves,
            per_left,
            masses: [sample, left, dish],
        } => json!({
            "by": "ignition", "leaves": leaves, "product_per_left": per_left,
            "sample": sample, "left": left, "dish": dish,
        }),
        WeighedHow::Difference { parts } => json!({
            "by": "difference",
            "parts": parts.iter().map(|(name, content)| json!({ "name": name, "content": content })).collect::<Value>(),
        }),
    };
    data["file"] = json!(step.place.file.as_str());
    data["line"] = json!(step.place.line);
    data["crop"] = json!(step.crop);
    data["found"] = json!(step.found);
    data
}
