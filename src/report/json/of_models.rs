//! Models as data.
//!
//! In: models with what stands beside them. Out: what stands under `models`.
//! This module never rounds.

use serde_json::{Value, json};

use super::figures::{ends, estimate, inside};
use crate::decide::Moves;
use crate::pipeline::Further;
use crate::regression::{
    AdjustedMeans, At, Component, EffectTest, FittedModel, NotSeparable, OverFactor, ScatterOf,
    Term,
};
use crate::report::diagnostic_words::{name_text, standing_key, verdict_text};
use crate::report::print::untold_terms::{proposal, tangled, written};
use crate::report::reasons::refusal;
use crate::result::{self, Named};

/// One entry a response.
pub fn models<'a>(
    models: impl IntoIterator<Item = &'a FittedModel>,
    further: &[Further],
) -> Vec<result::Model> {
    let pairs = models.into_iter().zip(further);
    pairs.map(|(model, further)| one(model, further)).collect()
}

fn one(model: &FittedModel, further: &Further) -> result::Model {
    let means = model.adjusted_means.iter();
    let pairs = further.comparisons.iter().flat_map(|of| &of.pairs);
    let against_baseline = further
        .comparisons
        .iter()
        .flat_map(|of| &of.against_baseline);
    result::Model {
        response: model.response.clone(),
        unit: model.unit.clone(),
        method: model.method.to_string(),
        scale: model.scale,
        fit: json!({
            "runs": model.runs.len(),
            "residual_df": model.residual_df,
            "residual_sd": model.residual_sd,
            "leave_one_out_sd": model.leave_one_out_sd,
            "r_squared": model.r_squared,
            "adjusted_r_squared": model.adjusted_r_squared,
            "leave_one_out_r_squared": model.leave_one_out_r_squared,
            "ss_model": model.ss_model,
            "ss_residual": model.ss_residual,
            "f": model.f,
            "f_p": model.f_p,
            "lag1": model.lag1,
        }),
        terms: model.terms.iter().map(term).collect(),
        not_separable: model.not_separable.iter().map(not_separable).collect(),
        tests: model.tests.iter().map(test).collect(),
        adjusted_means: Named(means.map(|m| (m.factor.clone(), level_means(m))).collect()),
        comparisons: pairs.cloned().collect(),
        against_baseline: against_baseline.cloned().collect(),
        variance_components: model.variance_components.iter().map(scatter).collect(),
        diagnostics: diagnostics(further),
        alike: alike(further),
        candidates: candidates(further),
        over: Named(further.over.iter().map(over).collect()),
    }
}

fn over(of: &OverFactor) -> (String, Value) {
    let means = of.means.iter().map(|mean| {
        let at = match &mean.at {
            At::Amount(amount) => json!(amount),
            At::Level(level) => json!(level),
        };
        match &mean.mean {
            Ok(mean) => json!({
                "at": at,
                "value": mean.value,
                "u": mean.standard_error,
                "interval": ends(mean.interval),
            }),
            Err(reason) => json!({ "at": at, "missing": refusal(reason) }),
        }
    });
    (of.factor.clone(), means.collect())
}

/// What going from one setting to another does.
pub(super) fn moves(moves: &Moves) -> result::Moves {
    let changes = moves.effects.iter().map(|effect| result::Change {
        factor: effect.factor.clone(),
        unit: effect.unit.clone(),
        comparison: effect.comparison.clone(),
        estimate: estimate(&effect.estimate, refusal),
        p: effect.estimate.as_ref().ok().and_then(|it| it.p),
    });
    result::Moves {
        response: moves.response.clone(),
        unit: moves.unit.clone(),
        changes: changes.collect(),
    }
}

fn term(term: &Term) -> result::Term {
    result::Term {
        term: term.name.to_string(),
        pieces: term.name.clone(),
        value: term.value,
        u: term.standard_error,
        df: term.degrees_of_freedom,
        t: term.t,
        p: term.p,
        interval: ends(term.interval),
    }
}

fn not_separable(group: &NotSeparable) -> result::NotSeparable {
    let runs = group.runs_that_would_separate.iter();
    result::NotSeparable {
        terms: written(&group.terms),
        pieces: group.terms.clone(),
        why: tangled(&group.why),
        runs_that_would_separate: runs.map(proposal).collect(),
    }
}

fn test(test: &EffectTest) -> Value {
    json!({
        "factor": test.name(),
        "factors": test.factors,
        "df": test.df,
        "denominator_df": test.denominator_df,
        "ss": test.ss,
        "f": test.f,
        "p": test.p,
    })
}

/// One part of the scatter: the fixed term for what scatters; a block has its own name.
fn scatter(part: &Component) -> Value {
    let mut entry = match &part.of {
        ScatterOf::RunToRun => json!({ "name": "run to run" }),
        ScatterOf::RunToRunAt { factor, levels } => {
            json!({ "name": "run to run", "factor": factor, "levels": levels })
        }
        ScatterOf::Measurement => json!({ "name": "measurement" }),
        ScatterOf::Block(block) => json!({ "name": block, "block": block }),
    };
    entry["sd"] = json!(part.sd);
    entry["interval"] = json!(part.interval);
    entry
}

fn level_means(means: &AdjustedMeans) -> Vec<result::LevelMean> {
    let levels = means.levels.iter();
    levels
        .map(|level| {
            let mean = level.mean.as_ref();
            result::LevelMean {
                level: level.level.clone(),
                value: mean.map(|mean| mean.value),
                u: mean.and_then(|mean| mean.standard_error),
                interval: ends(mean.and_then(|mean| mean.interval)),
                reason: level.reason.as_ref().map(refusal),
            }
        })
        .collect()
}

fn diagnostics(further: &Further) -> Value {
    let diagnostics = further.diagnostics.iter();
    diagnostics
        .map(|diagnostic| {
            json!({
                "name": name_text(diagnostic.what),
                "value": diagnostic.value,
                "p": diagnostic.p,
                "standing": standing_key(diagnostic.standing()),
                "verdict": verdict_text(diagnostic),
                "runs": diagnostic.runs,
            })
        })
        .collect()
}

fn alike(further: &Further) -> Vec<result::Alike> {
    let alike = further.alike.iter();
    alike
        .map(|alike| result::Alike {
            factor: alike.factor.clone(),
            level: alike.level.clone(),
            against: alike.against.clone(),
            margin: alike.margin,
            p: alike.p,
            inside: inside(alike.verdict),
        })
        .collect()
}

fn candidates(further: &Further) -> Value {
    let ranked = further.selection.iter().flat_map(|found| &found.ranked);
    ranked
        .map(|candidate| {
            let added = candidate.added.iter().map(ToString::to_string);
            json!({
                "added": added.collect::<Value>(),
                "aicc": candidate.aicc,
                "delta": candidate.delta,
                "leave_one_out_sd": candidate.leave_one_out_sd,
                "residual_sd": candidate.residual_sd,
                "residual_df": candidate.residual_df,
            })
        })
        .collect()
}
