//! Above an answer on a terminal: that it is in doubt, and why.
//!
//! In: an analysis and a claim. Out: two lines, or nothing where the claim is firm or was not made.
//! This module never changes the answer below.

use super::words::{lifted, shaken};
use crate::decide::Claim;
use crate::pipeline::Analysis;
use crate::report::print::{capital, one_line};

/// Why what follows is in doubt, and what would lift that.
pub fn in_doubt(analysis: &Analysis, claim: Claim) -> String {
    let by = analysis.firmness.shaken(claim);
    by.map_or_else(String::new, |by| {
        let [why, lift] = [shaken(by), capital(&lifted(by))].map(|text| one_line(&text));
        format!("in doubt: {why}. {lift}.\nit would be:\n")
    })
}
