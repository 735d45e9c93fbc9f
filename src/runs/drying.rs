//! Moisture of a crop by what a sample of it lost on drying.
//!
//! In: masses before and after. Out: the moisture with its error, and a doubt where another is logged.
//! This module never decides whether a purity is corrected for it.

use super::caveats::plus_minus;
use super::reading_errors::Book;
use crate::caveat::{AtTheBench, Doubt};
use crate::intake::Drying;
use crate::measured::Measured;

/// Two moistures nearer than this are one, whatever nobody states of their errors; common practice, no source.
const ALIKE: f64 = 0.001;

/// Free moisture [mass fraction]: `(m_wet − m_dry)/(m_wet − m_tare)`, each mass with the dish \[g\].
///
/// # Assumes
/// Nothing but free water leaves, no water of a hydrate; each mass has an error of its own.
/// # Source
/// Loss on drying on the basis of the sample as weighed; common practice. Checked in
/// `tests/it/reference/titration/drying.rs` against ISO 11465:1993, whose basis is the dry sample.
pub(super) fn by_drying(drying: &Drying, book: &mut Book) -> Measured {
    let mut weighed = |number, label| book.reading(number, &["drying_mass"], label);
    let wet = weighed(drying.wet, "drying: wet mass");
    let dry = weighed(drying.dry, "drying: dry mass");
    let tare = weighed(drying.tare, "drying: tare");
    &(&wet - &dry) / &(&wet - &tare)
}

/// The doubt of a moisture that is logged and another that the drying gives, further apart than their errors explain.
pub(super) fn moistures_disagree(crop: u32, logged: &Measured, dried: &Measured) -> Option<Doubt> {
    let apart = plus_minus(&(logged - dried));
    let [logged, dried] = [logged, dried].map(plus_minus);
    let doubt = AtTheBench::MoisturesDisagree {
        crop,
        logged,
        dried,
    };
    (apart.value.abs() > apart.half_width.max(ALIKE)).then_some(Doubt::AtTheBench(doubt))
}
