//! What the furnace did in each run.
//!
//! In: tables of temperature against time. Out: [`HeatingCurve`], the figures that can be factors.
//! This module never smooths a reading.

use std::collections::BTreeMap;

use super::Logged;
use super::number;
use super::rows::{LeftOut, RowReader};
use super::table::Table;
use crate::campaign::Campaign;
use crate::error::{Error, ErrorKind};
use crate::units::Unit;

/// The figures of one heating curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heating {
    /// Highest temperature [degC].
    pub peak_temperature: f64,
    /// Time above `[readings] above`, straight lines between readings [min]; `None` without `above`.
    pub soak_time: Option<f64>,
    /// Rise from the first reading to the peak over the time it took [degC/min]; `None` with one reading.
    pub heating_rate: Option<f64>,
}

/// The heating curve of one run.
#[derive(Debug, Clone)]
pub struct HeatingCurve {
    /// The log.
    pub file: String,
    /// First line of the run in that log.
    pub line: usize,
    /// Its run.
    pub run: String,
    /// Its figures.
    pub heating: Heating,
}

/// Temperature [degC] at a time [min].
#[derive(Debug, Clone, Copy)]
struct Reading {
    minute: f64,
    temperature: f64,
}

pub(super) fn read(campaign: &Campaign, table: &Table, logged: &mut Logged) {
    let of_file = table.run_of_the_file();
    let has_run_column = table.column("run").is_some();
    let mut by_run: BTreeMap<String, Vec<Reading>> = BTreeMap::new();
    let mut first_lines: BTreeMap<String, usize> = BTreeMap::new();
    for reader in table.rows() {
        let run = if has_run_column {
            reader.needed("run", reader.text("run"))
        } else {
            of_file.clone()
        };
        let minute = reader.needed("time", minute(campaign, &reader));
        let temperature = reader.needed("temperature", reader.number("temperature"));
        let line = reader.line();
        let reading = minute
            .zip(temperature)
            .map(|(minute, temperature)| Reading {
                minute,
                temperature: temperature.value,
            });
        if let (Some(reading), Some(run)) = (
            reader.finish(run.as_deref(), &mut logged.left_out, reading),
            run,
        ) {
            first_lines.entry(run.clone()).or_insert(line);
            by_run.entry(run).or_default().push(reading);
        }
    }
    for (run, mut readings) in by_run {
        readings.sort_by(|a, b| a.minute.total_cmp(&b.minute));
        if let Some(known) = logged.heating.iter().find(|curve| curve.run == run) {
            let entry = twice(&table.file, first_lines[&run], &run, &known.file);
            logged.left_out.push(entry);
            continue;
        }
        logged.heating.push(HeatingCurve {
            file: table.file.clone(),
            line: first_lines[&run],
            run,
            heating: heating(&readings, campaign.soak_above),
        });
    }
}

/// Two curves of one run would have to be joined, and nobody said how their clocks go together.
fn twice(file: &str, line: usize, run: &str, first: &str) -> LeftOut {
    let error = Error::new(
        ErrorKind::DuplicatedRun,
        format!("readings of run `{run}` in `{file}` line {line} and in `{first}` too"),
    )
    .in_file(file)
    .on_line(line)
    .hint("each run has its readings in one file");
    LeftOut::of_run(run, error)
}

fn minute(campaign: &Campaign, reader: &RowReader) -> Option<f64> {
    let text = reader.text("time")?;
    let head = &reader.table.heads[reader.table.column("time")?];
    for format in [
        "%Y-%m-%dT%H:%M:%S%.f",
        "%Y-%m-%d %H:%M:%S%.f",
        "%Y-%m-%dT%H:%M",
        "%Y-%m-%d %H:%M",
    ] {
        if let Ok(moment) =
            chrono::NaiveDateTime::parse_from_str(text.trim_end_matches('Z'), format)
        {
            return Some(moment.and_utc().timestamp_millis() as f64 / 60_000.0);
        }
    }
    match number::plain(&text, campaign.logs.decimal) {
        Ok(value) => {
            let unit = head.unit.or_else(|| Unit::named("s"))?;
            Some(unit.to_base(value))
        }
        Err(_) => {
            reader.fault(
                "time",
                ErrorKind::NotANumber,
                &format!("is no time: `{text}`"),
                "write seconds, minutes with the unit in the heading (`time / min`), or `2025-10-03T14:30`",
            );
            None
        }
    }
}

fn heating(readings: &[Reading], above: Option<f64>) -> Heating {
    let mut peak = readings[0];
    for reading in readings {
        if reading.temperature > peak.temperature {
            peak = *reading;
        }
    }
    let span = peak.minute - readings[0].minute;
    Heating {
        peak_temperature: peak.temperature,
        soak_time: above.map(|above| {
            readings
                .windows(2)
                .map(|pair| time_above(pair[0], pair[1], above))
                .sum()
        }),
        heating_rate: (span > 0.0).then(|| (peak.temperature - readings[0].temperature) / span),
    }
}

/// Part of the time between two readings that a straight line between them lies above a temperature.
fn time_above(from: Reading, to: Reading, above: f64) -> f64 {
    let span = to.minute - from.minute;
    let (a, b) = (from.temperature - above, to.temperature - above);
    if a >= 0.0 && b >= 0.0 {
        span
    } else if a < 0.0 && b < 0.0 {
        0.0
    } else {
        span * a.max(b) / (b - a).abs()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(minute: f64, temperature: f64) -> Reading {
        Reading {
            minute,
            temperature,
        }
    }

    #[test]
    fn soaking_counts_the_slopes_by_their_part_above() {
        let curve = [
            at(0.0, 20.0),
            at(48.0, 500.0),
            at(58.0, 600.0),
            at(88.0, 600.0),
            at(108.0, 400.0),
        ];
        let heating = heating(&curve, Some(500.0));
        assert_eq!(heating.peak_temperature, 600.0);
        assert!((heating.soak_time.unwrap() - 50.0).abs() < 1e-12);
        assert!((heating.heating_rate.unwrap() - 10.0).abs() < 1e-12);
    }

    #[test]
    fn one_reading_has_a_peak_and_no_rate() {
        let heating = heating(&[at(0.0, 300.0)], None);
        assert_eq!(heating.peak_temperature, 300.0);
        assert_eq!(heating.heating_rate, None);
        assert_eq!(heating.soak_time, None);
    }
}
