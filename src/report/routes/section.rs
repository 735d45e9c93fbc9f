//! The section of question 4: which recovery route is best.
//!
//! In: the routes compared. Out: its section of the report.
//! This module never compares two routes itself.

use super::table;
use super::words::verdict;
use crate::pipeline::Analysis;
use crate::report::doubts_and_gaps::gaps;
use crate::report::print::{Page, around, capital, plain};

/// Writes the comparison of the routes.
pub fn write(page: &mut Page, analysis: &Analysis) {
    let Some(routes) = &analysis.findings.routes else {
        return;
    };
    page.show("routes");
    page.table(&table::given(routes));
    page.paragraph(&capital(&verdict(routes)));
    let spec = analysis.campaign.purity_spec;
    let spec = spec.map(|spec| plain(100.0 * spec)).unwrap_or_default();
    page.paragraph(&around("The specification is a purity of ", &spec, " %."));
    gaps(page, 4, &routes.best.gaps);
}
