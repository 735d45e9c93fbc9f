//! Question 4 in words: which route is best for the purpose.
//!
//! In: the routes compared. Out: the verdict as a sentence, and the answer in a few, names as they were logged.
//! This module never says more of a lead than where it stands.

use crate::decide::{HowSettled, NoMean, RouteLevel, Routes};
use crate::report::print::aim_names::{self, demand, difference, goal};
use crate::report::print::{around, probability};
use crate::report::reasons::no_mean;

/// Which route is best for the aim, in one or two sentences.
pub fn verdict(routes: &Routes) -> String {
    let (aim, best) = (&routes.aim, &routes.best);
    let mut specified = routes.levels.iter().filter_map(|level| level.chance_spec);
    let demand = demand(aim).filter(|_| specified.clone().next().is_some());
    let what = goal(aim);
    let Some(level) = &best.level else {
        let enough = specified.any(|chance| chance >= aim.purity_chance);
        return match demand.filter(|_| !enough) {
            Some(demand) => none_will_do(routes, &demand),
            None => format!("no route can be judged for {what}."),
        };
    };
    if made(routes).count() < 2 {
        return alone(routes, level) + ".";
    }
    let chance = chance_of(routes, level).map(probability);
    let chance = around(
        ", chance of being the best ",
        &chance.unwrap_or_default(),
        "",
    );
    let demand = demand.unwrap_or_default();
    let among = around(" among the routes that give ", &demand, "");
    match best.standing {
        HowSettled::Settled => format!("{what}{among}: {level}{chance}."),
        HowSettled::Alike => format!(
            "{what}{among}: {level}{chance}, but those that could be the best all lie within {} of it, which does not matter here, so take whichever suits.",
            difference(aim.margin.unwrap_or(0.0), &aim_names::shown(aim))
        ),
        HowSettled::NotSettled => match level_with(routes, level) {
            Some(other) => {
                format!("{what}{among} is not settled: {level} and {other}{chance} each.")
            }
            None => format!("{what}{among} is not settled: {level} leads{chance}."),
        },
    }
}

fn none_will_do(routes: &Routes, demand: &str) -> String {
    let known = routes.levels.iter();
    let known = known.filter_map(|level| Some((level.chance_spec?, level)));
    let nearest = known.max_by(|one, other| one.0.total_cmp(&other.0));
    let nearest = nearest.map(|(chance, RouteLevel { level, .. })| {
        let chance = probability(chance);
        format!("; the nearest is {level}, with a chance of {chance}")
    });
    format!("no route gives {demand}{}.", nearest.unwrap_or_default())
}

/// The routes that were run at all.
fn made(routes: &Routes) -> impl Iterator<Item = &RouteLevel> {
    routes
        .levels
        .iter()
        .filter(|level| !level.yields.is_empty())
}

/// That a route stands alone.
pub fn only_one(level: &str) -> String {
    format!("only {level} was run, so there is nothing to compare it with")
}

/// That only one of the routes that were run may be proposed.
pub fn only_allowed(level: &str) -> String {
    format!("only {level} may be proposed of the routes that were run")
}

fn alone(routes: &Routes, level: &str) -> String {
    if routes.barred.is_empty() {
        only_one(level)
    } else {
        only_allowed(level)
    }
}

/// Why no route can be told from the others.
pub fn untold(reason: Option<&NoMean>) -> String {
    match reason {
        Some(reason) => format!("the routes cannot be compared: {}", no_mean(reason)),
        None => "no route can be told from the rest".into(),
    }
}

fn chance_of(routes: &Routes, level: &str) -> Option<f64> {
    let found = routes.levels.iter().find(|route| route.level == level)?;
    found.chance.as_ref().map(|chance| chance.best)
}

/// Another route whose chance of being the best reads the same.
fn level_with<'a>(routes: &'a Routes, level: &str) -> Option<&'a str> {
    let chance = probability(chance_of(routes, level)?);
    let mut others = routes.levels.iter().filter(|other| other.level != level);
    let alike = others.find(|other| {
        let of = other.chance.as_ref();
        of.is_some_and(|of| probability(of.best) == chance)
    });
    alike.map(|found| found.level.as_str())
}

/// Why no route leads.
pub fn not_compared(routes: &Routes) -> String {
    let run: Vec<&RouteLevel> = made(routes).collect();
    if let [only] = run.as_slice() {
        return alone(routes, &only.level);
    }
    let mut means = routes.levels.iter().map(|level| &level.mean_yield);
    untold(means.find_map(|mean| mean.as_ref().err()))
}
