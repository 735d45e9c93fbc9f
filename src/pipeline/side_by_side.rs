//! What would close models decide, and which levels are alike for practical purposes?
//!
//! In: a model, its candidates, the margin that the user states. Out: [`Decides`] and [`Alike`].
//! This module never chooses a model.

use super::further::Fitted;
use crate::regression::{
    Candidate, EffectTest, EquivalenceVerdict, FactorComparisons, FitData, ModelParams, Settings,
    equivalence, with_terms,
};

/// How many of the best candidate models are fitted again to see what they decide.
const MOST_MODELS: usize = 8;

/// Which effects a candidate model says matter.
#[derive(Debug, Clone)]
pub struct Decides {
    /// Effects whose chance by luck is below the level.
    pub matter: Vec<EffectTest>,
    /// Effects that this log does not show in that model.
    pub do_not_show: Vec<EffectTest>,
}

/// Two levels held against a margin that does not matter in practice.
#[derive(Debug, Clone)]
pub struct Alike {
    /// The choice.
    pub factor: String,
    /// One level.
    pub level: String,
    /// The other.
    pub against: String,
    /// The margin, in the unit of the response.
    pub margin: f64,
    /// Chance that the runs would look so alike if the levels differed by the margin (two one-sided tests).
    pub p: Option<f64>,
    /// What it comes to.
    pub verdict: EquivalenceVerdict,
}

/// Fits the best candidates again, plainly as they were ranked, and keeps what each would decide.
pub(super) fn decides(params: &ModelParams, ranked: &[Candidate], data: &FitData) -> Vec<Decides> {
    let luck = 1.0 - params.confidence;
    ranked
        .iter()
        .take(MOST_MODELS)
        .map(|candidate| {
            let asked = with_terms(params, &candidate.added);
            let model = asked.check(data).and_then(|valid| valid.fit(data));
            let tests = model.map(|model| model.tests).unwrap_or_default();
            let (matter, others): (Vec<_>, Vec<_>) = tests
                .into_iter()
                .partition(|test| test.p.is_some_and(|p| p < luck));
            Decides {
                matter,
                do_not_show: others,
            }
        })
        .collect()
}

/// Every pair of levels against the margin, where one is stated.
pub(super) fn alike(
    fitted: &Fitted,
    comparisons: &[FactorComparisons],
    margin: Option<f64>,
) -> Vec<Alike> {
    let Some(margin) = margin else {
        return Vec::new();
    };
    comparisons
        .iter()
        .flat_map(|factor| &factor.pairs)
        .filter_map(|pair| {
            let at = |level: &str| Settings::default().level(&pair.factor, level);
            let found =
                equivalence(fitted.model, &at(&pair.level), &at(&pair.against), margin).ok()?;
            Some(Alike {
                factor: pair.factor.clone(),
                level: pair.level.clone(),
                against: pair.against.clone(),
                margin,
                p: found.p,
                verdict: found.verdict,
            })
        })
        .collect()
}
