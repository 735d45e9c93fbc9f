//! Entries that several runs share, where all these runs are off and no others.
//!
//! In: results that speak against single runs. Out: slips of the lot or the titrant that they share, in the place of theirs.
//! This module never blames what only one run used.

use std::collections::{BTreeMap, BTreeSet};

use super::results::Beyond;
use super::rules::{Kind, explained};
use super::usual::Usual;
use crate::caveat::{Against, Likely, ResultOf, Slip, Weight};
use crate::intake::{Logged, TitrantStrength};
use crate::runs::{RunResult, Runs, TitrantResult};

/// Fewest runs that share what is blamed.
const FEWEST: usize = 2;

/// Part of them that must be off, and of all others that may be.
const PARTS: [f64; 2] = [0.7, 0.2];

/// Slips of lots and titrants; what they explain is taken away from the results.
pub(super) fn of_all_that_share(
    logged: &Logged,
    runs: &Runs,
    beyond: &mut Vec<Beyond>,
) -> Vec<Slip> {
    let counted: Vec<&RunResult> = runs.counted().collect();
    let mut slips = Vec::new();
    for (what, is_of_titrant) in [
        (ResultOf::Purity, true),
        (ResultOf::Yield, false),
        (ResultOf::Closure, false),
    ] {
        let mut sharers: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        for run in &counted {
            let shared = match is_of_titrant {
                true => run.titrants.iter().map(String::as_str).collect(),
                false => Vec::from_iter(run.lot.as_deref()),
            };
            for name in shared {
                sharers.entry(name).or_default().insert(&run.run);
            }
        }
        let off = beyond.iter().filter(|one| result_of(one) == Some(what));
        let off: BTreeSet<String> = off.map(|one| one.run.clone()).collect();
        for (name, sharing) in sharers {
            let of_these = sharing.iter().filter(|run| off.contains(**run)).count();
            let of_others = off.len() - of_these;
            let others = counted.len() - sharing.len();
            let blamed = of_these >= FEWEST
                && of_these as f64 >= PARTS[0] * sharing.len() as f64
                && of_others as f64 <= PARTS[1] * others as f64
                && others > 0;
            if !blamed {
                continue;
            }
            let against = Against::OfAllThatShare {
                runs: of_these,
                what,
            };
            let slip = match is_of_titrant {
                true => of_titrant(logged, runs, name, against),
                false => of_lot(logged, name, against),
            };
            if let Some(slip) = slip {
                slips.push(slip.trusted(Weight::Impossible));
                beyond.retain(|one| {
                    result_of(one) == Some(ResultOf::Purity) && !is_of_titrant
                        || !sharing.contains(one.run.as_str())
                });
            }
        }
    }
    slips
}

fn result_of(beyond: &Beyond) -> Option<ResultOf> {
    match &beyond.against {
        Against::Beyond { what, .. } | Against::ResultOfOthers { what, .. } => Some(*what),
        _ => None,
    }
}

fn of_lot(logged: &Logged, name: &str, against: Against) -> Option<Slip> {
    let row = logged.lots.iter().find(|row| row.lot == name)?;
    let assay = row.assay?.value;
    let others = logged.lots.iter().filter(|other| other.lot != name);
    let others = others.filter_map(|other| Some(other.assay?.value));
    let usual = Usual::of(others.collect(), 1)?.middle;
    let likely = explained(Kind::LotAssay, assay, usual);
    let likely = likely.map(|(how, meant)| Likely::number(how, meant, "1"));
    Some(Slip::new(&row.place, "assay", assay, against).likely(likely))
}

fn of_titrant(logged: &Logged, runs: &Runs, name: &str, against: Against) -> Option<Slip> {
    let row = logged.titrants.iter().find(|row| row.titrant == name)?;
    let strength = |of: &TitrantResult| of.concentration.value();
    let own = strength(runs.titrants.iter().find(|of| of.titrant == name)?);
    let others = runs.titrants.iter().filter(|other| other.titrant != name);
    let usual = Usual::of(others.map(strength).collect(), 1);
    let likely = usual.and_then(|usual| explained(Kind::Strength, own, usual.middle));
    let likely = likely.map(|(how, meant)| Likely::number(how, meant, "mol/L"));
    let column = match row.strength {
        TitrantStrength::Given(_) => "concentration",
        TitrantStrength::Standardised { .. } => "standard_mass",
    };
    Some(Slip::new(&row.place, column, own, against).likely(likely))
}
