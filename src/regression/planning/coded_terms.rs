//! The coded terms of further runs.
//!
//! In: a fitted model, or a model asked for and no run at all, and the settings that may be proposed. Out: [`Layout`]:
//! the coded terms with levels that were never run among them.
//! This module never looks at a response.

use std::collections::BTreeSet;

use super::NoPlan;
use super::space::{PlanFactor, PlanValues, Space};
use crate::regression::asked::{
    Constant, Curve, Design, Factor, FactorValues, FitData, Measurement, Method, ModelParams,
    Piece, ResponseScale,
};
use crate::regression::design::Coding;
use crate::regression::model::Mix;
use crate::regression::{FittedModel, Setting, Settings};

/// The terms of a model on the scale on which further runs are planned.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    pub design: Design,
    pub coding: Coding,
    /// The factors of the runs made, with the levels that may be proposed added behind.
    pub data: FitData,
    reference: Mix,
    /// For each factor of the model where a point of the space sets it.
    set_by: Vec<SetBy>,
}

/// Which values a factor of the model takes at the points of a space.
#[derive(Debug, Clone)]
enum SetBy {
    /// The space does not know it: it takes no part in any term.
    Nothing,
    /// The coded value for each position of this factor of the space.
    Amounts { at: usize, coded: Vec<f64> },
    /// The level for each position of this factor of the space.
    Levels { at: usize, codes: Vec<usize> },
}

impl Layout {
    /// The terms of a fitted model.
    pub fn of_model(model: &FittedModel, space: &Space) -> Result<Self, NoPlan> {
        let machinery = &model.machinery;
        let params = params_of(&machinery.design, &machinery.data, model);
        let mut data = FitData::clone(&machinery.data);
        add_levels(&mut data.factors, space);
        let mut reference = machinery.reference();
        for (weights, factor) in reference.weights.iter_mut().zip(&data.factors) {
            weights.resize(factor.levels().len(), 0.0);
        }
        Self::new(&params, data, reference, space)
    }

    /// The terms of a model whose first run is still to be made.
    pub fn of_nothing(params: &ModelParams, space: &Space) -> Result<Self, NoPlan> {
        let joint = params.joint.iter().flatten();
        let mut named = params.effects.iter().chain(joint).chain(&params.blocks);
        if let Some(name) = named.find(|name| space.position(name).is_none()) {
            return Err(NoPlan::NoValues(name.clone()));
        }
        let factor = |factor: &PlanFactor| Factor {
            name: factor.name.clone(),
            unit: String::new(),
            values: match &factor.values {
                PlanValues::Amounts(_) => FactorValues::Amount(Vec::new()),
                PlanValues::Levels(levels) => FactorValues::Choice {
                    levels: levels.clone(),
                    codes: Vec::new(),
                },
            },
        };
        let data = FitData {
            runs: Vec::new(),
            response: Vec::new(),
            factors: space.factors.iter().map(factor).collect(),
            measurement: Measurement::default(),
            never: Vec::new(),
        };
        let middle = |factor: &PlanFactor| match &factor.values {
            PlanValues::Amounts(amounts) => amounts.iter().sum::<f64>() / amounts.len() as f64,
            PlanValues::Levels(_) => 0.0,
        };
        let equal_weights = |factor: &Factor| {
            let count = factor.levels().len();
            vec![1.0 / count as f64; count]
        };
        let reference = Mix {
            amounts: space.factors.iter().map(middle).collect(),
            weights: data.factors.iter().map(equal_weights).collect(),
        };
        Self::new(params, data, reference, space)
    }

    fn new(
        params: &ModelParams,
        data: FitData,
        reference: Mix,
        space: &Space,
    ) -> Result<Self, NoPlan> {
        let design = Design::build(params, &data);
        let of_effects = design.effects.iter().flat_map(|effect| &effect.factors);
        let used: BTreeSet<usize> = of_effects.chain(&design.blocks).copied().collect();
        let mut names = used.iter().map(|&factor| &data.factors[factor].name);
        if let Some(name) = names.find(|name| space.position(name).is_none()) {
            return Err(NoPlan::NoValues(name.clone()));
        }
        // The scale spans what was run and what may be run, so that terms of both have about unit size.
        let mut spanned = data.factors.clone();
        for factor in &mut spanned {
            if let FactorValues::Amount(values) = &mut factor.values
                && let Some(PlanValues::Amounts(more)) = space.values(&factor.name)
            {
                values.extend(more);
            }
        }
        let coding = Coding::new(&design, &spanned);
        let set_by = (0..data.factors.len())
            .map(|factor| set_by(&data.factors[factor], factor, &coding, space))
            .collect();
        Ok(Self {
            design,
            coding,
            data,
            reference,
            set_by,
        })
    }

