//! Question 4 in words: which route is best for the purpose.
//!
//! In: the routes compared. Out: the verdict as a sentence, and the answer in a few.
//! This module never says more of a lead than where it stands.

use crate::decide::{AimOf, HowSettled, RouteLevel, Routes};
use crate::report::print::aim_words::{self, demand, difference, goal};
use crate::report::print::{Naming, Shown, and_list, capital, probability};
use crate::report::reasons::no_mean;

/// Which route is best for the aim, in one or two sentences.
pub fn verdict(routes: &Routes, naming: Naming) -> String {
    let (aim, best) = (&routes.aim, &routes.best);
    let asks = routes
        .levels
        .iter()
        .any(|level| level.chance_spec.is_some());
    let demand = demand(aim).filter(|_| asks);
    let Some(level) = &best.level else {
        let enough = |level: &RouteLevel| {
            let chance = level.chance_spec;
            chance.is_some_and(|chance| chance >= aim.purity_chance)
        };
        return match demand.filter(|_| !routes.levels.iter().any(enough)) {
            Some(demand) => none_will_do(routes, &demand, naming),
            None => format!("no route can be judged for {}.", goal(aim, naming)),
        };
    };
    let chance = chance_of(routes, level).map_or_else(String::new, |chance| {
        format!(", chance of being the best {}", probability(chance))
    });
    let among = demand.map_or_else(String::new, |demand| {
        format!(" among the routes that give {demand}")
    });
    if routes
        .levels
        .iter()
        .filter(|l| !l.yields.is_empty())
        .count()
        < 2
    {
        return format!(
            "only {} was run, so there is nothing to compare it with.",
            naming(level)
        );
    }
    let what = goal(aim, naming);
    match best.standing {
        HowSettled::Settled => format!("{what}{among}: {}{chance}.", naming(level)),
        HowSettled::Alike => format!(
            "{what}{among}: {}{chance}, but those that could be the best all lie within {} of it, which does not matter here, so take whichever suits.",
            naming(level),
            difference(aim.margin.unwrap_or(0.0), &aim_words::shown(aim, naming))
        ),
        HowSettled::NotSettled => match level_with(routes, level) {
            Some(other) => format!(
                "{what}{among} is not settled: {} and {}{chance} each.",
                naming(level),
                naming(other)
            ),
            None => format!(
                "{what}{among} is not settled: {} leads{chance}.",
                naming(level)
            ),
        },
    }
}

fn none_will_do(routes: &Routes, demand: &str, naming: Naming) -> String {
    let nearest = routes
        .levels
        .iter()
        .filter_map(|level| Some((level.chance_spec?, level)))
        .max_by(|one, other| one.0.total_cmp(&other.0));
    let nearest = nearest.map_or_else(String::new, |(chance, level): (f64, &RouteLevel)| {
        format!(
            "; the nearest is {}, with a chance of {}",
            naming(&level.level),
            probability(chance)
        )
    });
    format!("no route gives {demand}{nearest}.")
}

fn chance_of(routes: &Routes, level: &str) -> Option<f64> {
    let found = routes.levels.iter().find(|route| route.level == level)?;
    found.chance.as_ref().map(|chance| chance.best)
}

/// Another route whose chance of being the best reads the same.
fn level_with<'a>(routes: &'a Routes, level: &str) -> Option<&'a str> {
    let chance = probability(chance_of(routes, level)?);
    let alike = |other: &&RouteLevel| {
        other.level != level
            && other
                .chance
                .as_ref()
                .is_some_and(|of| probability(of.best) == chance)
    };
    let found = routes.levels.iter().find(alike)?;
    Some(&found.level)
}

/// Why no route leads.
fn not_compared(routes: &Routes, naming: Naming) -> String {
    let run: Vec<&RouteLevel> = routes
        .levels
        .iter()
        .filter(|level| !level.yields.is_empty())
        .collect();
    if let [only] = run.as_slice() {
        return format!(
            "only {} was run, so there is nothing to compare it with.",
            naming(&only.level)
        );
    }
    let reason = routes
        .levels
        .iter()
        .find_map(|level| level.mean_yield.as_ref().err());
    reason.map_or_else(
        || "no route can be told from the rest.".into(),
        |reason| {
            format!(
                "the routes cannot be compared: {}.",
                naming(&no_mean(reason))
            )
        },
    )
}

/// The answer to question 4 in a few sentences.
pub fn headline(routes: &Routes, naming: Naming) -> String {
    let shown = Shown::raw("1");
    let (Some(leader), true) = (&routes.leader, routes.levels.len() > 1) else {
        return capital(&not_compared(routes, naming));
    };
    let mean = routes
        .levels
        .iter()
        .find(|level| level.level == *leader)
        .and_then(|level| level.mean_yield.as_ref().ok())
        .map_or_else(String::new, |mean| shown.mean(mean));
    let leads: Vec<String> = routes
        .lead
        .iter()
        .map(|other| match &other.difference {
            Ok(estimate) => format!(
                "{} ahead of {}",
                shown.size(estimate),
                naming(&other.against)
            ),
            Err(_) => format!("{} cannot be compared", naming(&other.against)),
        })
        .collect();
    let hedge = if routes.settled {
        ""
    } else {
        " That lead may still be luck."
    };
    let met: Vec<String> = routes
        .levels
        .iter()
        .filter_map(|level| {
            let met = level.meets_spec?;
            Some(format!(
                "{} {met} of {}",
                naming(&level.level),
                level.purity_runs
            ))
        })
        .collect();
    let specification = if met.is_empty() {
        String::new()
    } else {
        format!(
            " Runs that met the purity specification: {}.",
            met.join(", ")
        )
    };
    // Without a specification and with the yield as the aim, the lead above is the whole answer where both come to the same.
    let same = match routes.best.standing {
        HowSettled::Settled => routes.settled,
        HowSettled::NotSettled => !routes.settled,
        HowSettled::Alike => false,
    };
    let says_more = routes.aim.spec.is_some() || routes.aim.of != AimOf::YIELD || !same;
    let purpose = if says_more {
        format!(" {}", capital(&verdict(routes, naming)))
    } else {
        String::new()
    };
    format!(
        "{} leads in yield, adjusted mean {mean}: {}.{hedge}{specification}{purpose}",
        naming(leader),
        and_list(&leads)
    )
}
