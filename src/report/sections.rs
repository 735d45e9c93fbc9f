//! One section a question: picture, table, reading, doubts.
//!
//! In: an analysis. Out: the middle part of the report.
//! This module never repeats a section that has nothing to say: it leaves it out.

use super::print::{Page, Pictures};
use super::{costs, drift, effects, given, next, recycling, routes, settings};
use crate::pipeline::Analysis;

/// Writes the sections of questions 1 to 9.
pub(super) fn write(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    given::section::given(page, analysis, pictures);
    given::section::went(page, analysis, pictures);
    effects::section::write(page, analysis, pictures);
    routes::section::write(page, analysis, pictures);
    recycling::section::write(page, analysis, pictures);
    settings::section::write(page, analysis, pictures);
    next::section::write(page, analysis);
    drift::section::write(page, analysis, pictures);
    costs::section::write(page, analysis);
}
