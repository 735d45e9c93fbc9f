//! Moisture and purity of a crop by what a sample of it weighed before and after, and what an impurity takes up.
//!
//! In: masses before and after, contents of impurities. Out: fractions with their error, and a doubt where two ways disagree.
//! This module never decides which of two ways counts.

use super::caveats::plus_minus;
use super::reading_errors::Book;
use crate::campaign::FollowedImpurity;
use crate::caveat::{AtTheBench, Doubt, ToldTwice};
use crate::chemistry::AtomicWeights;
use crate::intake::Weighings;
use crate::measured::Measured;

/// Two moistures nearer than this are one, whatever nobody states of their errors; common practice, no source.
const ALIKE: f64 = 0.001;

/// The same of two purities, which titrations scatter by; common practice, no source.
const ALIKE_PURITIES: f64 = 0.003;

/// Free moisture [mass fraction]: `(m_wet − m_dry)/(m_wet − m_tare)`, each mass with the dish \[g\].
///
/// # Assumes
/// Nothing but free water leaves, no water of a hydrate; each mass has an error of its own.
/// # Source
/// Loss on drying on the basis of the sample as weighed; common practice. Checked in
/// `tests/it/reference/titration/drying.rs` against ISO 11465:1993, whose basis is the dry sample.
pub(super) fn by_drying(drying: &Weighings, book: &mut Book) -> Measured {
    let labels = ["drying: wet mass", "drying: dry mass", "drying: tare"];
    let [wet, dry, tare] = weighed(drying, "drying_mass", labels, book);
    &(&wet - &dry) / &(&wet - &tare)
}

/// Purity of the ignited sample [mass fraction]: `q·(m_left − m_tare)/(m_sample − m_tare)`, each mass with the dish \[g\], `q`
/// grams of product per gram of what is left, as [`product_per_feed`](crate::chemistry::product_per_feed) has it.
///
/// # Assumes
/// All that is left is of the stated formula, and holds all of the followed element; each mass has an error of its own, atomic
/// weights are those of titrations.
/// # Source
/// Stoichiometry of gravimetry; common practice, no source. Checked in `tests/it/reference/titration/ignition.rs`.
pub(super) fn by_ignition(ignition: &Weighings, per_left: &Measured, book: &mut Book) -> Measured {
    let labels = [
        "ignition: mass before",
        "ignition: mass after",
        "ignition: dish",
    ];
    let [sample, left, tare] = weighed(ignition, "ignition_mass", labels, book);
    &(per_left * &(&left - &tare)) / &(&sample - &tare)
}

fn weighed(of: &Weighings, name: &str, labels: [&str; 3], book: &mut Book) -> [Measured; 3] {
    let [before, after, tare] = labels;
    [(of.before, before), (of.after, after), (of.tare, tare)]
        .map(|(number, label)| book.reading(number, &[name], label))
}

/// Content of an impurity over what is logged of it: of the compound that it is present as over its element, else 1.
pub(super) fn as_present(impurity: &FollowedImpurity, weights: &AtomicWeights) -> Measured {
    let present = impurity.present_as.as_ref();
    let of_element = present.zip(weights.of(&impurity.name));
    of_element.map_or(Measured::exact(1.0), |(formula, element)| {
        &formula.molar_mass(weights) / element / formula.atoms_of(&impurity.name)
    })
}

/// The doubt of a figure of a crop that two ways tell, further apart than their errors explain.
pub(super) fn ways_disagree(
    crop: u32,
    of: ToldTwice,
    [used, other]: [&Measured; 2],
) -> Option<Doubt> {
    let apart = plus_minus(&(used - other));
    let [used, other] = [used, other].map(plus_minus);
    let alike = match of {
        ToldTwice::Moisture => ALIKE,
        ToldTwice::Purity => ALIKE_PURITIES,
    };
    let doubt = AtTheBench::WaysDisagree {
        crop,
        of,
        used,
        other,
    };
    (apart.value.abs() > apart.half_width.max(alike)).then_some(Doubt::AtTheBench(doubt))
}
