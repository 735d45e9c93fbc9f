//! Kinds of control charts, and their settings.
//!
//! In: `[drift]` of the campaign file. Out: [`ChartPlan`].
//! This module never looks at a value.

use crate::campaign::{CusumPlan, Drift, RunRule};

/// The kinds of chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChartKind {
    /// Single values: sees a large departure of one run.
    Individuals,
    /// Weighted mean of the newest runs: sees smaller ones that last.
    Ewma,
    /// Cumulative sums: sees small ones that last, and when they began.
    Cusum,
}

impl ChartKind {
    /// Its name in results.
    pub fn name(self) -> &'static str {
        match self {
            ChartKind::Individuals => "individuals",
            ChartKind::Ewma => "ewma",
            ChartKind::Cusum => "cusum",
        }
    }
}

/// Settings of all charts.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartPlan {
    /// Distance of the limits of single values and weighted means [standard deviations].
    pub limits: f64,
    /// Weight of the newest run in the weighted mean.
    pub lambda: f64,
    /// How the cumulative sums are kept.
    pub cusum: CusumPlan,
    /// Patterns that are looked for among single values.
    pub rules: Vec<RunRule>,
}

impl From<&Drift> for ChartPlan {
    fn from(drift: &Drift) -> Self {
        Self {
            limits: drift.limits,
            lambda: drift.lambda,
            cusum: drift.cusum,
            rules: drift.rules.clone(),
        }
    }
}

#[cfg(test)]
impl ChartPlan {
    /// What a campaign that asks for nothing gets.
    pub(super) fn usual() -> Self {
        Self {
            limits: 3.0,
            lambda: 0.3,
            cusum: CusumPlan {
                reference: 0.5,
                decision: 5.0,
            },
            rules: Vec::new(),
        }
    }
}
