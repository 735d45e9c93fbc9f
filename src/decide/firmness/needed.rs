//! Which models must be fitted otherwise, for the claims that rest on what is different.
//!
//! In: findings, and one way of fitting otherwise. Out: [`Needed`].
//! This module never fits, and never leaves out a model that a claim looks at.

use super::claims::{Claim, claims, rests};
use super::otherwise::Otherwise;
use crate::campaign::OffSpec;
use crate::decide::evidence::Material;
use crate::decide::findings::Findings;
use crate::decide::models::{AimOf, ModelOf};

/// What claims look at where the models are fitted otherwise.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Needed {
    responses: Vec<ModelOf>,
    cost: bool,
    labour: bool,
    second: bool,
}

impl Needed {
    /// Whether the model of a response is looked at.
    pub fn response(&self, of: &ModelOf) -> bool {
        self.responses.contains(of)
    }

    /// Whether those of cost, of labour and of second products are.
    pub fn beside(&self) -> [bool; 3] {
        [self.cost, self.labour, self.second]
    }

    fn add(&mut self, of: &AimOf) {
        match of {
            AimOf::Response(of) => self.responses.push(of.clone()),
            AimOf::Cost => self.cost = true,
            AimOf::Labour => self.labour = true,
        }
    }
}

/// What claims look at in models that are fitted so.
pub fn needed(material: &Material, findings: &Findings, how: &Otherwise) -> Needed {
    let mut needed = Needed::default();
    let claims = claims(findings).into_iter();
    for claim in claims.filter(|claim| rests(material, findings, *claim, how)) {
        needed
            .responses
            .extend(responses(material, findings, claim));
        match claim {
            Claim::Effect { .. } => {}
            Claim::Residue => (needed.labour, needed.second) = (true, true),
            Claim::Route | Claim::Settings => {
                needed.add(&AimOf::PURITY);
                let routes = findings.routes.iter().map(|routes| &routes.aim.of);
                let settings = findings.settings.iter().flatten();
                let aims = routes.chain(settings.map(|best| &best.aim.of));
                aims.for_each(|of| needed.add(of));
            }
        }
    }
    needed
}

/// The responses whose models a claim rests on.
pub(super) fn responses(material: &Material, findings: &Findings, claim: Claim) -> Vec<ModelOf> {
    let aim = match AimOf::of(material.campaign) {
        AimOf::Response(of) => of,
        AimOf::Cost | AimOf::Labour => ModelOf::Yield,
    };
    let purity = material.campaign.purity_spec.is_some() && material.models.purity().is_some();
    let mut all = match claim {
        Claim::Effect { model, .. } => return vec![findings.moves[model].kind.clone()],
        Claim::Residue => {
            let plan = material.campaign.recycling.as_ref();
            let counts = plan.is_some_and(|plan| plan.off_spec != OffSpec::Sold);
            let purity = (counts && purity).then_some(ModelOf::Purity);
            return [ModelOf::Yield].into_iter().chain(purity).collect();
        }
        Claim::Route | Claim::Settings => vec![aim],
    };
    if purity && !all.contains(&ModelOf::Purity) {
        all.push(ModelOf::Purity);
    }
    all
}
