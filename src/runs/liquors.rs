//! Mother liquor left by each run, and what the liquor charged into another held.
//!
//! In: volumes and strengths of the runs log, `liquor_from`. Out: [`Liquors`] and the product in a charge.
//! This module never invents a strength.

use std::collections::BTreeMap;

use super::reading_errors::Book;
use super::results::Outcome;
use crate::caveat::{Part, Reason};
use crate::intake::{Logged, RunRow};
use crate::measured::Measured;

/// Millilitres in a litre.
const MILLILITRES: f64 = 1000.0;

/// Mother liquors by the runs that left them: volume \[mL\] and strength [g of product per mL].
pub(super) type Liquors = BTreeMap<String, (Measured, Measured)>;

/// The liquors of all runs that log volume and strength; one reading has one error, wherever the liquor went.
///
/// `per_stated` is grams of product per gram of the formula that strengths are stated as.
pub(super) fn liquors(logged: &Logged, per_stated: &Measured, book: &mut Book) -> Liquors {
    let rows = logged.runs.rows.iter();
    let rows = rows.filter(|row| row.may_use(&[Part::Liquor]).is_ok());
    rows.filter_map(|row| {
        let volume = book.reading(row.liquor_volume?, &["liquor_volume"], "liquor volume");
        let stated = book.reading(row.liquor_conc?, &["liquor_conc"], "liquor concentration");
        let strength = &(stated / MILLILITRES) * per_stated;
        Some((row.run.clone(), (volume, strength)))
    })
    .collect()
}

/// Product in the mother liquor left by a run \[g\], whatever formula its strength is stated as.
pub(super) fn left(row: &RunRow, liquors: &Liquors) -> Outcome {
    row.may_use(&[Part::Liquor])?;
    let (volume, strength) = liquors.get(&row.run).ok_or(Reason::LiquorNotMeasured)?;
    Ok(volume * strength)
}

/// Product in the mother liquor charged into a run \[g\]; `None` where none was charged.
///
/// Volume times strength: that of the charge, else `Σ Vⱼ·cⱼ / Σ Vⱼ` of the runs that it came from.
///
/// # Assumes
/// Without a strength of its own the liquor of several runs is mixed in the proportion of what each left.
/// # Errors
/// [`Reason::LiquorFromNowhere`] where the log names no run, [`Reason::NoLiquorOf`] for one without volume or strength.
pub(super) fn charged(
    row: &RunRow,
    liquors: &Liquors,
    per_stated: &Measured,
    book: &mut Book,
) -> Option<Outcome> {
    let volume = row.liquor_in.filter(|volume| volume.value > 0.0)?;
    if let Err(reason) = row.may_use(&[Part::LiquorIn]) {
        return Some(Err(reason));
    }
    let volume = book.reading(
        volume,
        &["liquor_in", "liquor_volume"],
        "volume of liquor charged",
    );
    if let Some(own) = row.liquor_in_conc {
        let names = ["liquor_in_conc", "liquor_conc"];
        let stated = book.reading(own, &names, "strength of liquor charged");
        return Some(Ok(&volume * &(&(stated / MILLILITRES) * per_stated)));
    }
    if row.liquor_from.is_empty() {
        return Some(Err(Reason::LiquorFromNowhere));
    }
    let (mut product, mut all) = (Measured::exact(0.0), Measured::exact(0.0));
    for from in &row.liquor_from {
        let Some((left, strength)) = liquors.get(from) else {
            return Some(Err(Reason::NoLiquorOf { run: from.clone() }));
        };
        product = &product + &(left * strength);
        all = &all + left;
    }
    if all.value() <= 0.0 {
        let run = row.liquor_from.join(";");
        return Some(Err(Reason::NoLiquorOf { run }));
    }
    Some(Ok(&volume * &(&product / &all)))
}
