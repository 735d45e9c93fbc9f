//! The section of question 4: which recovery route is best.
//!
//! In: the routes compared. Out: its section of the report.
//! This module never compares two routes itself.

use super::table;
use super::words::verdict;
use crate::decide::{RouteLead, Routes};
use crate::pipeline::Analysis;
use crate::regression::EquivalenceVerdict;
use crate::report::beside::{gaps, picture};
use crate::report::print::aim_words;
use crate::report::print::{
    Page, Pictures, Shown, and_list, capital, count, fixed, markdown, plain, probability, whole,
};
use crate::report::reasons::refusal;

/// Writes the comparison of the routes.
pub fn write(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    let Some(routes) = &analysis.findings.routes else {
        return;
    };
    page.heading(2, "4 Which recovery route is best?");
    page.paragraph(&capital(&verdict(routes, markdown)));
    picture(page, pictures, "routes");
    page.table(&table::given(routes));
    if let Some(spec) = analysis.campaign.purity_spec {
        page.paragraph(&format!(
            "The specification is a purity of {} %.",
            plain(100.0 * spec)
        ));
    }
    if let Some(leader) = &routes.leader {
        let items: Vec<String> = routes
            .lead
            .iter()
            .map(|other| in_yield(routes, leader, other))
            .collect();
        page.list(&items);
    }
    let chances = table::chances(routes);
    if !chances.rows.is_empty() {
        page.heading(3, &chances.question);
        page.table(&chances);
        page.paragraph(&how_chances_come(routes));
    }
    for_the_aim(page, routes);
    unbeaten(page, routes);
    later_crops(page, routes);
    gaps(page, 4, &routes.best.gaps);
}

fn in_yield(routes: &Routes, leader: &str, other: &crate::decide::RouteDifference) -> String {
    let shown = Shown::of("1");
    let pair = format!("{} against {}", markdown(leader), markdown(&other.against));
    match &other.difference {
        Ok(difference) => format!(
            "{pair}: {}{}, chance of such a lead by luck {}",
            shown.change(difference),
            with_all_pairs(routes, shown.interval(other.simultaneous)),
            other
                .adjusted_p
                .map_or_else(|| "not known".into(), probability),
        ),
        Err(reason) => format!("{pair}: {}", markdown(&refusal(reason))),
    }
}

/// The interval that allows for all pairs; with one pair it is the one that stands there already.
fn with_all_pairs(routes: &Routes, interval: String) -> String {
    if routes.pairs < 2 {
        return String::new();
    }
    format!(
        "; {interval} with all {} counted",
        count(routes.pairs, "pair")
    )
}

fn how_chances_come(routes: &Routes) -> String {
    let purity = if routes
        .levels
        .iter()
        .any(|level| level.chance_spec.is_some())
    {
        " A route counts only where its new runs meet the specification often enough; yield and purity are drawn independently of each other, and titration noise is left out, because a product is as pure as it is."
    } else {
        ""
    };
    let none = routes
        .best
        .none_meets
        .filter(|chance| *chance > 0.0)
        .map_or_else(String::new, |chance| {
            format!(
                " With a chance of {} no route meets it often enough.",
                probability(chance)
            )
        });
    format!(
        "Chances are counted over {} seeded draws of what the true means may be, all else at the reference mix.{purity}{none}",
        whole(crate::decide::DRAWS)
    )
}

/// The best route for the aim against the others, where that is not the comparison of yields above.
fn for_the_aim(page: &mut Page, routes: &Routes) {
    let (Some(best), false) = (&routes.best.level, routes.best.leads.is_empty()) else {
        return;
    };
    page.heading(3, "The best route for the purpose against the others");
    let items: Vec<String> = routes
        .best
        .leads
        .iter()
        .map(|lead| against(routes, best, lead))
        .collect();
    page.list(&items);
}

fn against(routes: &Routes, best: &str, lead: &RouteLead) -> String {
    let shown = aim_words::shown(&routes.aim, markdown);
    let change = shown.difference_with(lead.gain, lead.simultaneous);
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
    let allowed = lead.allowed.map_or_else(String::new, |chance| {
        format!(
            "; the chance that {} meets the specification often enough is {}",
            markdown(&lead.against),
            probability(chance)
        )
    });
    format!(
        "{} instead of {}: {change} {way}{margin}{allowed}",
        markdown(best),
        markdown(&lead.against)
    )
}

fn unbeaten(page: &mut Page, routes: &Routes) {
    if routes.best.unbeaten.is_empty() || routes.levels.len() < 2 {
        return;
    }
    let costs = routes.levels.iter().any(|level| level.mean_cost.is_ok());
    let counts = if costs {
        "yield, purity and cost"
    } else {
        "yield and purity (there is no cost to count)"
    };
    let beaten: Vec<String> = routes
        .best
        .beaten
        .iter()
        .map(|pair| format!("{} by {}", markdown(&pair.level), markdown(&pair.by)))
        .collect();
    let beaten = if beaten.is_empty() {
        String::new()
    } else {
        format!("; beaten: {}", and_list(&beaten))
    };
    let names: Vec<String> = routes
        .best
        .unbeaten
        .iter()
        .map(|name| markdown(name))
        .collect();
    page.paragraph(&format!(
        "Going by the means alone, on {counts} together {} {} beaten by no other route{beaten}.",
        and_list(&names),
        if names.len() == 1 { "is" } else { "are" }
    ));
}

fn later_crops(page: &mut Page, routes: &Routes) {
    let shares: Vec<String> = routes
        .levels
        .iter()
        .filter_map(|level| {
            let crops = level.later_crops?;
            let middle = crops.middle?;
            Some(format!(
                "{} {} %, in {} of {}",
                markdown(&level.level),
                fixed(100.0 * middle, 1),
                crops.with_later,
                count(crops.runs, "run")
            ))
        })
        .collect();
    if !shares.is_empty() {
        page.paragraph(&format!(
            "Part of the product as weighed that comes in the second and later crops, middle of the runs that took one: {}.",
            and_list(&shares)
        ));
    }
}
