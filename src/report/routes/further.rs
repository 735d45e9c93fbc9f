//! What stands behind answer 4: every pair of routes, chances, routes that another one beats, later crops.
//!
//! In: the routes compared. Out: that part of the appendix.
//! This module never compares two routes itself.

use super::table;
use crate::decide::{DRAWS, RouteDifference, RouteLead, Routes};
use crate::pipeline::Analysis;
use crate::regression::EquivalenceVerdict;
use crate::report::print::{
    Page, Shown, aim_names, and_list, around, count, percent, probability, when, whole,
};
use crate::report::reasons::refusal;

/// Writes all that stands behind the comparison of the routes.
pub fn write(page: &mut Page, analysis: &Analysis) {
    let Some(routes) = &analysis.findings.routes else {
        return;
    };
    if let Some(leader) = &routes.leader {
        page.list(
            routes
                .lead
                .iter()
                .map(|other| in_yield(routes, leader, other)),
        );
    }
    let chances = table::chances(routes);
    if !chances.rows.is_empty() {
        page.answer(&chances);
        page.paragraph(&how_chances_come(routes));
    }
    // The best route for the aim against the others, where that is not the comparison of yields above.
    if let (Some(best), false) = (&routes.best.level, routes.best.leads.is_empty()) {
        page.heading(3, "The best route for the purpose against the others");
        let leads = routes.best.leads.iter();
        page.list(leads.map(|lead| against(routes, best, lead)));
    }
    unbeaten(page, routes);
    later_crops(page, routes);
}

fn in_yield(routes: &Routes, leader: &str, other: &RouteDifference) -> String {
    let shown = Shown::of("1");
    let pair = format!("{leader} against {}", other.against);
    let difference = match &other.difference {
        Ok(difference) => difference,
        Err(reason) => return format!("{pair}: {}", refusal(reason)),
    };
    // With one pair the interval that allows for all of them is the one that stands there already.
    let all = (routes.pairs >= 2).then(|| {
        let pairs = count(routes.pairs, "pair");
        let interval = shown.interval(other.simultaneous);
        format!("; {interval} with all {pairs} counted")
    });
    format!(
        "{pair}: {}{}, chance of such a lead by luck {}",
        shown.change(difference),
        all.unwrap_or_default(),
        other
            .adjusted_p
            .map_or_else(|| "not known".into(), probability),
    )
}

fn how_chances_come(routes: &Routes) -> String {
    let mut levels = routes.levels.iter();
    let purity = when(
        levels.any(|level| level.chance_spec.is_some()),
        " A route counts only where its new runs meet the specification often enough; yield and purity are drawn independently of each other, and titration noise is left out, because a product is as pure as it is.",
    );
    let none = routes.best.none_meets.filter(|chance| *chance > 0.0);
    let none = around(
        " With a chance of ",
        &none.map(probability).unwrap_or_default(),
        " no route meets it often enough.",
    );
    format!(
        "Chances are counted over {} seeded draws of what the true means may be, all else at the reference mix.{purity}{none}",
        whole(DRAWS)
    )
}

fn against(routes: &Routes, best: &str, lead: &RouteLead) -> String {
    let change = aim_names::shown(&routes.aim).difference_with(lead.gain, lead.simultaneous);
    let change = change.to_string();
    let change = change.trim_start_matches(['+', '−']);
    let way = if lead.gain < 0.0 { "worse" } else { "better" };
    let margin = match lead.within_margin {
        Some(EquivalenceVerdict::Inside) => ", shown to be within the margin that does not matter",
        Some(EquivalenceVerdict::Outside) => ", shown to be beyond the margin that does not matter",
        Some(EquivalenceVerdict::NotSettled) => {
            ", not settled whether within the margin that does not matter"
        }
        None => "",
    };
    let other = &lead.against;
    let allowed = lead.allowed.map(|chance| {
        let chance = probability(chance);
        format!("; the chance that {other} meets the specification often enough is {chance}")
    });
    let allowed = allowed.unwrap_or_default();
    format!("{best} instead of {other}: {change} {way}{margin}{allowed}")
}

fn unbeaten(page: &mut Page, routes: &Routes) {
    let best = &routes.best;
    if best.unbeaten.is_empty() || routes.levels.len() < 2 {
        return;
    }
    let mut levels = routes.levels.iter();
    let counts = match levels.any(|level| level.mean_cost.is_ok()) {
        true => "yield, purity and cost",
        false => "yield and purity (there is no cost to count)",
    };
    let beaten = best.beaten.iter();
    let beaten = and_list(beaten.map(|pair| format!("{} by {}", pair.level, pair.by)));
    page.paragraph(&format!(
        "Going by the means alone, on {counts} together {} {} beaten by no other route{}.",
        and_list(&best.unbeaten),
        if best.unbeaten.len() == 1 {
            "is"
        } else {
            "are"
        },
        around("; beaten: ", &beaten, "")
    ));
}

fn later_crops(page: &mut Page, routes: &Routes) {
    let shares = routes.levels.iter().filter_map(|level| {
        let crops = level.later_crops?;
        let (middle, runs) = (percent(crops.middle?, 1), count(crops.runs, "run"));
        let name = &level.level;
        Some(format!(
            "{name} {middle}, in {} of {runs}",
            crops.with_later
        ))
    });
    page.paragraph(&around(
        "Part of the product as weighed that comes in the second and later crops, middle of the runs that took one: ",
        &and_list(shares),
        ".",
    ));
}
