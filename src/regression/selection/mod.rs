//! Selection: a ranking of models with further terms.
//!
//! In: a model, terms to be considered, and the runs. Out: [`Selection`]: the models that were tried, the best first.
//! This module never chooses a model; it ranks, and says what ranking costs.
//!
//! # Source
//! Hurvich and Tsai, Biometrika 76 (1989), 297-307 (corrected criterion); Nelder, J. Royal Statistical Society A 140 (1977), 48-77
//! (heredity: no joint effect without its factors, no power without the lower ones).

mod heredity;

#[cfg(test)]
mod tests;

use crate::regression::asked::{Curve, FitData, ModelParams, ResponseScale, TermName};
use crate::regression::measured::Closeness;
use crate::regression::model::FittedModel;
use heredity::additions;

pub use heredity::{Addition, with_terms};

/// Most candidates of which every subset is tried.
pub const MOST_FOR_ALL_SUBSETS: usize = 12;

/// Most runs times subsets that are tried; above it the search goes forward step by step.
const MOST_WORK: usize = 2_000_000;

/// Terms to be considered for a model.
#[derive(Debug, Clone, Default)]
pub struct Candidates {
    /// Effects (one name) and joint effects (several names).
    pub terms: Vec<Vec<String>>,
    /// Powers of amounts; all lower powers come with them.
    pub powers: Vec<Curve>,
}

/// A model with some of the candidates.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// What is added to the model asked for; nothing for that model itself.
    pub added: Vec<Addition>,
    /// Corrected Akaike criterion: lower is better; only differences mean something.
    pub aicc: f64,
    /// The criterion minus that of the best model.
    pub delta: f64,
    /// Root mean square of the error at each run when it is left out, in the unit of the response; None if a run is fitted by itself alone.
    pub leave_one_out_sd: Option<f64>,
    /// Root of the residual mean square, in the unit of the response.
    pub residual_sd: Option<f64>,
    /// Runs minus independent terms.
    pub residual_df: usize,
}

/// A model that was not ranked, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct NotRanked {
    /// What is added.
    pub added: Vec<Addition>,
    /// Why it has no rank.
    pub why: NoRank,
}

/// Why a model has no rank.
#[derive(Debug, Clone, PartialEq)]
pub enum NoRank {
    /// It cannot be asked of these runs, or not be fitted.
    Faulty,
    /// The runs cannot tell these terms, which the model asked for does not have.
    Untold(Vec<TermName>),
    /// Too few runs for so many terms, or a perfect fit: the criterion has no value.
    NoCriterion,
}

/// Which models were tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Search {
    /// Every set of candidates that respects heredity.
    AllSubsets,
    /// Forward, each time the candidate that lowers the criterion most, until none does.
    Forward,
}

/// The models tried, the best first.
#[derive(Debug, Clone, PartialEq)]
pub struct Selection {
    /// The models with a criterion, the lowest first.
    pub ranked: Vec<Candidate>,
    /// The models without one.
    pub not_ranked: Vec<NotRanked>,
    /// Which models were tried.
    pub search: Search,
}

/// Ranks models with further terms by the corrected Akaike criterion.
///
/// `AICc = n ln(2π SS/n) + n + 2K + 2K(K + 1)/(n − K − 1)`, `n` runs, `SS` the sum of squared residuals of the plain fit, and
/// `K` the number of independent terms, the constant included, plus one for the scatter. None when `n ≤ K + 1`.
/// # Assumes
/// Independent normal errors on the scale of the fit, where `SS` is taken; the criterion is that of ordinary least squares, whatever way the model itself is fitted.
/// # Caveats
/// The same runs choose the terms and judge them, so that the intervals and chances of a chosen model look better than they
/// are; whoever shows a ranking says so.
/// # Source
/// Hurvich and Tsai, Biometrika 76 (1989), 297-307.
pub fn candidates(params: &ModelParams, candidates: &Candidates, data: &FitData) -> Selection {
    let additions = additions(params, candidates);
    let mut tried = Tried {
        params,
        additions: &additions,
        data,
        untold: untold_without(params, data),
        ranked: Vec::new(),
        not_ranked: Vec::new(),
    };
    let count = additions.len();
    let subsets = 1 << count.min(MOST_FOR_ALL_SUBSETS);
    let work = data.runs.len().saturating_mul(subsets);
    let few = count <= MOST_FOR_ALL_SUBSETS && work <= MOST_WORK;
    let search = if few {
        for set in 0_usize..1 << count {
            let chosen: Vec<usize> = (0..count).filter(|bit| set >> bit & 1 == 1).collect();
            if heredity::respected(params, &additions, &chosen) {
                tried.fit(&chosen);
            }
        }
        Search::AllSubsets
    } else {
        tried.forward();
        Search::Forward
    };
    let mut ranked = tried.ranked;
    // The sort is stable: of equal models that with fewer terms, tried first, comes first.
    ranked.sort_by(|a, b| a.aicc.total_cmp(&b.aicc));
    let best = ranked.first().map_or(0.0, |candidate| candidate.aicc);
    for candidate in &mut ranked {
        candidate.delta = candidate.aicc - best;
    }
    Selection {
        ranked,
        not_ranked: tried.not_ranked,
        search,
    }
}

