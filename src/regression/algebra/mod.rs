//! Small matrices, triangles, eigenvectors, and the distribution of a range.
//!
//! In: numbers. Out: decompositions, solutions of small systems, tail probabilities.
//! This module never knows what a number stands for.

pub(crate) mod cholesky;
mod eigen;
mod matrix;
mod qr;
pub(crate) mod studentised_range;
mod vectors;

pub(crate) use eigen::{Direction, directions};
pub(crate) use matrix::{Matrix, solve_transposed, solve_transposed_doubled, solve_upper};
pub(crate) use qr::{pivoted, triangle};
pub(crate) use vectors::{add, dot, dot_doubled, length, subtract, unit};
