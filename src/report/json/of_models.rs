//! Models as data.
//!
//! In: models with what stands beside them. Out: what stands under `models`.
//! This module never rounds.

use super::ends;
use crate::pipeline::Further;
use crate::regression::{
    AdjustedMeans, Comparison, EquivalenceVerdict, FactorComparisons, FittedModel, NotSeparable,
    ResponseScale, ScatterOf, Term, TermName, TermPiece,
};
use crate::report::diagnostic_words::{name_text, standing_key, verdict_text};
use crate::report::print::term_words::{proposal, tangled, written};
use crate::report::reasons::refusal;
use crate::result::{self, Piece, Scale};

/// One entry a response.
pub fn models<'a>(
    models: impl IntoIterator<Item = &'a FittedModel>,
    further: &[Further],
) -> Vec<result::Model> {
    let pairs = models.into_iter().zip(further);
    pairs.map(|(model, further)| one(model, further)).collect()
}

fn one(model: &FittedModel, further: &Further) -> result::Model {
    let tests = model.tests.iter().map(|test| result::Test {
        factor: test.name(),
        factors: test.factors.clone(),
        df: test.df,
        denominator_df: test.denominator_df,
        ss: test.ss,
        f: test.f,
        p: test.p,
    });
    let means = model.adjusted_means.iter();
    let scatter = model
        .variance_components
        .iter()
        .map(|part| result::Scatter {
            name: scatter_of(&part.of).to_string(),
            block: match &part.of {
                ScatterOf::Block(block) => Some(block.clone()),
                _ => None,
            },
            sd: part.sd,
            interval: ends(part.interval),
        });
    result::Model {
        response: model.response.clone(),
        unit: model.unit.clone(),
        method: model.method.to_string(),
        scale: match model.scale {
            ResponseScale::Plain => Scale::Plain,
            ResponseScale::Logit => Scale::Logit,
        },
        runs: model.runs.len(),
        residual_df: model.residual_df,
        residual_sd: model.residual_sd,
        leave_one_out_sd: model.leave_one_out_sd,
        r_squared: model.r_squared,
        adjusted_r_squared: model.adjusted_r_squared,
        leave_one_out_r_squared: model.leave_one_out_r_squared,
        ss_model: model.ss_model,
        ss_residual: model.ss_residual,
        f: model.f,
        f_p: model.f_p,
        lag1: model.lag1,
        terms: model.terms.iter().map(term).collect(),
        not_separable: model.not_separable.iter().map(not_separable).collect(),
        tests: tests.collect(),
        adjusted_means: means.map(|m| (m.factor.clone(), level_means(m))).collect(),
        comparisons: comparisons(further, |factor| &factor.pairs),
        against_baseline: comparisons(further, |factor| &factor.against_baseline),
        variance_components: scatter.collect(),
        diagnostics: diagnostics(further),
        alike: alike(further),
        candidates: candidates(further),
    }
}

fn term(term: &Term) -> result::Term {
    result::Term {
        term: term.name.to_string(),
        pieces: pieces(&term.name),
        value: term.value,
        u: term.standard_error,
        df: term.degrees_of_freedom,
        t: term.t,
        p: term.p,
        interval: ends(term.interval),
    }
}

/// What a term is a product of: factors with their power or their level.
fn pieces(name: &TermName) -> Vec<Piece> {
    name.pieces
        .iter()
        .map(|piece| match piece.clone() {
            TermPiece::Power { factor, power } => Piece::Power { factor, power },
            TermPiece::Level { factor, level } => Piece::Level { factor, level },
        })
        .collect()
}

fn not_separable(group: &NotSeparable) -> result::NotSeparable {
    result::NotSeparable {
        terms: written(&group.terms),
        pieces: group.terms.iter().map(pieces).collect(),
        why: tangled(&group.why),
        runs_that_would_separate: group
            .runs_that_would_separate
            .iter()
            .map(proposal)
            .collect(),
    }
}

/// The fixed term for what scatters; a block has its own name.
fn scatter_of(of: &ScatterOf) -> &str {
    match of {
        ScatterOf::RunToRun => "run to run",
        ScatterOf::Measurement => "measurement",
        ScatterOf::Block(block) => block,
    }
}

fn level_means(means: &AdjustedMeans) -> Vec<result::LevelMean> {
    means
        .levels
        .iter()
        .map(|level| result::LevelMean {
            level: level.level.clone(),
            value: level.mean.as_ref().map(|mean| mean.value),
            u: level.mean.as_ref().and_then(|mean| mean.standard_error),
            interval: ends(level.mean.as_ref().and_then(|mean| mean.interval)),
            reason: level.reason.as_ref().map(refusal),
        })
        .collect()
}

/// Differences between levels, over all choices.
fn comparisons(
    further: &Further,
    of: fn(&FactorComparisons) -> &Vec<Comparison>,
) -> Vec<result::Comparison> {
    let all = further.comparisons.iter().flat_map(of);
    all.map(|comparison| result::Comparison {
        factor: comparison.factor.clone(),
        level: comparison.level.clone(),
        against: comparison.against.clone(),
        value: comparison.value,
        u: comparison.standard_error,
        interval: ends(comparison.interval),
        p: comparison.p,
        df: comparison.degrees_of_freedom,
        critical_value: comparison.critical_value,
        numerical_error: comparison.numerical_error,
    })
    .collect()
}

fn diagnostics(further: &Further) -> Vec<result::Diagnostic> {
    further
        .diagnostics
        .iter()
        .map(|diagnostic| result::Diagnostic {
            name: name_text(diagnostic.what),
            value: diagnostic.value,
            p: diagnostic.p,
            standing: standing_key(diagnostic.standing()),
            verdict: verdict_text(diagnostic),
            runs: diagnostic.runs.clone(),
        })
        .collect()
}

fn alike(further: &Further) -> Vec<result::Alike> {
    further
        .alike
        .iter()
        .map(|alike| result::Alike {
            factor: alike.factor.clone(),
            level: alike.level.clone(),
            against: alike.against.clone(),
            margin: alike.margin,
            p: alike.p,
            inside: match alike.verdict {
                EquivalenceVerdict::Inside => Some(true),
                EquivalenceVerdict::Outside => Some(false),
                EquivalenceVerdict::NotSettled => None,
            },
        })
        .collect()
}

fn candidates(further: &Further) -> Vec<result::Candidate> {
    let ranked = further.selection.iter().flat_map(|found| &found.ranked);
    ranked
        .map(|candidate| result::Candidate {
            added: candidate.added.iter().map(ToString::to_string).collect(),
            aicc: candidate.aicc,
            delta: candidate.delta,
            leave_one_out_sd: candidate.leave_one_out_sd,
            residual_sd: candidate.residual_sd,
            residual_df: candidate.residual_df,
        })
        .collect()
}
