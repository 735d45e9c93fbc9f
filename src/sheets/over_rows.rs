//! Names of rows that add up or average others.
//!
//! In: the text of a cell. Out: whether it is such a name.
//! This module never looks at the other cells of the row.
//!
//! # Source
//! The words are those that people write at the foot of a table: common practice, no source.

/// Rows that add up or average others, in lower case.
const OVER_ROWS: [&str; 26] = [
    "mean",
    "means",
    "average",
    "averages",
    "avg",
    "median",
    "total",
    "totals",
    "grand total",
    "subtotal",
    "sub-total",
    "sum",
    "sums",
    "sd",
    "stdev",
    "std",
    "std dev",
    "std. dev",
    "standard deviation",
    "rsd",
    "min",
    "max",
    "minimum",
    "maximum",
    "count",
    "range",
];

/// Whether a name is that of a row over other rows: `Mean`, `Total:`.
pub fn is_over_rows(name: &str) -> bool {
    // Hardly a run is called without a figure, and hardly a sum with one.
    if name.bytes().any(|byte| byte.is_ascii_digit()) {
        return false;
    }
    let bare = name.trim_end_matches([':', '.', '=']).trim().to_lowercase();
    OVER_ROWS.contains(&bare.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_over_rows_are_told_from_runs() {
        for name in ["Mean", "TOTAL:", "Average", "std. dev.", "Sum ="] {
            assert!(is_over_rows(name), "{name}");
        }
        for name in ["R1", "Mean-1", "summer", "total reflux"] {
            assert!(!is_over_rows(name), "{name}");
        }
    }
}
