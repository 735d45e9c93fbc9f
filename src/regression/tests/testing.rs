//! Published data and small logs for the tests of this folder.
//!
//! In: text of published files, or short lists. Out: [`FitData`], [`ModelParams`], certified figures.
//! This module never computes an expected value.

use crate::regression::{
    Constant, Curve, ErrorEffect, ErrorSize, Factor, FactorValues, FitData, FittedModel,
    Measurement, Method, ModelParams, OwnError, ResponseScale, SharedError, Term,
};

/// The certified figure of this name, which stands in the file as text.
pub(crate) fn certified(json: &str, name: &str) -> f64 {
    let key = format!("\"{name}\":");
    let start = json.find(&key).expect("the figure stands in the file") + key.len();
    let rest = json[start..].trim_start().trim_start_matches('"');
    let end = rest.find(['"', ',', '\n', '}']).expect("the figure ends");
    rest[..end].trim().parse().expect("the figure is a number")
}

/// The cells of one column of a published table.
pub(crate) fn cells<'a>(csv: &'a str, name: &str) -> Vec<&'a str> {
    let mut lines = csv.lines();
    let header = lines.next().expect("a header");
    let position = header
        .split(',')
        .position(|h| h == name)
        .expect("the column stands in the file");
    lines
        .filter(|line| !line.is_empty())
        .map(|line| line.split(',').nth(position).expect("a cell"))
        .collect()
}

/// The numbers of one column of a published table.
pub(crate) fn numbers(csv: &str, name: &str) -> Vec<f64> {
    cells(csv, name)
        .iter()
        .map(|cell| cell.parse().expect("a number"))
        .collect()
}

/// Correct significant digits of a figure, at most 16.
pub(crate) fn digits(found: f64, expected: f64) -> f64 {
    let error = if expected == 0.0 {
        found.abs()
    } else {
        (found / expected - 1.0).abs()
    };
    if error == 0.0 {
        16.0
    } else {
        (-error.log10()).clamp(0.0, 16.0)
    }
}

/// An amount with these values.
pub(crate) fn amount(name: &str, values: Vec<f64>) -> Factor {
    Factor {
        name: name.to_string(),
        unit: String::new(),
        values: FactorValues::Amount(values),
    }
}

/// A choice with these levels, the baseline first, and the level of each run.
pub(crate) fn choice(name: &str, levels: &[&str], of_runs: &[&str]) -> Factor {
    let place = |level: &&str| {
        levels
            .iter()
            .position(|l| l == level)
            .expect("a listed level")
    };
    Factor {
        name: name.to_string(),
        unit: String::new(),
        values: FactorValues::Choice {
            levels: levels.iter().map(|level| level.to_string()).collect(),
            codes: of_runs.iter().map(place).collect(),
        },
    }
}

/// Runs named `1`, `2`, ... with this response and these factors.
pub(crate) fn runs(response: Vec<f64>, factors: Vec<Factor>) -> FitData {
    FitData {
        runs: (1..=response.len()).map(|run| run.to_string()).collect(),
        response,
        factors,
        measurement: Measurement::default(),
        never: Vec::new(),
    }
}

/// A model of `y` with these effects, a constant and 95 % confidence.
pub(crate) fn model(effects: &[&str]) -> ModelParams {
    ModelParams {
        response: "y".to_string(),
        unit: "g".to_string(),
        effects: names(effects),
        joint: Vec::new(),
        curved: Vec::new(),
        blocks: Vec::new(),
        constant: Constant::Present,
        confidence: 0.95,
        method: Method::Plain,
        scale: ResponseScale::Plain,
    }
}

impl ModelParams {
    /// The same model with a joint effect.
    pub(crate) fn with_joint(mut self, factors: &[&str]) -> Self {
        self.joint.push(names(factors));
        self
    }

    /// The same model with powers of an amount.
    pub(crate) fn with_curve(mut self, factor: &str, power: u32) -> Self {
        self.curved.push(Curve {
            factor: factor.to_string(),
            power,
        });
        self
    }

    /// The same model with a block.
    pub(crate) fn with_block(mut self, factor: &str) -> Self {
        self.blocks.push(factor.to_string());
        self
    }

