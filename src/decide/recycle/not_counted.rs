//! What does a gain leave out?
//!
//! In: the costs, the models and the reference charge. Out: what is not counted, each with its reason.
//! This module never counts anything.

use super::inputs::Models;
use super::reference::Reference;
use crate::decide::costs::{CostKind, Costs, NotCounted};

/// What the costs of runs leave out, and what runs pay for but nothing tells how much more of it a charged run takes.
pub(super) fn not_counted(
    costs: Option<&Costs>,
    models: &Models,
    reference: &Reference,
) -> Vec<NotCounted> {
    let Some(costs) = costs else {
        return Vec::new();
    };
    let paid = |kind: CostKind| costs.runs.iter().any(|run| run.part(kind).is_some());
    let mut found = costs.not_counted.clone();
    let mut judge = |kind: CostKind, told: bool| {
        if paid(kind) && !told {
            found.push(NotCounted::NotTold(kind));
        }
    };
    judge(
        CostKind::Oxidant,
        reference.charged.oxidant_per_content > 0.0,
    );
    judge(CostKind::Reagents, models.reagents.is_some());
    judge(CostKind::Disposal, models.residue_out.is_some());
    found
}
