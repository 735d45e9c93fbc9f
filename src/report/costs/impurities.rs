//! Limits of impurities in words and tables.
//!
//! In: what product and cycles hold of each impurity. Out: a table of the runs by route, one of the cycles.
//! This module never works out a content.

use crate::decide::{BuildUp, Cycles, Impurities, ImpuritiesOf, OneImpurity};
use crate::report::print::{Cell, Columns, Page, Table, and_list, count, percent, plain, when};

/// Parts per million of a mass fraction.
const PPM: f64 = 1e6;

/// Writes whether product keeps the limits.
pub fn write(page: &mut Page, found: Option<&Impurities>) {
    let Some(found) = found else {
        return;
    };
    page.answer(&by_route(found));
    page.paragraph(&format!(
        "{} The interval of a share is exact for runs that are alike; contents are as logged, without their ±.",
        keeps(found)
    ));
}

/// How often all limits were kept, and which binds.
fn keeps(found: &Impurities) -> String {
    let with_share = found.of.iter().filter_map(|of| {
        let [share, low, high] = of.share?;
        let name = match &of.route {
            None => "all routes together".to_string(),
            Some(route) => format!("route {route}"),
        };
        let binds = of
            .binding
            .as_ref()
            .map(|name| format!("{name} comes nearest to its limit"));
        Some(format!(
            "{name}: {} of {} keep all limits, {} ({} to {}){}",
            of.kept,
            count(of.told, "run"),
            percent(share, 0),
            percent(low, 0),
            percent(high, 0),
            binds.map_or_else(String::new, |binds| format!("; {binds}"))
        ))
    });
    let all: Vec<String> = with_share.collect();
    match all.is_empty() {
        true => "No limit is stated, or no run tells all of them.".into(),
        false => format!("{}.", crate::report::print::capital(&all.join(". "))),
    }
}

/// Each impurity of each route.
pub fn by_route(found: &Impurities) -> Table {
    let each = |of: &'_ ImpuritiesOf| {
        let route = of.route.clone();
        let each = of.each.clone().into_iter();
        each.map(move |one| (route.clone(), one))
            .collect::<Vec<_>>()
    };
    let all: Vec<(Option<String>, OneImpurity)> = found.of.iter().flat_map(each).collect();
    let mut rows = Columns::of(&all);
    rows.words("route", |(route, _)| {
        route.clone().unwrap_or_else(|| "all".into())
    })
    .key("route");
    rows.words("impurity", |(_, of)| &of.name).key("impurity");
    rows.figures("runs", |(_, of)| of.runs).key("runs");
    rows.figures("middle / ppm", |(_, of)| Cell::plain(of.middle).times(PPM))
        .key("middle");
    rows.figures("most / ppm", |(_, of)| Cell::plain(of.most).times(PPM))
        .key("most");
    rows.figures("limit / ppm", |(_, of)| {
        of.limit.map(|limit| Cell::plain(limit).times(PPM))
    })
    .key("limit");
    rows.figures("runs above it", |(_, of)| of.above)
        .key("above");
    rows.answer("Does product keep the limits of its impurities?")
}

/// Impurities from cycle to cycle.
pub fn build_up(page: &mut Page, cycles: &Cycles) {
    if cycles.build_up.is_empty() {
        return;
    }
    page.answer(&build_up_table(cycles));
    let passes = |of: &BuildUp| match (of.limit, of.passes_at) {
        (None, _) => format!("{} has no limit stated", of.name),
        (Some(_), None) => format!(
            "{} keeps its limit in all of them by the best estimate",
            of.name
        ),
        (Some(limit), Some(cycle)) => format!(
            "{} passes its limit of {} ppm in cycle {cycle}",
            of.name,
            plain(PPM * limit)
        ),
    };
    let fewest = cycles
        .build_up
        .iter()
        .map(|of| of.runs)
        .min()
        .unwrap_or_default();
    page.paragraph(&format!(
        "Of these cycles, {}. What stays on the filter and what goes with the crops is found from {}{}, as if all feed brought alike; the ± is that of the crops alone.",
        and_list(cycles.build_up.iter().map(passes)),
        count(fewest, "run"),
        when(cycles.build_up.len() > 1, " or more")
    ));
}

/// What the product holds of each, cycle by cycle.
pub fn build_up_table(cycles: &Cycles) -> Table {
    let content = |[value, half]: [f64; 2]| Cell::with_error(value, half).times(PPM);
    let mut rows = Columns::of(std::iter::once(None).chain(cycles.cycles.iter().map(Some)));
    rows.words("cycle", |of| match of {
        None => "no residue".into(),
        Some(cycle) => cycle.cycle.to_string(),
    });
    for impurity in &cycles.build_up {
        rows.figures(
            format!("{} in the product / ppm", impurity.name),
            |of| match of {
                None => Some(content(impurity.without)),
                Some(cycle) => {
                    let place = (cycle.cycle as usize).saturating_sub(1);
                    impurity.cycles.get(place).copied().map(content)
                }
            },
        );
    }
    rows.answer("What builds up in the product, run after run?")
}
