//! The values of each factor and each logged response, run by run.
//!
//! In: declared factors and responses, the runs log, derived figures. Out: [`FactorColumn`], [`ResponseColumn`].
//! This module never invents a value: what was neither logged nor can be derived is `None`.

use std::collections::BTreeMap;

use super::RunResult;
use super::column::{FactorColumn, FactorValues, ResponseColumn, ResponseKind};
use super::residue::generations;
use crate::campaign::{Campaign, FactorKind, FactorPlan, LOT, StandsFor, nearest};
use crate::error::{Error, ErrorKind};
use crate::intake::{Heating, LeftOut, Logged, LoggedColumn, RunRow};
use crate::units::Unit;

/// What the columns are made from.
pub(super) struct Material<'a> {
    pub campaign: &'a Campaign,
    pub logged: &'a Logged,
    /// Rows in run order, one for each result.
    pub rows: &'a [&'a RunRow],
    /// Position of each of `rows` in the runs log.
    pub positions: &'a [usize],
    pub results: &'a [RunResult],
}

impl Material<'_> {
    /// All declared factors and `lot`.
    pub fn factors(
        &self,
        left_out: &mut Vec<LeftOut>,
        stops: &mut Vec<Error>,
    ) -> Vec<FactorColumn> {
        let mut columns = Vec::new();
        for plan in &self.campaign.factors {
            let name = plan.column.as_deref().unwrap_or(&plan.name);
            let logged = self.logged.runs.column(name);
            let column = match &plan.kind {
                FactorKind::Choice { baseline, .. } => {
                    self.choice(plan, logged, baseline.as_deref(), stops)
                }
                FactorKind::Amount { unit, .. } => {
                    self.amount(plan, logged, unit.as_deref(), left_out, stops)
                }
            };
            columns.extend(column);
        }
        let declared = columns.iter().any(|column| column.name == LOT);
        if !declared && self.results.iter().any(|run| run.lot.is_some()) {
            let lots = self.results.iter().map(|run| run.lot.clone()).collect();
            columns.push(FactorColumn {
                name: LOT.into(),
                unit: String::new(),
                values: levels(lots, None),
            });
        }
        columns
    }

    fn choice(
        &self,
        plan: &FactorPlan,
        logged: Option<&LoggedColumn>,
        baseline: Option<&str>,
        stops: &mut Vec<Error>,
    ) -> Option<FactorColumn> {
        let texts: Vec<Option<String>> = match logged {
            Some(column) => self
                .positions
                .iter()
                .map(|p| column.cells[*p].clone())
                .collect(),
            None if plan.name == LOT => self.results.iter().map(|r| r.lot.clone()).collect(),
            None => {
                stops.push(self.no_column(plan));
                return None;
            }
        };
        if let Some(baseline) = baseline
            && !texts.iter().any(|text| text.as_deref() == Some(baseline))
        {
            let mut known: Vec<&str> = texts.iter().filter_map(Option::as_deref).collect();
            known.sort_unstable();
            known.dedup();
            let hint = match nearest(baseline, known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None if known.is_empty() => "no run that can be used names any level".into(),
                None => format!("levels in the log: {}", known.join(", ")),
            };
            stops.push(
                Error::new(
                    ErrorKind::UnknownName,
                    format!(
                        "the baseline of `{}` in `{}` line {} is a level that no run has: `{baseline}`",
                        plan.name, self.campaign.file, plan.line
                    ),
                )
                .in_file(&self.campaign.file)
                .on_line(plan.line)
                .in_column(&plan.name)
                .hint(hint),
            );
        }
        Some(FactorColumn {
            name: plan.name.clone(),
            unit: String::new(),
            values: levels(texts, baseline),
        })
    }

    fn amount(
        &self,
        plan: &FactorPlan,
        logged: Option<&LoggedColumn>,
        unit: Option<&str>,
        left_out: &mut Vec<LeftOut>,
        stops: &mut Vec<Error>,
    ) -> Option<FactorColumn> {
        let Some(column) = logged else {
            let Some(derived) = self.derived(plan) else {
                stops.push(self.no_column(plan));
                return None;
            };
            let values = match (Unit::named(derived.unit), unit.and_then(Unit::named)) {
                (Some(from), Some(to)) if from.dimension == to.dimension => derived
                    .values
                    .into_iter()
                    .map(|value| value.map(|value| to.from_base(from.to_base(value))))
                    .collect(),
                _ => derived.values,
            };
            return Some(FactorColumn {
                name: plan.name.clone(),
                unit: unit.unwrap_or(derived.unit).to_string(),
                values: FactorValues::Amount(values),
            });
        };
        Some(FactorColumn {
            name: plan.name.clone(),
            unit: unit
                .or(column.unit.as_deref())
                .unwrap_or_default()
                .to_string(),
            values: FactorValues::Amount(self.numbers(column, unit, left_out)),
        })
    }

    /// The numbers of a kept column; a cell that holds none leaves its run out.
    fn numbers(
        &self,
        column: &LoggedColumn,
        unit: Option<&str>,
        left_out: &mut Vec<LeftOut>,
    ) -> Vec<Option<f64>> {
        self.rows
            .iter()
            .zip(self.positions)
            .map(|(row, position)| {
                column
                    .number(self.campaign, *position, unit)
                    .unwrap_or_else(|hint| {
                        let text = column.cells[*position].as_deref().unwrap_or_default();
                        left_out.push(LeftOut {
                            file: row.file.clone(),
                            line: row.line,
                            run: Some(row.run.clone()),
                            error: Error::new(
                                ErrorKind::NotANumber,
                                format!(
                                    "column `{}` in `{}` line {} is not a number: `{text}`",
                                    column.name, row.file, row.line
                                ),
                            )
                            .in_file(&row.file)
                            .on_line(row.line)
                            .in_column(&column.name)
                            .hint(hint),
                            on_purpose: false,
                        });
                        None
                    })
            })
            .collect()
    }

    /// All declared responses.
    pub fn responses(
        &self,
        left_out: &mut Vec<LeftOut>,
        stops: &mut Vec<Error>,
    ) -> Vec<ResponseColumn> {
        let mut columns = Vec::new();
        if self.campaign.chemistry.is_some() {
            let value = |outcome: &super::Outcome| outcome.as_ref().ok().map(|m| m.value());
            columns.push(ResponseColumn {
                name: "yield".into(),
                kind: ResponseKind::Yield,
                unit: "1".into(),
                values: self
                    .results
                    .iter()
                    .map(|run| value(&run.contained))
                    .collect(),
            });
            columns.push(ResponseColumn {
                name: "purity".into(),
                kind: ResponseKind::Purity,
                unit: "1".into(),
                values: self.results.iter().map(|run| value(&run.purity)).collect(),
            });
        }
        for plan in &self.campaign.responses {
            let unit = plan.unit.as_deref();
            let values = match self.logged.runs.column(&plan.column) {
                Some(column) => self.numbers(column, unit, left_out),
                None => match self.known_column(&plan.column) {
                    Some(values) => values,
                    None => {
                        stops.push(self.missing(&plan.column, &plan.name, plan.line, "response"));
                        continue;
                    }
                },
            };
            let logged_unit = self
                .logged
                .runs
                .column(&plan.column)
                .and_then(|column| column.unit.clone());
            columns.push(ResponseColumn {
                name: plan.name.clone(),
                kind: ResponseKind::Declared,
                unit: plan.unit.clone().or(logged_unit).unwrap_or_default(),
                values,
            });
        }
        columns
    }

    /// Numeric columns of the design that can also be responses.
    fn known_column(&self, name: &str) -> Option<Vec<Option<f64>>> {
        let pick = |of: fn(&RunRow) -> Option<f64>| self.rows.iter().map(|row| of(row)).collect();
        match name {
            "labour" => Some(pick(|row| Some(row.labour?.value))),
            "feed_mass" => Some(pick(|row| Some(row.feed_mass?.value))),
            "oxidant_mass" => Some(pick(|row| Some(row.oxidant_mass?.value))),
            "residue_mass" => Some(pick(|row| Some(row.residue_mass?.value))),
            "liquor_volume" => Some(pick(|row| Some(row.liquor_volume?.value))),
            "liquor_conc" => Some(pick(|row| Some(row.liquor_conc?.value))),
            _ => None,
        }
    }

    /// A factor that follows from other entries, in its own unit.
    fn derived(&self, plan: &FactorPlan) -> Option<Derived> {
        let of_rows = |unit: &'static str, of: &dyn Fn(&RunRow) -> Option<f64>| Derived {
            unit,
            values: self.rows.iter().map(|row| of(row)).collect(),
        };
        let heating = |unit: &'static str, of: &dyn Fn(&Heating) -> Option<f64>| {
            let by_run: BTreeMap<&str, &Heating> = self
                .logged
                .heating
                .iter()
                .map(|curve| (curve.run.as_str(), &curve.heating))
                .collect();
            (!by_run.is_empty()).then(|| Derived {
                unit,
                values: self
                    .rows
                    .iter()
                    .map(|row| of(by_run.get(row.run.as_str())?))
                    .collect(),
            })
        };
        if plan.name == "residue_ratio" || plan.stands_for == Some(StandsFor::Residue) {
            return Some(of_rows("g/g", &|row| {
                let residue = row.residue_mass.map_or(0.0, |mass| mass.value);
                Some(residue / row.feed_mass?.value)
            }));
        }
        match plan.name.as_str() {
            "oxidant_excess" => self.campaign.oxidant.as_ref().map(|_| Derived {
                unit: "%",
                values: self.results.iter().map(|run| run.oxidant_excess).collect(),
            }),
            "batch_size" => Some(of_rows("g", &|row| Some(row.feed_mass?.value))),
            "residue_generation" => {
                let known = generations(&self.logged.runs.rows);
                Some(of_rows("1", &|row| {
                    (*known.get(row.run.as_str())?).map(f64::from)
                }))
            }
            "peak_temperature" => heating("degC", &|heating| Some(heating.peak_temperature)),
            "soak_time" => heating("min", &|heating| heating.soak_time),
            "heating_rate" => heating("degC/min", &|heating| heating.heating_rate),
            name => self
                .known_column(name)
                .map(|values| Derived { unit: "", values }),
        }
    }

    fn no_column(&self, plan: &FactorPlan) -> Error {
        let column = plan.column.as_deref().unwrap_or(&plan.name);
        self.missing(column, &plan.name, plan.line, "factor")
    }

    fn missing(&self, column: &str, name: &str, line: usize, what: &str) -> Error {
        let known = self.logged.runs.columns.iter().map(|c| c.name.as_str());
        let hint = match nearest(column, known) {
            Some(near) => {
                format!("did you mean `{near}`? another heading is given by `column = \"...\"`")
            }
            None => {
                let known: Vec<&str> = self
                    .logged
                    .runs
                    .columns
                    .iter()
                    .map(|c| c.name.as_str())
                    .collect();
                format!(
                    "further columns of the runs log: {}; another heading is given by `column = \"...\"`",
                    if known.is_empty() {
                        "none".to_string()
                    } else {
                        known.join(", ")
                    }
                )
            }
        };
        Error::new(
            ErrorKind::MissingColumn,
            format!(
                "no column `{column}` in the runs log for the {what} `{name}` in `{}` line {line}",
                self.campaign.file
            ),
        )
        .in_file(&self.campaign.file)
        .on_line(line)
        .in_column(column)
        .hint(hint)
    }
}

struct Derived {
    unit: &'static str,
    values: Vec<Option<f64>>,
}

/// Levels of texts, the baseline first, then in byte order.
fn levels(texts: Vec<Option<String>>, baseline: Option<&str>) -> FactorValues {
    let mut levels: Vec<String> = texts.iter().flatten().cloned().collect();
    levels.sort();
    levels.dedup();
    if let Some(position) = baseline.and_then(|b| levels.iter().position(|level| level == b)) {
        let first = levels.remove(position);
        levels.insert(0, first);
    }
    let codes = texts
        .into_iter()
        .map(|text| text.and_then(|text| levels.iter().position(|level| *level == text)))
        .collect();
    FactorValues::Choice { levels, codes }
}