    /// How many terms there are.
    pub fn terms(&self) -> usize {
        self.design.columns.len()
    }

    /// The coded row of a run that was made.
    pub fn row_of_run(&self, run: usize) -> Vec<f64> {
        let mut row = vec![0.0; self.terms()];
        self.coding.row(&self.design, &self.data, run, &mut row);
        row
    }

    /// The coded row of settings, those not named at the reference mix; None for what the model does not know.
    pub fn row_of_settings(&self, settings: &Settings) -> Option<Vec<f64>> {
        let mut mix = self.reference.clone();
        for (name, setting) in settings.iter() {
            let Some(factor) = self.data.position(name) else {
                continue;
            };
            match setting {
                Setting::Amount(value) => mix.amounts[factor] = *value,
                Setting::Level(level) => {
                    let levels = self.data.factors[factor].levels();
                    let place = levels.iter().position(|known| known == level)?;
                    mix = mix.at_level(factor, place);
                }
            }
        }
        let amount = |factor: usize| self.coding.coded(factor, mix.amounts[factor]);
        let weight = |factor: usize, level: usize| mix.weights[factor][level];
        let columns = self.design.columns.iter();
        Some(columns.map(|column| column.value(amount, weight)).collect())
    }

    /// Writes the coded row of a point of the space.
    pub fn row_of_point(&self, point: &[usize], row: &mut [f64]) {
        let amount = |factor: usize| match &self.set_by[factor] {
            SetBy::Amounts { at, coded } => coded[point[*at]],
            _ => 0.0,
        };
        let weight = |factor: usize, level: usize| match &self.set_by[factor] {
            SetBy::Levels { at, codes } if codes[point[*at]] == level => 1.0,
            _ => 0.0,
        };
        for (entry, column) in row.iter_mut().zip(&self.design.columns) {
            *entry = column.value(amount, weight);
        }
    }
}

fn set_by(factor: &Factor, place: usize, coding: &Coding, space: &Space) -> SetBy {
    let Some(at) = space.position(&factor.name) else {
        return SetBy::Nothing;
    };
    match &space.factors[at].values {
        PlanValues::Amounts(amounts) => {
            let coded = amounts.iter().map(|&value| coding.coded(place, value));
            let coded = coded.collect();
            SetBy::Amounts { at, coded }
        }
        PlanValues::Levels(levels) => {
            let code = |level: &String| factor.levels().iter().position(|known| known == level);
            let codes = levels.iter().map(|level| code(level).unwrap_or(usize::MAX));
            let codes = codes.collect();
            SetBy::Levels { at, codes }
        }
    }
}

/// What was asked of a model, read back from its terms.
fn params_of(design: &Design, data: &FitData, model: &FittedModel) -> ModelParams {
    let name = |factor: usize| data.factors[factor].name.clone();
    let mut params = ModelParams {
        response: model.response.clone(),
        unit: model.unit.clone(),
        effects: Vec::new(),
        joint: Vec::new(),
        curved: Vec::new(),
        // What is no block has no variance, and counts where blocks are as free as terms.
        blocks: design.watched.iter().map(|&block| name(block)).collect(),
        constant: match design.constant_column() {
            Some(_) => Constant::Present,
            None => Constant::Absent,
        },
        confidence: model.confidence,
        method: Method::Measured,
        scale: ResponseScale::Plain,
    };
    for effect in &design.effects {
        let &[factor] = effect.factors.as_slice() else {
            let factors = effect.factors.iter().map(|&factor| name(factor));
            params.joint.push(factors.collect());
            continue;
        };
        params.effects.push(name(factor));
        let columns = effect.columns.iter();
        let pieces = columns.flat_map(|&column| &design.columns[column].pieces);
        let powers = pieces.filter_map(|piece| match piece {
            Piece::Power { power, .. } => Some(*power),
            Piece::Level { .. } => None,
        });
        if let Some(power) = powers.max().filter(|&power| power > 1) {
            params.curved.push(Curve {
                factor: name(factor),
                power,
            });
        }
    }
    params
}

/// Adds the levels that may be proposed and were never run.
fn add_levels(factors: &mut [Factor], space: &Space) {
    for factor in factors {
        if let FactorValues::Choice { levels, .. } = &mut factor.values
            && let Some(PlanValues::Levels(more)) = space.values(&factor.name)
        {
            for level in more {
                if !levels.contains(level) {
                    levels.push(level.clone());
                }
            }
        }
    }
}
