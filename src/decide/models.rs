//! The models that decisions are made from, each known by what it is of.
//!
//! In: fitted models. Out: [`ModelSet`], which gives the model of a [`ModelOf`] or of an [`AimOf`].
//! This module never tells a model by a name that a user may have given.

use crate::campaign::{Campaign, Goal};
use crate::regression::FittedModel;
use crate::runs::{RunResult, Runs};

/// Name of the contained yield among the responses; `[responses]` refuses it, so that it means nothing else.
pub const YIELD: &str = "yield";
/// Name of the purity among the responses; `[responses]` refuses it too.
pub const PURITY: &str = "purity";
/// What `[aim]` calls the cost of contained product, unless the campaign declares a response of that name.
const COST: &str = "cost";
/// What `[aim]` calls the labour of a run, unless the campaign declares a response of that name.
const LABOUR: &str = "labour";

/// Which response a model is of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ModelOf {
    /// The contained yield.
    Yield,
    /// The purity.
    Purity,
    /// The response that the campaign declares under this name.
    Declared(String),
}

impl ModelOf {
    /// The response of that name.
    pub fn named(response: &str) -> Self {
        match response {
            YIELD => ModelOf::Yield,
            PURITY => ModelOf::Purity,
            declared => ModelOf::Declared(declared.to_string()),
        }
    }

    /// How the campaign calls it.
    pub fn name(&self) -> &str {
        match self {
            ModelOf::Yield => YIELD,
            ModelOf::Purity => PURITY,
            ModelOf::Declared(name) => name,
        }
    }
}

/// What "best" can be measured by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AimOf {
    /// A response.
    Response(ModelOf),
    /// The cost of contained product, as prices and masses give it.
    Cost,
    /// The labour of a run, as the runs log has it.
    Labour,
}

impl AimOf {
    /// The contained yield.
    pub const YIELD: AimOf = AimOf::Response(ModelOf::Yield);
    /// The purity.
    pub const PURITY: AimOf = AimOf::Response(ModelOf::Purity);

    /// What the campaign aims at: its own response of that name, else what residuum means by it.
    pub fn of(campaign: &Campaign) -> Self {
        let (Goal::Maximise(name) | Goal::Minimise(name)) = &campaign.aim.goal;
        let is_declared = campaign.responses.iter().any(|plan| plan.name == *name);
        match name.as_str() {
            COST if !is_declared => AimOf::Cost,
            LABOUR if !is_declared => AimOf::Labour,
            response => AimOf::Response(ModelOf::named(response)),
        }
    }

    /// How the campaign calls it.
    pub fn name(&self) -> &str {
        match self {
            AimOf::Response(of) => of.name(),
            AimOf::Cost => COST,
            AimOf::Labour => LABOUR,
        }
    }
}

/// The model of a response.
#[derive(Debug, Clone)]
pub struct ResponseModel {
    /// Which response.
    pub kind: ModelOf,
    /// Its model.
    pub model: FittedModel,
}

impl ResponseModel {
    /// A model of a response, which its name tells.
    pub fn new(model: FittedModel) -> Self {
        Self {
            kind: ModelOf::named(&model.response),
            model,
        }
    }

    /// Whether it is of what is asked about.
    pub fn is_of(&self, what: &AimOf) -> bool {
        matches!(what, AimOf::Response(of) if *of == self.kind)
    }
}

/// The models that only decisions need.
#[derive(Debug, Clone, Default)]
pub struct SideModels {
    /// Of the cost of contained product [currency/g].
    pub cost: Option<FittedModel>,
    /// Of the labour of a run as the runs log has it \[min\].
    pub labour: Option<FittedModel>,
    /// Of the cost of further reagents [currency/g fresh feed].
    pub reagents: Option<FittedModel>,
    /// Of the residue that a run leaves [g/g fresh feed].
    pub residue_out: Option<FittedModel>,
    /// Of what second products bring [currency/g fresh feed].
    pub second: Option<FittedModel>,
    /// Of contained yield with the joint effect of residue and route, where the model of the report has them apart.
    pub yield_by_route: Option<FittedModel>,
    /// Of responses that `[model]` does not name.
    pub declared: Vec<ResponseModel>,
}

/// All models of a campaign.
#[derive(Debug, Clone, Default)]
pub struct ModelSet {
    /// One model a response that `[model]` names, in its order.
    pub responses: Vec<ResponseModel>,
    /// What decisions need besides.
    pub side: SideModels,
}

impl ModelSet {
    /// The models of responses and those that stand beside them.
    pub fn new(responses: Vec<FittedModel>, side: SideModels) -> Self {
        Self {
            responses: responses.into_iter().map(ResponseModel::new).collect(),
            side,
        }
    }

    /// The models of the responses that `[model]` names.
    pub fn models(&self) -> impl Iterator<Item = &FittedModel> {
        self.responses.iter().map(|response| &response.model)
    }

    /// All models of responses, those first that `[model]` names.
    pub fn of_responses(&self) -> impl Iterator<Item = &ResponseModel> {
        self.responses.iter().chain(&self.side.declared)
    }

    /// The model of a response.
    pub fn response(&self, of: &ModelOf) -> Option<&FittedModel> {
        let found = self.of_responses().find(|response| response.kind == *of);
        found.map(|response| &response.model)
    }

    /// The model of contained yield.
    pub fn yields(&self) -> Option<&FittedModel> {
        self.response(&ModelOf::Yield)
    }

    /// The model of purity.
    pub fn purity(&self) -> Option<&FittedModel> {
        self.response(&ModelOf::Purity)
    }

    /// The model of what is aimed at.
    pub fn model(&self, what: &AimOf) -> Option<&FittedModel> {
        match what {
            AimOf::Response(of) => self.response(of),
            AimOf::Cost => self.side.cost.as_ref(),
            AimOf::Labour => self.side.labour.as_ref(),
        }
    }
}

/// The runs that a model was fitted to, with their positions among all results, in run order.
pub(super) fn runs_of<'a>(model: &FittedModel, runs: &'a Runs) -> Vec<(usize, &'a RunResult)> {
    // The runs of a model stand in the order of the results.
    let mut all = runs.results.iter().enumerate();
    let found = model
        .runs
        .iter()
        .filter_map(|name| all.find(|(_, run)| run.run == *name));
    found.collect()
}
