//! How do the tests of this folder read published data and build small logs?
//!
//! In: text of published files, or short lists. Out: [`FitData`], [`ModelParams`], certified figures.
//! This module never computes an expected value.

use super::{Constant, Curve, Factor, FactorValues, FitData, FittedModel, ModelParams};

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
