//! Empty cells that would count as something: no gap is ever a zero.
//!
//! In: a campaign and its logs. Out: runs left out because a mass is missing, and slips where an empty cell counts as a default.
//! This module never fills a gap.

use std::collections::{BTreeMap, BTreeSet};

use crate::campaign::{Campaign, LogKind, StandsFor};
use crate::caveat::{Against, Slip, Weight};
use crate::error::{Cause, ErrorKind, Place};
use crate::intake::{LeftOut, Logged, RunRow, TitrantStrength, TitreOf};

/// Part of the other runs of its route that have a crop from which on a run without one lacks it.
const MOST: f64 = 0.75;

/// Fewest of these.
const FEWEST: usize = 3;

/// Empty cells of one column that are told one by one; more are the habit of the log.
const MOST_TOLD: usize = 4;

/// Leaves out runs whose crop or residue was not weighed, though other entries say that there was some.
pub fn leave_out_gaps(campaign: &Campaign, logged: &mut Logged) {
    if campaign.chemistry.is_none() {
        return;
    }
    let mut faults = missing_crops(campaign, logged);
    faults.extend(missing_charges(logged));
    logged.left_out.extend(faults);
}

/// The crops of each run that were weighed, 0 g included.
fn weighed(logged: &Logged) -> BTreeMap<&str, BTreeSet<u32>> {
    let mut weighed: BTreeMap<&str, BTreeSet<u32>> = BTreeMap::new();
    for row in &logged.crops {
        weighed.entry(&row.run).or_default().insert(row.crop);
    }
    for row in &logged.runs.rows {
        let crops = row.crops.iter().filter(|crop| crop.mass.is_some());
        let crops = crops.map(|crop| crop.crop);
        weighed.entry(&row.run).or_default().extend(crops);
    }
    weighed
}

fn missing_crops(campaign: &Campaign, logged: &Logged) -> Vec<LeftOut> {
    let weighed = weighed(logged);
    let faults = logged.left_out.iter().filter(|entry| !entry.on_purpose);
    let known_out: BTreeSet<&str> = faults.filter_map(|entry| entry.run.as_deref()).collect();
    let plan = campaign.factor_for(StandsFor::Route);
    let column = plan.and_then(|plan| logged.runs.column(plan.column()));
    let route = |position: usize| column.and_then(|column| column.cells[position].as_deref());
    let is_made = |row: &RunRow| row.set_aside.is_none() && !known_out.contains(&*row.run);
    let rows = logged.runs.rows.iter().enumerate();
    let made: Vec<(usize, &RunRow)> = rows.filter(|(_, row)| is_made(row)).collect();
    // How many runs of each route there are, and how many of them have each crop.
    let mut of_routes: BTreeMap<Option<&str>, (usize, BTreeMap<u32, usize>)> = BTreeMap::new();
    for (position, row) in &made {
        let (runs, crops) = of_routes.entry(route(*position)).or_default();
        *runs += 1;
        for crop in &weighed[row.run.as_str()] {
            *crops.entry(*crop).or_default() += 1;
        }
    }
    let mut found = Vec::new();
    for (position, row) in &made {
        let own = &weighed[row.run.as_str()];
        let (runs, crops) = &of_routes[&route(*position)];
        for (crop, with) in crops.iter().filter(|(crop, _)| !own.contains(crop)) {
            if *with >= FEWEST && *with as f64 >= MOST * (runs - 1) as f64 {
                let why = format!("{with} of {} runs like it have one", runs - 1);
                let as_of_many = "runs like it have one";
                found.push(without_mass(row, &row.place, *crop, &why, as_of_many));
            }
        }
    }
    let rows: BTreeMap<&str, &RunRow> = made.iter().map(|(_, row)| (&*row.run, *row)).collect();
    let mut known: BTreeSet<String> = found.iter().filter_map(|entry| entry.run.clone()).collect();
    for titre in &logged.titres {
        let TitreOf::Crop(crop) = titre.of else {
            continue;
        };
        if let Some(row) = rows.get(titre.run.as_str())
            && !weighed[row.run.as_str()].contains(&crop)
            && known.insert(row.run.clone())
        {
            let why = "it was titrated";
            found.push(without_mass(row, &titre.place, crop, why, why));
        }
    }
    found
}

fn without_mass(row: &RunRow, place: &Place, crop: u32, why: &str, as_of_many: &str) -> LeftOut {
    let message = format!("crop {crop} of run `{}` has no mass, though {why}", row.run);
    let hint = "write its mass, `0` where there was none, or correct the number of the crop";
    let fault = place.fault(ErrorKind::Missing, message, hint);
    let cause = Cause::Things(format!("crop {crop} without a mass, though {as_of_many}"));
    let fault = fault.in_column(format!("crop{crop}_mass"));
    LeftOut::new(Some(&row.run), fault.alike(cause, None))
}

