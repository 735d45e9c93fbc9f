//! Measured numbers: a value with its standard uncertainty, part by part.
//!
//! In: values and named sources of uncertainty. Out: [`Measured`], which carries the signed contribution
//! of each source, so that what two results share stays shared.
//! This module never reads a log and never decides which sources there are.

mod arithmetic;
mod consensus;
mod cross_check;
mod draws;
mod source;
mod together;

pub use consensus::Consensus;
pub(crate) use cross_check::LANES;
pub use cross_check::{CrossCheck, cross_check};
pub use draws::Draws;
pub use source::{Distribution, Growth, Share, Source, SourceFamily, SourceId, Sources};
pub use together::{Spread, Together, lower_root};

/// So many numbers are added one after another.
const FEW: usize = 64;

/// A value with its standard uncertainty, split by source.
///
/// `u² = Σ cᵢ²`, with `cᵢ` the signed contribution (sensitivity × standard uncertainty) of source `i`.
///
/// # Assumes
/// Sources are independent of one another; first-order propagation; coverage factor k = 1.
/// # Example
/// ```
/// use residuum::measured::{Distribution, Measured, Sources};
/// let mut sources = Sources::default();
/// let assay = sources.add("assay", Distribution::Normal, f64::INFINITY);
/// let a = Measured::new(0.80, assay, 0.01);
/// let b = a.clone() * 2.0;
/// // What both share cancels in the ratio.
/// assert!((&b / &a).uncertainty() < 1e-15);
/// assert_eq!(b.uncertainty(), 0.02);
/// ```
/// # Source
/// JCGM 100:2008, 5.1.2 and 5.2.2.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Measured {
    value: f64,
    /// Sorted by source, each source at most once.
    parts: Vec<(SourceId, f64)>,
    /// Simulated values, when the number takes part in a simulation; else empty.
    lanes: Vec<f64>,
}

impl Measured {
    /// A value that is exactly known.
    pub fn exact(value: f64) -> Self {
        Self {
            value,
            ..Self::default()
        }
    }

    /// The same number, followed through a simulation besides: one simulated value a lane, in the unit of the value.
    ///
    /// # Assumes
    /// All numbers of a simulation have equally many lanes; lane `i` of each is of the same draw of all sources.
    pub fn with_lanes(mut self, lanes: Vec<f64>) -> Self {
        self.lanes = lanes;
        self
    }

    /// Simulated values; empty outside a simulation.
    pub fn lanes(&self) -> &[f64] {
        &self.lanes
    }

    /// A value with one source of uncertainty and its standard uncertainty in the unit of the value.
    pub fn new(value: f64, source: SourceId, uncertainty: f64) -> Self {
        Self {
            value,
            parts: vec![(source, uncertainty)],
            ..Self::default()
        }
    }

    /// The best estimate.
    pub fn value(&self) -> f64 {
        self.value
    }

    /// Standard uncertainty (k = 1), in the unit of the value: `u = √(Σ cᵢ²)` over the contributions `cᵢ` of its sources.
    ///
    /// # Source
    /// JCGM 100:2008, 5.1.2.
    pub fn uncertainty(&self) -> f64 {
        // An empty sum is a negative zero.
        (self.parts.iter().map(|(_, c)| c * c).sum::<f64>() + 0.0).sqrt()
    }

    /// Signed contributions by source, in the unit of the value, sorted by source.
    pub fn parts(&self) -> &[(SourceId, f64)] {
        &self.parts
    }

    /// Covariance with another result, from the sources that both share, in the product of both units.
    ///
    /// `u(a, b) = Σ cᵢ(a)·cᵢ(b)`, over the sources `i` that both rest on.
    ///
    /// # Assumes
    /// Sources are independent of one another.
    /// # Source
    /// JCGM 100:2008, annex F.1.2.3.
    pub fn covariance(&self, other: &Measured) -> f64 {
        let (mut mine, mut sum) = (self.parts.as_slice(), 0.0);
        for (source, theirs) in &other.parts {
            // Both are sorted; of a much longer list most is passed over at once.
            let before = match mine.len() / (other.parts.len() + 1) {
                0..FEW => mine.iter().take_while(|part| part.0 < *source).count(),
                _ => mine.partition_point(|part| part.0 < *source),
            };
            mine = &mine[before..];
            if let Some((_, ours)) = mine.first().filter(|part| part.0 == *source) {
                sum += ours * theirs;
            }
        }
        sum
    }