/// The models tried so far.
struct Tried<'a> {
    params: &'a ModelParams,
    additions: &'a [Addition],
    data: &'a FitData,
    /// Terms that the model asked for cannot tell; no candidate is blamed for them.
    untold: Vec<TermName>,
    ranked: Vec<Candidate>,
    not_ranked: Vec<NotRanked>,
}

impl Tried<'_> {
    /// Fits one model and keeps it; gives its criterion.
    fn fit(&mut self, chosen: &[usize]) -> Option<f64> {
        let added = chosen.iter().map(|&position| &self.additions[position]);
        let added: Vec<Addition> = added.cloned().collect();
        match self.judge(&added) {
            Ok(candidate) => {
                let aicc = candidate.aicc;
                self.ranked.push(candidate);
                Some(aicc)
            }
            Err(why) => {
                self.not_ranked.push(NotRanked { added, why });
                None
            }
        }
    }

    /// The model with some candidates, or the reason why it has no criterion.
    fn judge(&self, added: &[Addition]) -> Result<Candidate, NoRank> {
        let valid = with_terms(self.params, added).check(self.data);
        let model = valid
            .and_then(|valid| valid.fit_to(self.data, Closeness::FOR_TESTS, None))
            .map_err(|_| NoRank::Faulty)?;
        let mut new = untold(&model);
        new.retain(|term| !self.untold.contains(term));
        new.sort();
        new.dedup();
        if !new.is_empty() {
            return Err(NoRank::Untold(new));
        }
        let aicc = corrected_aic(&model).ok_or(NoRank::NoCriterion)?;
        Ok(Candidate {
            added: added.to_vec(),
            aicc,
            delta: 0.0,
            leave_one_out_sd: model.leave_one_out_sd,
            residual_sd: model.residual_sd,
            residual_df: model.residual_df,
        })
    }

    /// Adds the best candidate as long as the criterion falls.
    fn forward(&mut self) {
        let mut chosen: Vec<usize> = Vec::new();
        let mut lowest = self.fit(&chosen).unwrap_or(f64::INFINITY);
        loop {
            let mut best: Option<(usize, f64)> = None;
            for next in 0..self.additions.len() {
                let mut longer = chosen.clone();
                longer.push(next);
                longer.sort_unstable();
                let allowed = !chosen.contains(&next)
                    && heredity::respected(self.params, self.additions, &longer);
                let aicc = if allowed { self.fit(&longer) } else { None };
                if let Some(aicc) = aicc
                    && best.is_none_or(|(_, lowest)| aicc < lowest)
                {
                    best = Some((next, aicc));
                }
            }
            match best {
                Some((next, aicc)) if aicc < lowest => {
                    lowest = aicc;
                    chosen.push(next);
                    chosen.sort_unstable();
                }
                _ => return,
            }
        }
    }
}

/// The terms that a model cannot tell.
fn untold(model: &FittedModel) -> Vec<TermName> {
    let groups = model.not_separable.iter();
    groups.flat_map(|group| group.terms.clone()).collect()
}

/// What the model asked for cannot tell without any candidate; nothing if it cannot be fitted.
fn untold_without(params: &ModelParams, data: &FitData) -> Vec<TermName> {
    let valid = params.clone().check(data);
    let fitted = valid.and_then(|valid| valid.fit_to(data, Closeness::FOR_TESTS, None));
    fitted.map(|model| untold(&model)).unwrap_or_default()
}

/// The corrected Akaike criterion of a fit; None for a perfect fit and for too few runs.
fn corrected_aic(model: &FittedModel) -> Option<f64> {
    let runs = model.residuals.len() as f64;
    let parameters = model.rank as f64 + 1.0;
    let left = runs - parameters - 1.0;
    let squares: f64 = match model.scale {
        ResponseScale::Plain => model.residuals.iter().map(|e| e * e).sum(),
        ResponseScale::Logit => model.ss_residual,
    };
    if left <= 0.0 || squares <= 0.0 || model.machinery.perfect {
        return None;
    }
    let fit = runs * (2.0 * std::f64::consts::PI * squares / runs).ln() + runs;
    Some(fit + 2.0 * parameters + 2.0 * parameters * (parameters + 1.0) / left)
}
