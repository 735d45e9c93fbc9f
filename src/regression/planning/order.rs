//! In which order are runs to be made?
//!
//! In: runs. Out: the same in an order drawn at random.
//! This module never draws without a seed.

use super::space::drawn;
use crate::seeded::Seeded;

/// Stream of the order, apart from those of the search.
const STREAM: u64 = 1 << 40;

/// The same items in an order drawn at random, all orders equally likely.
///
/// # Source
/// Knuth, The Art of Computer Programming, vol. 2, 3rd ed. 1997, 3.4.2, algorithm P.
pub fn shuffled<T>(mut items: Vec<T>, seed: u64) -> Vec<T> {
    let mut random = Seeded::stream(seed, STREAM);
    for last in (1..items.len()).rev() {
        items.swap(last, drawn(&mut random, last + 1));
    }
    items
}
