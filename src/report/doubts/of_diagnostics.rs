//! Failed tests of a fit as doubts.
//!
//! In: what was found, about which runs, terms or factors. Out: what was seen, and what to do.
//! This module never judges a figure.

use crate::caveat::Found;
use crate::report::print::words::and_list;

/// What was seen of the model of a response, and what to do about it.
pub(super) fn failed(
    response: &str,
    found: Found,
    names_of: &[String],
    p: Option<f64>,
) -> [String; 2] {
    let names = and_list(names_of.iter().cloned());
    let [one, lie] = match names_of.len() {
        1 => ["it", "lies"],
        _ => ["each", "lie"],
    };
    let by_luck = p.map_or_else(String::new, |p| {
        format!(", chance by luck {:.1} %", 100.0 * p)
    });
    let [seen, advice] = match found {
        Found::RunsBeyondChance => [
            format!(
                "{names} {lie} further from the model of {response} than chance explains, all runs counted together{by_luck}"
            ),
            "look for a slip in its entries first; questions 3 to 6 are also answered without it"
                .into(),
        ],
        Found::OnlyRunsWithATerm => [
            format!(
                "in the model of {response} nothing checks {names}: {one} is the only run to show some term"
            ),
            "repeat it".into(),
        ],
        Found::RunDecidesFit => [
            format!(
                "the model of {response} rests on run {names}: without it the fit would be another"
            ),
            "repeat it; questions 3 to 6 are also answered without it".into(),
        ],
        Found::TermMissing => [
            format!(
                "runs lie further from the model of {response} than repeats from one another{by_luck}: a curved or joint effect is missing, or repeats were made too close together"
            ),
            "add the effect under `curved` or `joint`, or name candidates".into(),
        ],
        Found::NotNormal => [
            format!("residuals of {response} do not look normal{by_luck}"),
            "look at the runs that are furthest off; chances near the level deserve little trust"
                .into(),
        ],
        Found::SpreadChanges => [
            format!("the scatter of {response} changes with the settings{by_luck}"),
            "look for settings that are harder to keep; make more runs where it is large".into(),
        ],
        Found::NeighboursAlike => [
            format!(
                "neighbouring runs err the same way in {response}{by_luck}: something drifts or is shared"
            ),
            "mix the order of the next runs, and look at what changed slowly".into(),
        ],
        Found::NeighboursOpposite => [
            format!("neighbouring runs err in opposite ways in {response}{by_luck}"),
            "look for two set-ups that alternate, or for a correction from run to run".into(),
        ],
        Found::WentWithOrder => [
            format!(
                "{names} changed along with the order of the runs{by_luck}: whatever drifted meanwhile counts as an effect"
            ),
            "mix the order of the next runs".into(),
        ],
        Found::TermBadlyBlurred => [
            format!(
                "in the model of {response} {names} changed along with other terms and is known badly"
            ),
            "make runs that change it alone".into(),
        ],
        Found::StronglyTogether => [
            format!(
                "in the model of {response} {names} hang together, so that their single values mean little"
            ),
            "make runs that change them apart".into(),
        ],
    };
    [seen, advice]
}
