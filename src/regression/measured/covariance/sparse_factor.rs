//! The sparse Cholesky factor of the small system about shared errors that meet in a run.
//!
//! In: for each run the sorted positions of its shared errors. Out: [`Pattern`]: Cholesky factor, solutions, and the
//! inverse where the factor has entries.
//! This module never knows what an error is, and never stores an entry that is zero for all numbers.
//!
//! # Source
//! George and Liu, Computer Solution of Large Sparse Positive Definite Systems, 1981, chapter 5 (sparse Cholesky factor);
//! Takahashi, Fagan and Chin, Formation of a sparse bus impedance matrix and its application to short circuit study,
//! Proc. 8th PICA Conference, 1973, 63-69 (entries of the inverse).

/// Where `I + WᵀW` and its Cholesky factor have entries: for each column its rows, the diagonal first.
#[derive(Debug, Clone)]
pub(crate) struct Pattern {
    starts: Vec<usize>,
    /// The row of each entry.
    pub rows: Vec<usize>,
}

impl Pattern {
    /// The pattern for runs whose sorted positions are handed out by `positions`.
    ///
    /// The runs of a column are a clique, so that a column takes the rows of the runs whose first position it is,
    /// and of the columns whose first row below the diagonal it is.
    pub fn of<'a>(size: usize, runs: usize, positions: impl Fn(usize) -> &'a [usize]) -> Self {
        let mut first_of: Vec<Vec<usize>> = vec![Vec::new(); size];
        for run in 0..runs {
            if let Some(&first) = positions(run).first() {
                first_of[first].push(run);
            }
        }
        let mut children: Vec<Vec<usize>> = vec![Vec::new(); size];
        let mut seen = vec![usize::MAX; size];
        let (mut starts, mut rows) = (vec![0], Vec::new());
        for column in 0..size {
            let start = rows.len();
            rows.push(column);
            seen[column] = column;
            let mut take = |rows: &mut Vec<usize>, row: usize| {
                if row > column && seen[row] != column {
                    seen[row] = column;
                    rows.push(row);
                }
            };
            for &run in &first_of[column] {
                positions(run).iter().for_each(|&row| take(&mut rows, row));
            }
            for &child in &children[column] {
                for at in starts[child]..starts[child + 1] {
                    let row = rows[at];
                    take(&mut rows, row);
                }
            }
            rows[start..].sort_unstable();
            if let Some(&parent) = rows.get(start + 1) {
                children[parent].push(column);
            }
            starts.push(rows.len());
        }
        Self { starts, rows }
    }

    /// How many columns there are.
    pub fn size(&self) -> usize {
        self.starts.len() - 1
    }

    /// Where the entry of a row, not above the column, stands; it must be part of the pattern.
    pub fn slot(&self, row: usize, column: usize) -> usize {
        let start = self.starts[column];
        let rows = &self.rows[start..self.starts[column + 1]];
        start + rows.binary_search(&row).unwrap_or(0)
    }

    /// The slots of one column.
    pub fn slots(&self, column: usize) -> std::ops::Range<usize> {
        self.starts[column]..self.starts[column + 1]
    }

    /// Replaces a symmetric matrix by its Cholesky factor; None if it is not positive definite.
    pub fn factor(&self, values: &mut [f64]) -> Option<()> {
        let size = self.size();
        let mut work = vec![0.0; size];
        // For each row the columns whose next entry stands in it.
        let mut waiting: Vec<Vec<usize>> = vec![Vec::new(); size];
        let mut next: Vec<usize> = self.starts[..size].to_vec();
        for column in 0..size {
            for slot in self.slots(column) {
                work[self.rows[slot]] = values[slot];
            }
            for earlier in std::mem::take(&mut waiting[column]) {
                let (at, end) = (next[earlier], self.starts[earlier + 1]);
                let share = values[at];
                for slot in at..end {
                    work[self.rows[slot]] -= share * values[slot];
                }
                self.wait(earlier, at + 1, &mut next, &mut waiting);
            }
            let pivot = work[column];
            if !(pivot > 0.0 && pivot.is_finite()) {
                return None;
            }
            let root = pivot.sqrt();
            for slot in self.slots(column) {
                values[slot] = work[self.rows[slot]] / root;
            }
            values[self.starts[column]] = root;
            self.wait(column, self.starts[column] + 1, &mut next, &mut waiting);
        }
        Some(())
    }

    fn wait(&self, column: usize, at: usize, next: &mut [usize], waiting: &mut [Vec<usize>]) {
        next[column] = at;
        if at < self.starts[column + 1] {
            waiting[self.rows[at]].push(column);
        }
    }

    /// Solves `(s I + C) x = b` in place, `s` 0 or 1.
    pub fn solve_lower(&self, factor: &[f64], s: f64, right: &mut [f64]) {
        for column in 0..self.size() {
            let slots = self.slots(column);
            let found = right[column] / (s + factor[slots.start]);
            right[column] = found;
            if found != 0.0 {
                for slot in slots.start + 1..slots.end {
                    right[self.rows[slot]] -= factor[slot] * found;
                }
            }
        }
    }

    /// Solves `(s I + Cᵀ) x = b` in place, `s` 0 or 1.
    pub fn solve_upper(&self, factor: &[f64], s: f64, right: &mut [f64]) {
        for column in (0..self.size()).rev() {
            let slots = self.slots(column);
            let mut rest = right[column];
            for slot in slots.start + 1..slots.end {
                rest -= factor[slot] * right[self.rows[slot]];
            }
            right[column] = rest / (s + factor[slots.start]);
        }
    }

    /// The entries of `(C Cᵀ)⁻¹` in the slots of the pattern.
    pub fn inverse(&self, factor: &[f64]) -> Vec<f64> {
        let size = self.size();
        let mut inverse = vec![0.0; factor.len()];
        let mut share = vec![0.0; size];
        let mut sums = vec![0.0; size];
        let mut below = vec![false; size];
        for column in (0..size).rev() {
            let slots = self.slots(column);
            let root = factor[slots.start];
            let own = slots.start + 1..slots.end;
            for slot in own.clone() {
                let row = self.rows[slot];
                share[row] = factor[slot];
                sums[row] = 0.0;
                below[row] = true;
            }
            for slot in own.clone() {
                let middle = self.rows[slot];
                let beside = self.slots(middle);
                sums[middle] += share[middle] * inverse[beside.start];
                let others = beside.start + 1..beside.end;
                for (&row, entry) in self.rows[others.clone()].iter().zip(&inverse[others]) {
                    if below[row] {
                        sums[row] += share[middle] * entry;
                        sums[middle] += share[row] * entry;
                    }
                }
            }
            let mut corner = 1.0 / root;
            for slot in own {
                let row = self.rows[slot];
                inverse[slot] = -sums[row] / root;
                corner -= factor[slot] * inverse[slot];
                below[row] = false;
            }
            inverse[slots.start] = corner / root;
        }
        inverse
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a few dozen operations on numbers of size 10.
    const ROUNDING: f64 = 1e-13;

    #[test]
    fn the_factor_its_solutions_and_its_inverse_belong_to_the_matrix() {
        // Four shared errors; the first two never meet, the chain 1-2-3 and the pair 0-3 do.
        let of_runs: [&[usize]; 4] = [&[0, 3], &[1, 2], &[2, 3], &[1, 2]];
        let pattern = Pattern::of(4, 4, |run| of_runs[run]);
        let dense = [
            [3.0, 0.0, 0.0, 1.0],
            [0.0, 4.0, 1.5, 0.0],
            [0.0, 1.5, 5.0, -2.0],
            [1.0, 0.0, -2.0, 6.0],
        ];
        let mut values = vec![0.0; pattern.rows.len()];
        for (column, entries) in dense.iter().enumerate() {
            for slot in pattern.slots(column) {
                values[slot] = entries[pattern.rows[slot]];
            }
        }
        pattern.factor(&mut values).unwrap();
        let inverse = pattern.inverse(&values);
        for column in 0..4 {
            let mut solved = vec![0.0; 4];
            solved[column] = 1.0;
            pattern.solve_lower(&values, 0.0, &mut solved);
            pattern.solve_upper(&values, 0.0, &mut solved);
            for (row, entries) in dense.iter().enumerate() {
                let product: f64 = entries.iter().zip(&solved).map(|(a, b)| a * b).sum();
                let unit = f64::from(u8::from(row == column));
                assert!((product - unit).abs() < ROUNDING);
            }
            for slot in pattern.slots(column) {
                assert!((inverse[slot] - solved[pattern.rows[slot]]).abs() < ROUNDING);
            }
        }
    }
}
