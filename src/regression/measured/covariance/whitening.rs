//! Whitened vectors: the errors of the runs made independent and equally large.
//!
//! In: a [`Shape`], the known errors, and variances. Out: [`Factored`]: whitened vectors, `V⁻¹` times a vector, parts of `V⁻¹`.
//! This module never forms `V` or its inverse, and never subtracts what is nearly equal where it can avoid that.
//!
//! With `W = D^(−1/2) L`, `V = D^(1/2) (I + W Wᵀ) D^(1/2)`, and `C Cᵀ = I + WᵀW`,
//! `T = I − W (I + Cᵀ)⁻¹ C⁻¹ Wᵀ` has `TᵀT = (I + W Wᵀ)⁻¹`, so that `T D^(−1/2)` whitens:
//! multiplying out, `I − TᵀT = W C⁻ᵀ C⁻¹ Wᵀ`, which is what Woodbury's identity takes off.

use super::who_shares_errors::{At, Shape};

/// The covariance of the runs, ready to whiten with.
pub(crate) struct Factored<'a> {
    shape: &'a Shape,
    /// `D^(−1/2)`.
    weights: Vec<f64>,
    /// `W`, by entry.
    shares: Vec<f64>,
    /// `WᵀW`, by slot.
    products: Vec<f64>,
    /// `C`, by slot.
    factor: Vec<f64>,
}

impl<'a> Factored<'a> {
    /// Prepares `V` for the variance from run to run of each group of runs and then that of each block; all above zero.
    ///
    /// None if `V` is not a positive definite matrix of finite numbers.
    pub fn new(shape: &'a Shape, at: &At, variances: &[f64]) -> Option<Self> {
        let (of_runs, of_blocks) = variances.split_at(shape.group_count);
        let weight = |(own, &group): (&f64, &usize)| 1.0 / (of_runs[group] + own).sqrt();
        let weights: Vec<f64> = at.own.iter().zip(&shape.groups).map(weight).collect();
        if weights.iter().any(|weight| !weight.is_finite()) {
            return None;
        }
        let roots: Vec<f64> = of_blocks.iter().map(|variance| variance.sqrt()).collect();
        let mut shares = at.entries.clone();
        for (run, &weight) in weights.iter().enumerate() {
            for entry in shape.entries(run) {
                let root = shape.entry_block(entry).map_or(1.0, |block| roots[block]);
                shares[entry] *= weight * root;
            }
        }
        let pattern = &shape.pattern;
        let mut products = vec![0.0; pattern.rows.len()];
        shape.each_product(|_, entries, slots| {
            let own = &shares[entries];
            let mut slots = slots.iter();
            for (position, later) in own.iter().enumerate() {
                for (first, &slot) in own[..=position].iter().zip(slots.by_ref()) {
                    products[slot] += later * first;
                }
            }
        });
        let mut factor = products.clone();
        for column in 0..pattern.size() {
            factor[pattern.slots(column).start] += 1.0;
        }
        pattern.factor(&mut factor)?;
        Some(Self {
            shape,
            weights,
            shares,
            products,
            factor,
        })
    }

    /// Replaces a vector `x` by `T D^(−1/2) x`.
    pub fn whiten(&self, vector: &mut [f64]) {
        self.weigh(vector);
        self.turn(0.0, 1.0, vector);
    }

    /// Replaces a whitened vector `x` by `D^(−1/2) Tᵀ x`; after [`Self::whiten`] that is `V⁻¹` times what came in.
    pub fn whiten_transposed(&self, vector: &mut [f64]) {
        self.turn(1.0, 0.0, vector);
        self.weigh(vector);
    }

    /// `D^(−1/2) x`, in place.
    fn weigh(&self, vector: &mut [f64]) {
        for (value, weight) in vector.iter_mut().zip(&self.weights) {
            *value *= weight;
        }
    }

    /// `x − W (u I + Cᵀ)⁻¹ (l I + C)⁻¹ Wᵀ x`, in place: `T x` for `l` 0 and `u` 1, `Tᵀ x` for `l` 1 and `u` 0.
    fn turn(&self, l: f64, u: f64, vector: &mut [f64]) {
        let mut sums = self.gathered(vector);
        self.solve(l, u, &mut sums);
        self.take_off(&sums, vector);
    }

    /// Replaces a vector `x` by `V⁻¹ x`.
    pub fn divide(&self, vector: &mut [f64]) {
        self.whiten(vector);
        self.whiten_transposed(vector);
    }

