//! Sums over vectors, in an order that never depends on the machine.
//!
//! In: numbers of equal length. Out: products, means, and vectors changed in place.
//! This module never knows what a vector stands for.

use twofloat::TwoFloat;

/// Sums that run beside one another, so that none waits for the one before.
const LANES: usize = 8;

/// The sum of products, in interleaved sums so that the order never depends on the machine.
pub(crate) fn dot(one: &[f64], other: &[f64]) -> f64 {
    let size = one.len().min(other.len());
    let (one, other) = (&one[..size], &other[..size]);
    let ((ones, one_rest), (others, other_rest)) =
        (one.as_chunks::<LANES>(), other.as_chunks::<LANES>());
    let mut sums = [0.0; LANES];
    // By position: pairs of iterators cost more than the products of these short vectors.
    for at in 0..ones.len() {
        for lane in 0..LANES {
            sums[lane] += ones[at][lane] * others[at][lane];
        }
    }
    for at in 0..one_rest.len() {
        sums[at] += one_rest[at] * other_rest[at];
    }
    let [a, b, c, d, e, f, g, h] = sums;
    ((a + e) + (b + f)) + ((c + g) + (d + h))
}

/// The sum of products in doubled precision, as far as the shorter one goes.
pub(crate) fn dot_doubled(one: &[TwoFloat], other: &[TwoFloat]) -> TwoFloat {
    let products = one.iter().zip(other).map(|(&a, &b)| a * b);
    products.fold(TwoFloat::from(0.0), |sum, product| sum + product)
}

/// A vector of this size that is 1 at one place, else 0.
pub(crate) fn unit(size: usize, place: usize) -> Vec<f64> {
    let mut unit = vec![0.0; size];
    unit[place] = 1.0;
    unit
}

/// The length of a vector, `√Σ xᵢ²`.
pub(crate) fn length(vector: &[f64]) -> f64 {
    dot(vector, vector).sqrt()
}

/// Adds a multiple of a vector to another, as far as the shorter one goes.
pub(crate) fn add(target: &mut [f64], amount: f64, vector: &[f64]) {
    let size = target.len().min(vector.len());
    let (target, vector) = (&mut target[..size], &vector[..size]);
    for at in 0..size {
        target[at] += amount * vector[at];
    }
}

/// Takes a multiple of a vector off another, as far as the shorter one goes.
pub(crate) fn subtract(target: &mut [f64], amount: f64, vector: &[f64]) {
    let size = target.len().min(vector.len());
    let (target, vector) = (&mut target[..size], &vector[..size]);
    for at in 0..size {
        target[at] -= amount * vector[at];
    }
}
