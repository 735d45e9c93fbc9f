//! Sums over vectors, in an order that never depends on the machine.
//!
//! In: numbers of equal length. Out: products, means, and vectors changed in place.
//! This module never knows what a vector stands for.

/// The sum of products, in four interleaved sums so that the order never depends on the machine.
pub(crate) fn dot(one: &[f64], other: &[f64]) -> f64 {
    let mut sums = [0.0; 4];
    let (ones, others) = (one.chunks_exact(4), other.chunks_exact(4));
    let rest: f64 = ones
        .remainder()
        .iter()
        .zip(others.remainder())
        .map(|(a, b)| a * b)
        .sum();
    for (a, b) in ones.zip(others) {
        for lane in 0..4 {
            sums[lane] += a[lane] * b[lane];
        }
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
}

/// Takes a multiple of a vector off another.
pub(crate) fn subtract(target: &mut [f64], amount: f64, vector: &[f64]) {
    for (value, &part) in target.iter_mut().zip(vector) {
        *value -= amount * part;
    }
}

/// The mean; zero of nothing.
pub(crate) fn mean(values: &[f64]) -> f64 {
    if values.is_empty() {
        0.0
    } else {
        values.iter().sum::<f64>() / values.len() as f64
    }
}