    /// `Wᵀ x`.
    fn gathered(&self, vector: &[f64]) -> Vec<f64> {
        let mut sums = vec![0.0; self.shape.pattern.size()];
        let columns = &self.shape.columns;
        for (run, &value) in vector.iter().enumerate() {
            for entry in self.shape.entries(run) {
                sums[columns[entry]] += self.shares[entry] * value;
            }
        }
        sums
    }

    /// Takes `W s` off a vector.
    fn take_off(&self, sums: &[f64], vector: &mut [f64]) {
        let columns = &self.shape.columns;
        for (run, value) in vector.iter_mut().enumerate() {
            for entry in self.shape.entries(run) {
                *value -= self.shares[entry] * sums[columns[entry]];
            }
        }
    }

    /// The diagonal of `V⁻¹` by run, and for each block the trace of `Z_bᵀ V⁻¹ Z_b`.
    ///
    /// They need no more of `(C Cᵀ)⁻¹` than its entries in the pattern.
    ///
    /// For a level with column `l` of `W`, scaled by the root of the variance `v` of its block,
    /// `zᵀ V⁻¹ z = [M⁻¹ (M − I)]_ll / v` with `M = C Cᵀ`: no difference of nearly equal numbers however small `v` is.
    pub fn inverse_parts(&self, variances: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let pattern = &self.shape.pattern;
        let inverse = pattern.inverse(&self.factor);
        let mut diagonal = Vec::with_capacity(self.weights.len());
        self.shape.each_product(|run, entries, slots| {
            let own = &self.shares[entries];
            let mut taken = 0.0;
            let mut slots = slots.iter();
            for (position, later) in own.iter().enumerate() {
                for (before, &slot) in slots.by_ref().take(position + 1).enumerate() {
                    let twice = if before == position { 1.0 } else { 2.0 };
                    taken += twice * later * own[before] * inverse[slot];
                }
            }
            let weight = self.weights[run];
            diagonal.push((1.0 - taken) * weight * weight);
        });
        let mut blocks = vec![0.0; self.shape.blocks()];
        for column in 0..pattern.size() {
            for slot in pattern.slots(column) {
                let row = pattern.rows[slot];
                let part = inverse[slot] * self.products[slot];
                if let Some(block) = self.shape.block_of[row] {
                    blocks[block] += part;
                }
                if let Some(block) = self.shape.block_of[column].filter(|_| row != column) {
                    blocks[block] += part;
                }
            }
        }
        for (trace, variance) in blocks.iter_mut().zip(&variances[self.shape.group_count..]) {
            *trace /= variance;
        }
        (diagonal, blocks)
    }

    /// `tr(V⁻¹ V⁻¹)`, at the price of a solution for each column.
    ///
    /// With `F = Wᵀ D⁻¹ W`: `Σ 1/Dᵢ² − 2 tr(M⁻¹ Wᵀ D⁻² W) + tr((M⁻¹ F)²)`.
    pub fn trace_of_square(&self) -> f64 {
        let size = self.shape.pattern.size();
        let mut total: f64 = self.weights.iter().map(|weight| weight.powi(4)).sum();
        // M⁻¹F by column; its square's trace needs both triangles.
        let mut solved: Vec<Vec<f64>> = Vec::with_capacity(size);
        let mut of_columns: Vec<Vec<(usize, f64)>> = vec![Vec::new(); size];
        for run in 0..self.weights.len() {
            for entry in self.shape.entries(run) {
                of_columns[self.shape.columns[entry]].push((run, self.shares[entry]));
            }
        }
        for of_column in &of_columns {
            let mut sums = vec![0.0; size];
            let mut cubes = vec![0.0; size];
            for &(run, share) in of_column {
                let square = self.weights[run] * self.weights[run];
                for entry in self.shape.entries(run) {
                    let product = share * self.shares[entry];
                    sums[self.shape.columns[entry]] += product * square;
                    cubes[self.shape.columns[entry]] += product * square * square;
                }
            }
            self.solve(0.0, 0.0, &mut sums);
            self.solve(0.0, 0.0, &mut cubes);
            total -= 2.0 * cubes[solved.len()];
            solved.push(sums);
        }
        for (one, column) in solved.iter().enumerate() {
            for (other, entry) in column.iter().enumerate() {
                total += entry * solved[other][one];
            }
        }
        total
    }

    /// `(u I + Cᵀ)⁻¹ (l I + C)⁻¹` times a vector, in place.
    fn solve(&self, l: f64, u: f64, right: &mut [f64]) {
        self.shape.pattern.solve_lower(&self.factor, l, right);
        self.shape.pattern.solve_upper(&self.factor, u, right);
    }
}
