//! One section a question: picture, table, reading, doubts.
//!
//! In: an analysis. Out: the middle part of the report.
//! This module never repeats a section that has nothing to say: it leaves it out.

use super::print::Page;
use super::{costs, drift, effects, firmness, next, recycling, routes, settings, yields};
use crate::pipeline::Analysis;

/// Writes the sections of questions 1 to 9.
pub(super) fn write(page: &mut Page, analysis: &Analysis) {
    yields::section::given(page, analysis);
    yields::section::went(page, analysis);
    effects::section::write(page, analysis);
    routes::section::write(page, analysis);
    recycling::section::write(page, analysis);
    settings::section::write(page, analysis);
    firmness::write(page, analysis);
    next::section::write(page, analysis);
    drift::section::write(page, analysis);
    costs::section::write(page, analysis);
}
