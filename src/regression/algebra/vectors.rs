//! Sums over vectors, in an order that never depends on the machine.
//!
//! In: numbers of equal length. Out: products, means, and vectors changed in place.
//! This module never knows what a vector stands for.

use twofloat::TwoFloat;

/// The sum of products, in four interleaved sums so that the order never depends on the machine.
pub(crate) fn dot(one: &[f64], other: &[f64]) -> f64 {
    let ((ones, one_rest), (others, other_rest)) = (one.as_chunks::<4>(), other.as_chunks::<4>());
    let mut sums = [0.0; 4];
    // By position: pairs of iterators cost more than the products of these short vectors.
    for at in 0..ones.len().min(others.len()) {
        for lane in 0..4 {
            sums[lane] += ones[at][lane] * others[at][lane];
        }
    }
    let mut rest = 0.0;
    for at in 0..one_rest.len().min(other_rest.len()) {
        rest += one_rest[at] * other_rest[at];
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
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
    for at in 0..target.len().min(vector.len()) {
        target[at] += amount * vector[at];
    }
}

/// Takes a multiple of a vector off another, as far as the shorter one goes.
pub(crate) fn subtract(target: &mut [f64], amount: f64, vector: &[f64]) {
    for at in 0..target.len().min(vector.len()) {
        target[at] -= amount * vector[at];
    }
}
