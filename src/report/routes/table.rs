//! The tables of question 4.
//!
//! In: the routes compared. Out: one [`Table`] a question, for report and terminal.
//! This module never leaves a cell empty: where there is no figure, a dash or the reason stands.

use crate::decide::{NoMean, RouteLevel, Routes};
use crate::regression::{Estimate, Interval};
use crate::report::print::{Cell, Column, Says, Shown, Table};
use crate::report::reasons::no_mean;

/// What each route gives.
pub fn given(routes: &Routes) -> Table {
    let any = |of: fn(&RouteLevel) -> bool| Says::something_if(|| routes.levels.iter().any(of));
    let labour = any(|level| level.mean_labour.is_ok());
    let labour_heading = match labour {
        Says::Something => "adjusted mean labour of one run",
        Says::Nothing => "labour of one run, middle",
    };
    let columns = vec![
        Column::words("route"),
        Column::figures("runs"),
        Column::figures("adjusted mean yield"),
        Column::figures("of its ceiling").when(any(|level| level.of_ceiling.is_some())),
        Column::figures("adjusted mean purity"),
        Column::figures("runs that met the specification"),
        Column::figures("adjusted mean cost").when(any(|level| level.mean_cost.is_ok())),
        Column::figures(labour_heading),
    ];
    let fraction = Shown::raw("1");
    let mean = |mean: &Result<Estimate, NoMean>, shown: &Shown| match mean {
        Ok(mean) => shown.mean_cell(mean),
        Err(reason) => Cell::because(no_mean(reason)),
    };
    let rows = routes.levels.iter().map(|level| {
        let ceiling = level.of_ceiling.as_ref();
        let met = level.meets_spec;
        vec![
            Cell::text(&level.level),
            Cell::Count(level.yields.len()),
            mean(&level.mean_yield, &fraction),
            ceiling.map_or_else(Cell::missing, |part| fraction.mean_cell(part)),
            mean(&level.mean_purity, &fraction),
            met.map_or_else(Cell::missing, |met| {
                Cell::text(format!("{met} of {}", level.purity_runs))
            }),
            mean(&level.mean_cost, &Shown::per_kilogram(&level.cost_unit)),
            match (labour, level.labour) {
                (Says::Something, _) => mean(&level.mean_labour, &Shown::raw("min")),
                (Says::Nothing, Some(minutes)) => Cell::fixed(minutes, 0).in_unit("min"),
                (Says::Nothing, None) => Cell::missing(),
            },
        ]
    });
    Table::new("Which recovery route is best?", columns).with(rows)
}

/// How likely each route is the best, and meets the specification.
pub fn chances(routes: &Routes) -> Table {
    let mut levels = routes.levels.iter();
    let asks = Says::something_if(|| levels.any(|level| level.chance_spec.is_some()));
    let columns = vec![
        Column::words("route"),
        Column::figures("chance of being the best"),
        Column::figures("the same, whatever the purity").when(asks),
        Column::figures("chance that one new run meets the specification").when(asks),
        Column::figures("part of all new runs that meet it").when(asks),
        Column::figures("chance that enough of them do").when(asks),
    ];
    let rows = routes.levels.iter().filter_map(|level| {
        let chance = level.chance.as_ref()?;
        Some(vec![
            Cell::text(&level.level),
            Cell::Chance(chance.best),
            Cell::Chance(chance.best_without_spec),
            Cell::chance(level.chance_spec),
            chance.share.map_or_else(Cell::missing, share),
            Cell::Chance(chance.allowed),
        ])
    });
    Table::new("How likely is each route the best?", columns).with(rows)
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