/// Residue or mother liquor charged of which no amount is logged, where the log names its source or writes `0` for none.
fn missing_charges(logged: &Logged) -> Vec<LeftOut> {
    type Amount = fn(&RunRow) -> Option<f64>;
    type Sources = fn(&RunRow) -> &[String];
    let charges: [(&str, &str, Amount, Sources); 2] = [
        (
            "residue",
            "residue_mass",
            |row| Some(row.residue_mass?.value),
            |row| row.residue_from.as_slice(),
        ),
        (
            "mother liquor",
            "liquor_in",
            |row| Some(row.liquor_in?.value),
            |row| row.liquor_from.as_slice(),
        ),
    ];
    let names: BTreeSet<&str> = logged.runs.names.iter().map(String::as_str).collect();
    let mut found = Vec::new();
    for (what, column, amount, sources) in charges {
        let writes_zero = logged.runs.used().any(|row| amount(row) == Some(0.0));
        for row in logged.runs.used().filter(|row| amount(row).is_none()) {
            let known = |from: &String| names.contains(from.as_str());
            let (why, as_of_many) = match sources(row) {
                // An unknown name is a fault of its own.
                from if !from.iter().all(known) => continue,
                [] if !writes_zero => continue,
                [] => {
                    let why = format!("where other runs without {what} say `0`");
                    (why.clone(), why)
                }
                from => {
                    let why = format!("though it names {what} of {}", from.join(", "));
                    (why, format!("though {what} of other runs is named"))
                }
            };
            let message = format!("`{column}` of run `{}` is empty, {why}", row.run);
            let hint = match column {
                "liquor_in" => "write the volume, or `0` where none was charged",
                _ => "write the mass, or `0` where none was charged",
            };
            let fault = row.place.fault(ErrorKind::Missing, message, hint);
            let cause = Cause::Things(format!("empty `{column}`, {as_of_many}"));
            let fault = fault.in_column(column).alike(cause, None);
            found.push(LeftOut::new(Some(&row.run), fault));
        }
    }
    found
}

/// A cell that may be empty.
struct Cell<'a> {
    place: &'a Place,
    run: Option<&'a str>,
    filled: bool,
}

/// Columns with cells that may be empty, and what such a cell counts as; `None` for nothing known.
const MAY_BE_EMPTY: [(LogKind, &str, Option<f64>); 12] = [
    (LogKind::Runs, "labour", None),
    (LogKind::Runs, "oxidant_mass", None),
    (LogKind::Runs, "liquor_volume", None),
    (LogKind::Runs, "liquor_conc", None),
    (LogKind::Titres, "back_titre", Some(0.0)),
    (LogKind::Titres, "aliquot", Some(1.0)),
    (LogKind::Titres, "dilution", Some(1.0)),
    (LogKind::Titres, "blank", Some(0.0)),
    (LogKind::Titres, "blank_of", Some(0.0)),
    (LogKind::Titrants, "standard_ratio", Some(1.0)),
    (LogKind::Titrants, "aliquot", Some(1.0)),
    (LogKind::Titrants, "blank", Some(0.0)),
];

/// Slips where an empty cell counts as a default though its column is there.
pub(super) fn of_defaults(logged: &Logged) -> Vec<Slip> {
    let there = |kind: LogKind, name: &str| {
        let mut columns = logged.columns.iter();
        columns.any(|(of, column)| *of == kind && column == name)
    };
    // Of a blank and the name of one, either will do.
    let is_told = |name: &str| name == "blank_of" && there(LogKind::Titres, "blank");
    let columns = MAY_BE_EMPTY.into_iter();
    columns
        .filter(|(log, name, _)| there(*log, name) && !is_told(name))
        .flat_map(|(log, name, counts_as)| empty(name, counts_as, &cells(logged, log, name)))
        .collect()
}

/// The cells of one of those columns.
fn cells<'a>(logged: &'a Logged, log: LogKind, column: &str) -> Vec<Cell<'a>> {
    let cell = |place, run, filled| Cell { place, run, filled };
    match log {
        LogKind::Titres => {
            let rows = logged.titres.iter().map(|row| {
                let filled = match column {
                    "back_titre" => row.back_titre().is_some(),
                    "aliquot" => row.aliquot().is_some(),
                    "dilution" => row.dilution().is_some(),
                    _ => row.blank.is_some() || row.blank_of().is_some(),
                };
                cell(&row.place, Some(row.run.as_str()), filled)
            });
            rows.collect()
        }
        LogKind::Titrants => {
            let rows = logged.titrants.iter().filter_map(|row| {
                let TitrantStrength::Standardised {
                    ratio,
                    aliquot,
                    blank,
                    ..
                } = &row.strength
                else {
                    return None;
                };
                let filled = match column {
                    "standard_ratio" => ratio.is_some(),
                    "aliquot" => aliquot.is_some(),
                    _ => blank.is_some(),
                };
                Some(cell(&row.place, None, filled))
            });
            rows.collect()
        }
        _ => {
            let rows = logged.runs.used().map(|row| {
                let number = row.number(column);
                cell(&row.place, Some(row.run.as_str()), number.is_some())
            });
            rows.collect()
        }
    }
}

fn empty(name: &str, counts_as: Option<f64>, cells: &[Cell]) -> Vec<Slip> {
    let filled = cells.iter().filter(|cell| cell.filled).count();
    let gaps = cells.iter().filter(|cell| !cell.filled);
    let is_odd_one_out = filled >= FEWEST && filled as f64 >= MOST * cells.len() as f64;
    let (told, weight) = match (is_odd_one_out, counts_as) {
        (true, Some(_)) => (MOST_TOLD, Weight::Unlikely),
        (true, None) => (MOST_TOLD, Weight::Odd),
        (false, Some(_)) => (1, Weight::Odd),
        // A column that is seldom filled is a note, and counts as nothing.
        (false, None) => (0, Weight::Odd),
    };
    let slip = |cell: &Cell| {
        let against = Against::Empty { counts_as, filled };
        let slip = Slip::new(cell.place, name, "", against).trusted(weight);
        match cell.run.filter(|_| is_odd_one_out) {
            Some(run) => slip.of_run(run),
            None => slip,
        }
    };
    gaps.take(told).map(slip).collect()
}
