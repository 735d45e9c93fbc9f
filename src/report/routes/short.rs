//! Question 4 in short: which route is best for the purpose.
//!
//! In: the routes compared. Out: the answer for the first screen, names as they were logged.
//! This module never says more of a lead than where it stands.

use super::words::{not_compared, verdict};
use crate::decide::{AimOf, HowSettled, RouteLead, RouteLevel, Routes};
use crate::report::print::aim_names::{self, difference, goal};
use crate::report::print::{Brief, Shown, and_list, around, plain, probability};

/// Which route is best for the aim, and by how much.
pub fn short(routes: &Routes, brief: &mut Brief) {
    let best = routes.best.level.as_ref();
    let Some(best) = best.and_then(|best| level(routes, best)) else {
        return match routes.levels.iter().any(|level| level.mean_yield.is_ok()) {
            true => brief.say(&verdict(routes)),
            false => brief.say(&not_compared(routes)),
        };
    };
    if routes.levels.len() < 2 || routes.best.leads.is_empty() {
        return brief.say(&not_compared(routes));
    }
    let mean = mean(routes, best).map(|mean| format!(", {mean}"));
    let met = met(best).map(|met| format!(" ({met} did)"));
    let among = routes.aim.spec.map(|spec| {
        format!(
            " among routes expected to meet {} % in {} % of runs{}",
            plain(100.0 * spec),
            plain(100.0 * routes.aim.purity_chance),
            met.unwrap_or_default()
        )
    });
    let chance = best.chance.as_ref().map(|chance| probability(chance.best));
    let chance = match routes.best.standing {
        HowSettled::NotSettled => around(
            ", chance of being the best ",
            &chance.unwrap_or_default(),
            "",
        ),
        HowSettled::Settled | HowSettled::Alike => String::new(),
    };
    brief.say(&format!(
        "{}{}: {}{}{chance}",
        best.level,
        mean.unwrap_or_default(),
        goal(&routes.aim),
        among.unwrap_or_default(),
    ));
    if routes.best.standing == HowSettled::Alike {
        let margin = difference(
            routes.aim.margin.unwrap_or(0.0),
            &aim_names::shown(&routes.aim),
        );
        brief.say(&format!(
            "the others that could be best lie within {margin}: take whichever suits"
        ));
    }
    brief.clauses(routes.best.leads.iter().map(|lead| other(routes, lead)));
    brief.say(&around(
        "",
        &and_list(&routes.barred),
        " is never to be proposed",
    ));
}

fn level<'a>(routes: &'a Routes, name: &str) -> Option<&'a RouteLevel> {
    routes.levels.iter().find(|level| level.level == name)
}

/// What is expected of a route, on what is aimed at.
fn mean(routes: &Routes, of: &RouteLevel) -> Option<String> {
    let shown = aim_names::shown(&routes.aim);
    let mean = match routes.aim.of {
        AimOf::YIELD => of.mean_yield.as_ref(),
        AimOf::Cost => of.mean_cost.as_ref(),
        _ => return None,
    };
    Some(shown.mean(mean.ok()?).to_string())
}

/// `20 of 21`: how many of its runs met the specification.
fn met(level: &RouteLevel) -> Option<String> {
    Some(format!("{} of {}", level.meets_spec?, level.purity_runs))
}

/// Another route against the best: `boildown gives 1.7 ± 1.4 points more, but 6 of 19 met it`.
fn other(routes: &Routes, lead: &RouteLead) -> String {
    let shown: Shown = aim_names::shown(&routes.aim);
    let size = shown.difference_with(lead.gain.abs(), lead.simultaneous);
    let size = size.to_string();
    let size = size.trim_start_matches('+');
    // What is aimed at may be as little as possible, such as cost.
    let is_more = (lead.gain < 0.0) == (aim_names::goal(&routes.aim).starts_with("most"));
    let way = if is_more { "more" } else { "less" };
    let met = level(routes, &lead.against).and_then(met);
    let met = met.filter(|_| lead.gain < 0.0);
    let met = met.map(|met| format!(", but {met} met it"));
    format!("{} {size} {way}{}", lead.against, met.unwrap_or_default())
}
