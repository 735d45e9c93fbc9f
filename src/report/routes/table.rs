//! The tables of question 4.
//!
//! In: the routes compared. Out: one [`Table`] a question, for report and terminal.
//! This module never leaves a cell empty: where there is no figure, a dash or the reason stands.

use crate::decide::{NoMean, RouteLevel, Routes};
use crate::regression::{Estimate, Interval};
use crate::report::print::{Cell, Columns, Shown, Table};
use crate::report::reasons::no_mean;

/// What each route gives.
pub fn given(routes: &Routes) -> Table {
    let any = |of: fn(&RouteLevel) -> bool| routes.levels.iter().any(of);
    let fraction = Shown::of("1");
    let mean = |mean: &Result<Estimate, NoMean>, shown: &Shown| match mean {
        Ok(mean) => shown.mean(mean),
        Err(reason) => Cell::because(no_mean(reason)),
    };
    let mut rows = Columns::of(&routes.levels);
    rows.words("route", |of| &of.level);
    rows.figures("runs", |of| of.yields.len());
    rows.figures("adjusted mean yield", |of| mean(&of.mean_yield, &fraction));
    rows.figures("of its ceiling", |of| {
        of.of_ceiling.as_ref().map(|part| fraction.mean(part))
    })
    .when(any(|level| level.of_ceiling.is_some()));
    rows.figures("adjusted mean purity", |of| {
        mean(&of.mean_purity, &fraction)
    });
    rows.figures("runs that met the specification", |of| {
        let met = of.meets_spec;
        met.map(|met| format!("{met} of {}", of.purity_runs))
    });
    rows.figures("adjusted mean cost", |of| {
        mean(&of.mean_cost, &Shown::per_kilogram(&of.cost_unit))
    })
    .when(any(|level| level.mean_cost.is_ok()));
    match any(|level| level.mean_labour.is_ok()) {
        true => rows.figures("adjusted mean labour of one run", |of| {
            mean(&of.mean_labour, &Shown::of("min"))
        }),
        false => rows.figures("labour of one run, middle", |of| {
            let labour = of.labour;
            labour.map(|minutes| Cell::fixed(minutes, 0).in_unit("min"))
        }),
    };
    rows.answer("Which recovery route is best?")
}

/// How likely each route is the best, and meets the specification.
pub fn chances(routes: &Routes) -> Table {
    let levels = routes.levels.iter();
    let asks = levels.clone().any(|level| level.chance_spec.is_some());
    let known = levels.filter_map(|level| Some((level, level.chance.as_ref()?)));
    let mut rows = Columns::of(known);
    rows.words("route", |(level, _)| &level.level);
    rows.figures("chance of being the best", |(_, of)| Cell::Chance(of.best));
    rows.figures("the same, whatever the purity", |(_, of)| {
        Cell::Chance(of.best_without_spec)
    })
    .when(asks);
    rows.figures(
        "chance that one new run meets the specification",
        |(level, _)| level.chance_spec.map(Cell::Chance),
    )
    .when(asks);
    rows.figures("part of all new runs that meet it", |(_, of)| {
        of.share.map(share)
    })
    .when(asks);
    rows.figures("chance that enough of them do", |(_, of)| {
        Cell::Chance(of.allowed)
    })
    .when(asks);
    rows.answer("How likely is each route the best?")
}

fn share(ends: Interval) -> Cell {
    // Half a percent at either end would be printed as certainty.
    if ends.low >= 0.99 {
        return Cell::text("above 99 %");
    }
    if ends.high <= 0.01 {
        return Cell::text("below 1 %");
    }
    Cell::range(ends, 0).times(100.0).in_unit("%")
}
