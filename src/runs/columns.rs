//! The values of each factor and each response, run by run.
//!
//! In: declared factors and responses, the runs log, derived figures. Out: [`FactorColumn`], [`ResponseColumn`].
//! This module never invents a value: what was neither logged nor can be derived is `None`.

use std::collections::BTreeMap;

use super::ages::Ages;
use super::factor_columns::{FactorColumn, FactorValues, ResponseColumn, ResponseKind};
use super::residue::generations;
use super::results::{CropResult, RunResult, SecondRuns};
use crate::campaign::{Campaign, FactorKind, FactorPlan, LOT, LogKind, StandsFor, nearest};
use crate::caveat::Part;
use crate::error::{Error, ErrorKind, Place};
use crate::intake::{Heating, Logged, LoggedColumn, LoggedNumber, RunRow};
use crate::measured::Measured;
use crate::units::Unit;

/// What the columns are made from.
pub(super) struct Material<'a> {
    pub campaign: &'a Campaign,
    pub logged: &'a Logged,
    /// Position in the runs log of each result.
    pub positions: &'a [usize],
    pub results: &'a [RunResult],
    pub second: &'a [SecondRuns],
}

impl Material<'_> {
    fn rows(&self) -> impl Iterator<Item = &RunRow> {
        self.positions
            .iter()
            .map(|position| &self.logged.runs.rows[*position])
    }

    /// All declared factors and `lot`.
    pub fn factors(&self, stops: &mut Vec<Error>) -> Vec<FactorColumn> {
        let mut columns = Vec::new();
        for plan in &self.campaign.factors {
            let name = plan.column();
            let logged = self.logged.runs.column(name);
            let found = match &plan.kind {
                FactorKind::Choice { baseline, .. } => self
                    .choice(plan, logged, baseline.as_deref(), stops)
                    .map(|values| (String::new(), values)),
                FactorKind::Amount { unit, .. } => {
                    self.amount(plan, logged, unit.as_deref(), stops)
                }
            };
            match found {
                Some((unit, values)) => columns.push(FactorColumn {
                    name: plan.name.clone(),
                    unit,
                    values,
                }),
                None if self.is_told(name) => {}
                None => stops.push(self.missing(name, &plan.name, plan.line, "factor")),
            }
        }
        let declared = columns.iter().any(|column| column.name == LOT);
        if !declared && self.results.iter().any(|run| run.lot.is_some()) {
            columns.push(FactorColumn {
                name: LOT.into(),
                unit: String::new(),
                values: levels(self.lots(), None),
            });
        }
        columns
    }

    fn lots(&self) -> Vec<Option<String>> {
        self.results.iter().map(|run| run.lot.clone()).collect()
    }

    /// The levels of a choice; `None` without a column.
    fn choice(
        &self,
        plan: &FactorPlan,
        logged: Option<&LoggedColumn>,
        baseline: Option<&str>,
        stops: &mut Vec<Error>,
    ) -> Option<FactorValues> {
        let texts: Vec<Option<String>> = match logged {
            Some(column) => {
                let cells = self
                    .positions
                    .iter()
                    .map(|position| &column.cells[*position]);
                cells.cloned().collect()
            }
            None if plan.name == LOT => self.lots(),
            None => return None,
        };
        if let Some(baseline) = baseline
            && !texts.iter().flatten().any(|text| text == baseline)
        {
            let mut known: Vec<&str> = texts.iter().flatten().map(String::as_str).collect();
            known.sort_unstable();
            known.dedup();
            let hint = match nearest(baseline, known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None if known.is_empty() => "no run that can be used names any level".into(),
                None => format!("levels in the log: {}", known.join(", ")),
            };
            let place = Place::new(&self.campaign.file, plan.line);
            let message = format!(
                "the baseline of `{}` in {place} is a level that no run has: `{baseline}`",
                plan.name
            );
            let mut all = logged.iter().flat_map(|column| column.texts());
            let planned = self.logged.planned.column(plan.column());
            let mut planned = planned.iter().flat_map(|column| column.texts());
            let is_left_out = match logged {
                Some(_) if self.results.is_empty() => all.any(|text| text == baseline),
                Some(_) => all.any(|text| text == baseline) && planned.all(|text| text != baseline),
                None => self.results.is_empty(),
            };
            let kind = match is_left_out {
                true => ErrorKind::LeftOut,
                false => ErrorKind::UnknownName,
            };
            let fault = place.fault(kind, message, hint);
            stops.push(fault.in_column(&plan.name));
        }
        Some(levels(texts, baseline))
    }

    /// The unit and the numbers of an amount; `None` where it is neither logged nor can be derived.
    fn amount(
        &self,
        plan: &FactorPlan,
        logged: Option<&LoggedColumn>,
        unit: Option<&str>,
        stops: &mut Vec<Error>,
    ) -> Option<(String, FactorValues)> {
        let (own, values) = match logged {
            Some(column) => (column.unit.as_deref(), self.numbers(column, unit)),
            None => {
                let (own, values) = self.derived(plan)?;
                (Some(own), in_unit(values, own, unit))
            }
        };
        let units = own.zip(unit);
        stops.extend(self.misfit(&plan.name, plan.line, units));
        let unit = unit.or(own).unwrap_or_default().to_string();
        Some((unit, FactorValues::Amount(values)))
    }

    /// The numbers of a kept column.
    fn numbers(&self, column: &LoggedColumn, unit: Option<&str>) -> Vec<Option<f64>> {
        // A row with a cell that holds none is left out where the log is read.
        let number = |position: &usize| column.number(self.campaign, *position, unit).ok()?;
        self.positions.iter().map(number).collect()
    }

    /// Yield and purity where there is chemistry, and all declared responses.
    pub fn responses(&self, stops: &mut Vec<Error>) -> Vec<ResponseColumn> {
        let mut columns = Vec::new();
        for of in &self.campaign.second {
            for column in [&of.mass_column, &of.purity_column] {
                if self.logged.runs.column(column).is_none() && !self.is_told(column) {
                    stops.push(self.missing(column, &of.element, of.line, "second element"));
                }
            }
        }
        if self.campaign.chemistry.is_some() {
            for (name, kind) in [
                ("yield", ResponseKind::Yield),
                ("purity", ResponseKind::Purity),
            ] {
                let value = |run: &RunResult| kind.of(run).map(Measured::value);
                columns.push(ResponseColumn {
                    name: name.into(),
                    kind,
                    unit: "1".into(),
                    values: self.results.iter().map(value).collect(),
                });
            }
        }
        for plan in &self.campaign.responses {
            let logged = self.logged.runs.column(&plan.column);
            let values = match logged {
                Some(column) => {
                    let values = self.numbers(column, plan.unit.as_deref());
                    Some((column.unit.as_deref(), values))
                }
                None => self
                    .known_column(&plan.column)
                    .map(|(own, values)| (Some(own), in_unit(values, own, plan.unit.as_deref()))),
            };
            let Some((own, values)) = values else {
                if self.is_told(&plan.column) {
                    continue;
                }
                let missing = self.missing(&plan.column, &plan.name, plan.line, "response");
                stops.push(missing);
                continue;
            };
            let unit = plan.unit.as_deref();
            let units = own.zip(unit);
            stops.extend(self.misfit(&plan.name, plan.line, units));
            columns.push(ResponseColumn {
                name: plan.name.clone(),
                kind: ResponseKind::Declared,
                unit: unit.or(own).unwrap_or_default().to_string(),
                values,
            });
        }
        columns
    }

    /// Numeric columns of the design that can also be responses, with the unit that they are kept in.
    fn known_column(&self, name: &str) -> Option<(&'static str, Vec<Option<f64>>)> {
        let (unit, pick): (&str, fn(&RunRow) -> Option<LoggedNumber>) = match name {
            "labour" => ("min", |row| row.labour),
            "feed_mass" => ("g", |row| row.feed_mass),
            "oxidant_mass" => ("g", |row| row.oxidant_mass),
            "residue_mass" => ("g", |row| row.residue_mass),
            "liquor_volume" => ("mL", |row| row.liquor_volume),
            "liquor_conc" => ("g/L", |row| row.liquor_conc),
            "liquor_in" => ("mL", |row| row.liquor_in),
            name => return self.of_one_crop(name).or_else(|| self.of_second(name)),
        };
        let values = self.rows().map(|row| Some(pick(row)?.value));
        Some((unit, values.collect()))
    }

    /// `Ni_yield`, the yield of the product of a second element.
    fn of_second(&self, name: &str) -> Option<(&'static str, Vec<Option<f64>>)> {
        let mut plans = self.campaign.second.iter().zip(self.second);
        let (_, found) = plans.find(|(plan, _)| plan.yield_column == name)?;
        let yields = found.runs.iter();
        let yields = yields.map(|run| run.contained.as_ref().ok().map(Measured::value));
        Some(("1", yields.collect()))
    }

    /// `purity_crop1`, `mass_crop2` and so on; None where no run has that crop.
    fn of_one_crop(&self, name: &str) -> Option<(&'static str, Vec<Option<f64>>)> {
        let (what, number) = name.split_once("_crop")?;
        let number: u32 = number.parse().ok()?;
        let (unit, value): (_, fn(&CropResult) -> Option<f64>) = match what {
            "purity" => ("1", |crop| Some(crop.purity.as_ref().ok()?.value())),
            "mass" => ("g", |crop| Some(crop.mass.value())),
            _ => return None,
        };
        let of_run = |run: &RunResult| {
            let crop = run.crops.iter().find(|crop| crop.crop == number)?;
            value(crop)
        };
        let values: Vec<Option<f64>> = self.results.iter().map(of_run).collect();
        values.iter().any(Option::is_some).then_some((unit, values))
    }

    /// The fault of a unit of the campaign file that the unit of the column cannot be converted to.
    fn misfit(&self, name: &str, line: usize, units: Option<(&str, &str)>) -> Option<Error> {
        let (own, wanted) = units?;
        // A count may be called what it counts.
        if own == wanted || own == "1" && Unit::named(wanted).is_none() {
            return None;
        }
        let known = [own, wanted].map(Unit::named);
        let hint = match known {
            [Some(own), Some(wanted)] if own.dimension == wanted.dimension => return None,
            [Some(_), Some(_)] => "the two do not measure the same; correct one of them".into(),
            [Some(unit), None] | [None, Some(unit)] => format!(
                "write the same unit in both, or two of: {}",
                unit.dimension.unit_names().unwrap_or_default()
            ),
            [None, None] => "write the same unit in both".to_string(),
        };
        let place = Place::new(&self.campaign.file, line);
        let message = format!("`{name}` in {place} is in `{wanted}`, and its column in `{own}`");
        let fault = place.fault(ErrorKind::Campaign, message, hint);
        Some(fault.in_column(name))
    }

    /// A factor that follows from other entries, in its own unit: residue charged per gram of fresh feed, excess of oxidant,
    /// size of the batch, how often residue has been round, ages in days, figures of the heating curve, or a column of the design.
    fn derived(&self, plan: &FactorPlan) -> Option<(&'static str, Vec<Option<f64>>)> {
        let of_rows = |of: &dyn Fn(&RunRow) -> Option<f64>| {
            let rows = self.rows().map(of);
            rows.collect::<Vec<Option<f64>>>()
        };
        let heating = |of: fn(&Heating) -> Option<f64>| {
            let curves = self.logged.heating.iter();
            let by_run: BTreeMap<&str, &Heating> = curves
                .map(|curve| (curve.run.as_str(), &curve.heating))
                .collect();
            (!by_run.is_empty()).then(|| of_rows(&|row| of(by_run.get(row.run.as_str())?)))
        };
        let is_residue = plan.stands_for == Some(StandsFor::Residue);
        Some(match plan.name.as_str() {
            name if is_residue || name == "residue_ratio" => {
                let ratio = |row: &RunRow| {
                    row.may_use(&[Part::Charged, Part::Feed]).ok()?;
                    let residue = row.residue_mass.map_or(0.0, |mass| mass.value);
                    Some(residue / row.feed_mass?.value)
                };
                ("g/g", of_rows(&ratio))
            }
            name if plan.stands_for == Some(StandsFor::Liquor) || name == "liquor_ratio" => {
                let ratio = |row: &RunRow| {
                    row.may_use(&[Part::LiquorIn, Part::Feed]).ok()?;
                    let liquor = row.liquor_in.map_or(0.0, |volume| volume.value);
                    Some(liquor / row.feed_mass?.value)
                };
                ("mL/g", of_rows(&ratio))
            }
            "oxidant_excess" if self.campaign.oxidant.is_some() => {
                let results = self.results.iter();
                ("%", results.map(|run| run.oxidant_excess).collect())
            }
            "batch_size" => ("g", of_rows(&|row| Some(row.feed_mass?.value))),
            "residue_generation" => {
                let known = generations(&self.logged.runs.rows);
                let of = |row: &RunRow| known.get(row.run.as_str()).copied().map(f64::from);
                ("1", of_rows(&of))
            }
            "lot_age" | "residue_age" | "titrant_age" => {
                let ages = Ages::of(self.campaign, self.logged);
                ("d", of_rows(&|row| ages.days(&plan.name, row)))
            }
            "peak_temperature" => ("degC", heating(|heating| Some(heating.peak_temperature))?),
            "soak_time" => ("min", heating(|heating| heating.soak_time)?),
            "heating_rate" => ("degC/min", heating(|heating| heating.heating_rate)?),
            name => self.known_column(name)?,
        })
    }

    /// Whether a fault says already that a column is missing, or that the log it is derived from is not whole.
    fn is_told(&self, column: &str) -> bool {
        let logged = self.logged;
        let is_of_readings = ["peak_temperature", "soak_time", "heating_rate"].contains(&column);
        let mut lacks = logged.lacks.iter();
        lacks.any(|(kind, name)| *kind == LogKind::Runs && name == column)
            || is_of_readings && logged.incomplete.contains(&LogKind::Readings)
    }

    fn missing(&self, column: &str, name: &str, line: usize, what: &str) -> Error {
        let columns = self.logged.runs.columns.iter();
        let known: Vec<&str> = columns.map(|column| column.name.as_str()).collect();
        let there = match nearest(column, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if known.is_empty() => "further columns of the runs log: none;".into(),
            None => format!("further columns of the runs log: {};", known.join(", ")),
        };
        let place = Place::new(&self.campaign.file, line);
        let message =
            format!("no column `{column}` in the runs log for the {what} `{name}` in {place}");
        let hint = format!("{there} another heading is given by `column = \"...\"`");
        let fault = place.fault(ErrorKind::MissingColumn, message, hint);
        fault.in_column(column)
    }
}

/// Values of one unit in another, where both are known and measure the same.
fn in_unit(mut values: Vec<Option<f64>>, from: &str, to: Option<&str>) -> Vec<Option<f64>> {
    if let (Some(from), Some(to)) = (Unit::named(from), to.and_then(Unit::named))
        && from.dimension == to.dimension
    {
        for value in values.iter_mut().flatten() {
            *value = to.from_base(from.to_base(*value));
        }
    }
    values
}

/// Levels of texts, the baseline first, then in byte order.
fn levels(texts: Vec<Option<String>>, baseline: Option<&str>) -> FactorValues {
    let mut levels: Vec<String> = texts.iter().flatten().cloned().collect();
    levels.sort();
    levels.dedup();
    levels.sort_by_key(|level| Some(level.as_str()) != baseline);
    let code = |text: String| levels.iter().position(|level| *level == text);
    let codes = texts.into_iter().map(|text| text.and_then(code)).collect();
    FactorValues::Choice { levels, codes }
}
