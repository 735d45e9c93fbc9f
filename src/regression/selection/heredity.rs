//! Heredity: the candidates that may stand in a model together.
//!
//! In: a model and terms to be considered. Out: [`Addition`]s, which sets of them respect heredity, and the model with a set.
//! This module never fits.

use std::collections::BTreeSet;
use std::fmt;

use super::Candidates;
use crate::regression::asked::{Curve, JOINED, Method, ModelParams};

/// One candidate that is not in the model yet.
#[derive(Debug, Clone, PartialEq)]
pub enum Addition {
    /// An effect, or a joint effect of several factors.
    Term(Vec<String>),
    /// An amount up to a power.
    Power(Curve),
}

impl fmt::Display for Addition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Addition::Term(factors) => write!(f, "{}", factors.join(JOINED)),
            Addition::Power(curve) => write!(f, "{} to the {}", curve.factor, curve.power),
        }
    }
}

fn set(names: &[String]) -> BTreeSet<&str> {
    names.iter().map(String::as_str).collect()
}

/// The candidates that the model has not got, each once.
pub(super) fn additions(params: &ModelParams, candidates: &Candidates) -> Vec<Addition> {
    let mut found: Vec<Addition> = Vec::new();
    let mut seen: BTreeSet<BTreeSet<&str>> = params.joint.iter().map(|joint| set(joint)).collect();
    seen.extend(
        params
            .effects
            .iter()
            .map(|name| set(std::slice::from_ref(name))),
    );
    for term in candidates.terms.iter().filter(|term| !term.is_empty()) {
        if seen.insert(set(term)) {
            found.push(Addition::Term(term.clone()));
        }
    }
    let mut powers: BTreeSet<(&str, u32)> = BTreeSet::new();
    for curve in &candidates.powers {
        let mut own = params.curved.iter();
        let there = own.any(|own| own.factor == curve.factor && own.power >= curve.power);
        if !there && powers.insert((&curve.factor, curve.power)) {
            found.push(Addition::Power(curve.clone()));
        }
    }
    found
}

/// Whether each chosen candidate has all that it stands on: the factors of a joint effect and of a power among the effects,
/// and every smaller joint effect or lower power that is a candidate too.
pub(super) fn respected(params: &ModelParams, additions: &[Addition], chosen: &[usize]) -> bool {
    let taken = |position: usize| chosen.contains(&position);
    let is_effect = |name: &String| {
        let among = |addition: &Addition| matches!(addition, Addition::Term(factors) if factors.len() == 1 && factors[0] == *name);
        params.effects.contains(name) || chosen.iter().any(|&position| among(&additions[position]))
    };
    let smaller = |one: &Addition, other: &Addition| match (one, other) {
        (Addition::Term(one), Addition::Term(other)) => {
            one.len() < other.len() && set(one).is_subset(&set(other))
        }
        (Addition::Power(one), Addition::Power(other)) => {
            one.factor == other.factor && one.power < other.power
        }
        _ => false,
    };
    chosen.iter().all(|&position| {
        let addition = &additions[position];
        let factors = match addition {
            Addition::Term(factors) if factors.len() == 1 => true,
            Addition::Term(factors) => factors.iter().all(is_effect),
            Addition::Power(curve) => is_effect(&curve.factor),
        };
        let below = (0..additions.len())
            .filter(|&other| smaller(&additions[other], addition))
            .all(taken);
        factors && below
    })
}

/// The model with further terms, by ordinary least squares.
///
/// A power is added as the highest of its amount; effects and joint effects stand behind those of the model, in the order given.
pub fn with_terms<'a>(
    params: &ModelParams,
    added: impl IntoIterator<Item = &'a Addition>,
) -> ModelParams {
    let mut longer = ModelParams {
        method: Method::Plain,
        ..params.clone()
    };
    for addition in added {
        match addition {
            Addition::Term(factors) if factors.len() == 1 => {
                longer.effects.push(factors[0].clone());
            }
            Addition::Term(factors) => longer.joint.push(factors.clone()),
            Addition::Power(curve) => {
                let mut known = longer.curved.iter_mut();
                match known.find(|known| known.factor == curve.factor) {
                    Some(known) => known.power = known.power.max(curve.power),
                    None => longer.curved.push(curve.clone()),
                }
            }
        }
    }
    longer
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::tests::testing::model;

    fn term(names: &[&str]) -> Vec<String> {
        names.iter().map(|name| name.to_string()).collect()
    }

    fn power(factor: &str, power: u32) -> Curve {
        Curve {
            factor: factor.to_string(),
            power,
        }
    }

    #[test]
    fn a_joint_effect_needs_its_factors_and_a_power_the_lower_ones() {
        let params = model(&["a", "x"]);
        let list = additions(
            &params,
            &Candidates {
                terms: vec![
                    term(&["b"]),
                    term(&["a", "b"]),
                    term(&["a"]),
                    term(&["b", "a"]),
                ],
                powers: vec![power("x", 2), power("x", 3)],
            },
        );
        let names: Vec<String> = list.iter().map(Addition::to_string).collect();
        assert_eq!(names, ["b", "a with b", "x to the 2", "x to the 3"]);
        let allowed = |chosen: &[usize]| respected(&params, &list, chosen);
        assert!(allowed(&[]) && allowed(&[0]) && allowed(&[0, 1]) && allowed(&[2, 3]));
        assert!(!allowed(&[1]) && !allowed(&[3]));
        let longer = with_terms(&params, &list);
        assert_eq!(longer.effects, ["a", "x", "b"]);
        assert_eq!(longer.joint, [term(&["a", "b"])]);
        assert_eq!(longer.curved.len(), 1);
        assert_eq!(longer.curved[0].power, 3);
    }
}
