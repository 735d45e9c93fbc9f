//! The one formula that strengths of mother liquors are of.
//!
//! In: the headings of the runs logs and the campaign file. Out: a formula, or a fault where two differ.
//! This module never turns a strength into product.

use super::table::Table;
use crate::campaign::Campaign;
use crate::chemistry::Formula;
use crate::error::{Error, ErrorKind, Place};

/// The column that holds strengths.
const STRENGTH: &str = "liquor_conc";

/// The formula that strengths are stated as, by the headings of the runs logs or by the campaign file; two that differ stop
/// the work.
pub(super) fn stated_as(
    campaign: &Campaign,
    tables: &[Table],
    stops: &mut Vec<Error>,
) -> Option<Formula> {
    let of_file = campaign.of_titration(|titration| titration.liquor_as.as_ref());
    let chemistry = campaign.chemistry.as_ref();
    let product = chemistry.map(|chemistry| &chemistry.product);
    let mut first: Option<(Option<&Formula>, String)> = None;
    for table in tables {
        let Some(column) = table.column(STRENGTH).position else {
            continue;
        };
        let head = &table.heads[column];
        let own = head.formula.as_ref();
        let counted = own.or(of_file.map(|stated| &stated.formula));
        let here = format!("column `{}` in `{}`", head.heading, table.file);
        let of = |formula: Option<&Formula>| {
            let formula = formula.or(product).map(|of| format!("`{}`", of.text()));
            formula.unwrap_or_else(|| "what it does not say".into())
        };
        let other = match (own, of_file, &first) {
            (Some(own), Some(stated), _) if *own != stated.formula => {
                let place = Place::new(&campaign.file, stated.line);
                Some((format!("`liquor_as` in {place}"), Some(&stated.formula)))
            }
            (_, _, Some((formula, place))) if formula.or(product) != counted.or(product) => {
                Some((place.clone(), *formula))
            }
            _ => None,
        };
        if let Some((place, formula)) = other {
            let [own, other] = [counted, formula].map(of);
            let message = format!("{here} is of {own}, and {place} of {other}");
            let hint = "say in both of which formula the strengths are";
            let fault = Place::new(&table.file, 1).fault(ErrorKind::Formula, message, hint);
            stops.push(fault.in_column(&head.heading));
        }
        first.get_or_insert((counted, here));
    }
    let counted = first.and_then(|(formula, _)| formula);
    counted.or(of_file.map(|stated| &stated.formula)).cloned()
}