    /// The same model without a constant.
    pub(crate) fn without_constant(mut self) -> Self {
        self.constant = Constant::Absent;
        self
    }

    /// The same model, fitted with what is known of the measurement.
    pub(crate) fn measured(mut self) -> Self {
        self.method = Method::Measured;
        self
    }

    /// The same model on the logit scale.
    pub(crate) fn on_logit(mut self) -> Self {
        self.scale = ResponseScale::Logit;
        self
    }

    /// The model fitted to these runs.
    pub(crate) fn fitted(self, data: &FitData) -> FittedModel {
        self.check(data)
            .expect("the model is valid")
            .fit(data)
            .expect("the model can be fitted")
    }
}

impl FittedModel {
    /// Whether no figure is infinite or no number.
    pub(crate) fn all_finite(&self) -> bool {
        let mut numbers = vec![self.ss_model, self.ss_residual];
        numbers.extend(
            self.fitted
                .iter()
                .chain(&self.residuals)
                .chain(&self.leverages),
        );
        let figures = [
            self.residual_sd,
            self.leave_one_out_sd,
            self.r_squared,
            self.adjusted_r_squared,
        ];
        numbers.extend(figures.into_iter().flatten());
        numbers.extend(
            [self.f, self.f_p, self.lag1, self.leave_one_out_r_squared]
                .into_iter()
                .flatten(),
        );
        for term in &self.terms {
            numbers.push(term.value);
            numbers.extend([term.standard_error, term.t, term.p].into_iter().flatten());
            numbers.extend(
                term.interval
                    .into_iter()
                    .flat_map(|interval| [interval.low, interval.high]),
            );
        }
        for test in &self.tests {
            numbers.push(test.ss);
            numbers.extend([test.f, test.p].into_iter().flatten());
        }
        numbers.iter().all(|number| number.is_finite())
    }
}

fn names(list: &[&str]) -> Vec<String> {
    list.iter().map(|name| name.to_string()).collect()
}

/// One shared error with relative effects on these runs.
pub(crate) fn relative(
    name: &str,
    size: f64,
    which: impl IntoIterator<Item = usize>,
) -> SharedError {
    let effect = |run| ErrorEffect {
        run,
        size: ErrorSize::Relative(size),
    };
    SharedError {
        name: name.into(),
        effects: which.into_iter().map(effect).collect(),
    }
}

/// Sixteen runs on four lots with two heatings, an amount, and errors of assay, titrant and titration.
pub(crate) fn measured_log() -> FitData {
    let lots: Vec<&str> = (0..16).map(|run| ["A", "B", "C", "D"][run % 4]).collect();
    let heating: Vec<&str> = (0..16).map(|run| ["muffle", "hob"][run / 2 % 2]).collect();
    let oxidant: Vec<f64> = (0..16).map(|run| 20.0 + ((run * 37) % 90) as f64).collect();
    let response = vec![
        0.612, 0.655, 0.571, 0.602, 0.634, 0.671, 0.569, 0.633, 0.641, 0.662, 0.598, 0.611, 0.627,
        0.699, 0.604, 0.648,
    ];
    let mut data = runs(
        response,
        vec![
            choice("heating", &["muffle", "hob"], &heating),
            amount("oxidant", oxidant),
            choice("lot", &["A", "B", "C", "D"], &lots),
        ],
    );
    data.measurement = Measurement {
        shared: vec![
            relative("assay of lot A", 0.011, (0..16).step_by(4)),
            relative("assay of lot B", 0.015, (1..16).step_by(4)),
            relative("titrant", 0.003, 0..16),
            relative("residue", 0.004, [5, 9]),
        ],
        own: vec![
            OwnError {
                relative: 0.005,
                absolute: 0.003,
            };
            16
        ],
    };
    data
}

impl FittedModel {
    /// The first estimable term that is written so.
    pub fn written(&self, name: &str) -> Option<&Term> {
        self.terms.iter().find(|term| term.name.to_string() == name)
    }
}

/// Names as they are written.
pub fn written<T: ToString>(names: &[T]) -> Vec<String> {
    names.iter().map(ToString::to_string).collect()
}