    /// The error of some sources alone: value zero, parts of these sources, in the unit of the value.
    ///
    /// Together with the error of all others it makes the whole error, because sources are independent of one another.
    pub fn from_sources(&self, counts: impl Fn(SourceId) -> bool) -> Measured {
        let parts = self.parts.iter().filter(|(id, _)| counts(*id));
        Measured {
            parts: parts.copied().collect(),
            ..Measured::default()
        }
    }

    /// Sum of many, in the order given; errors of sources that several share add up with their signs.
    ///
    /// # Units and shapes
    /// All in one unit; of an empty list it is an exact 0.
    /// # Source
    /// JCGM 100:2008, 5.2.2, all sensitivities 1.
    pub fn sum<'a>(items: impl IntoIterator<Item = &'a Measured>) -> Measured {
        let items: Vec<&Measured> = items.into_iter().collect();
        let lanes = items.iter().map(|item| item.lanes.len()).max();
        let lane = |at: usize| {
            let of_items = items.iter();
            of_items.fold(0.0, |sum, item| {
                sum + item.lanes.get(at).unwrap_or(&item.value)
            })
        };
        Measured {
            value: items.iter().fold(0.0, |sum, item| sum + item.value),
            lanes: (0..lanes.unwrap_or(0)).map(lane).collect(),
            ..Measured::errors(items.iter().map(|item| (*item, 1.0)))
        }
    }

    /// The error of a weighted sum alone: value zero, `Σ wⱼ cᵢⱼ` of each source `i` over the numbers `j`.
    ///
    /// # Units and shapes
    /// In the unit of the numbers times that of the weights.
    /// # Source
    /// JCGM 100:2008, 5.2.2, the weights being the sensitivities.
    pub fn errors<'a>(items: impl IntoIterator<Item = (&'a Measured, f64)>) -> Measured {
        let mut parts: Vec<(SourceId, f64)> = Vec::new();
        for (item, weight) in items {
            let weighted = item.parts.iter();
            parts.extend(weighted.map(|(source, part)| (*source, weight * part)));
        }
        // Stable: what items bring of one source is added in their order.
        parts.sort_by_key(|(source, _)| *source);
        parts.dedup_by(|next, kept| {
            let is_same = next.0 == kept.0;
            if is_same {
                kept.1 += next.1;
            }
            is_same
        });
        Measured {
            parts,
            ..Measured::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    fn two() -> (Measured, Measured) {
        let mut sources = Sources::default();
        let first = sources.add("first", Distribution::Normal, f64::INFINITY);
        let second = sources.add("second", Distribution::Normal, f64::INFINITY);
        (
            Measured::new(3.0, first, 0.3),
            Measured::new(4.0, second, 0.4),
        )
    }

    #[test]
    fn independent_parts_add_in_squares() {
        let (a, b) = two();
        assert_relative_eq!((&a + &b).uncertainty(), 0.5);
        assert_relative_eq!((&a - &b).uncertainty(), 0.5);
    }

    #[test]
    fn relative_parts_of_a_product_add_in_squares() {
        let (a, b) = two();
        let product = &a * &b;
        assert!((product.uncertainty() / 12.0 - (0.01_f64 + 0.01).sqrt()).abs() < 1e-15);
    }

    #[test]
    fn a_number_minus_itself_is_certain() {
        let (a, b) = two();
        let product = &a * &b;
        assert_eq!((&product - &product).uncertainty(), 0.0);
    }

    #[test]
    fn covariance_comes_from_what_is_shared() {
        let (a, b) = two();
        assert_eq!(a.covariance(&b), 0.0);
        assert!(((&a + &b).covariance(&a) - 0.09).abs() < 1e-15);
    }

    #[test]
    fn a_change_of_unit_scales_value_and_uncertainty() {
        let (a, b) = two();
        let ratio = &a / &b;
        let scaled = &(a * 1000.0) / &b;
        assert!((scaled.value() - 1000.0 * ratio.value()).abs() < 1e-12);
        assert!((scaled.uncertainty() - 1000.0 * ratio.uncertainty()).abs() < 1e-12);
    }
}
