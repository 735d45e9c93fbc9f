//! Heating curves: what the furnace did in each run.
//!
//! In: tables of temperature against time. Out: [`HeatingCurve`], the figures that can be factors.
//! This module never smooths a reading.

use std::collections::BTreeMap;

use super::dates;
use super::logged::{Heating, HeatingCurve, Logged};
use super::not_used::LeftOut;
use super::number;
use super::rows::RowReader;
use super::table::{Column, Table};
use crate::campaign::Campaign;
use crate::error::{Cause, ErrorKind, Place};
use crate::units::Unit;

/// Temperature \[degC\] at a time \[min\].
#[derive(Debug, Clone, Copy)]
struct Reading {
    line: usize,
    minute: f64,
    temperature: f64,
}

pub(super) fn read(campaign: &Campaign, table: &Table, logged: &mut Logged) {
    let mut by_run: BTreeMap<&str, (Place, Vec<Reading>)> = BTreeMap::new();
    let [of_run, time, temperature] = table.columns(["run", "time", "temperature"]);
    for reader in RowReader::all(table) {
        let run = table.run(reader.row);
        if of_run.position.is_some() {
            reader.needed(of_run, run);
        }
        let place = reader.place();
        let minute = reader.demanded(time, minute(&reader, time));
        let reading = Reading {
            line: place.line,
            minute,
            temperature: reader
                .demanded(temperature, reader.number(temperature))
                .value,
        };
        if let Some(reading) = reader.finish(&mut logged.left_out, reading)
            && let Some(run) = run
        {
            let (_, readings) = by_run.entry(run).or_insert((place, Vec::new()));
            readings.push(reading);
        }
    }
    for (run, (place, mut readings)) in by_run {
        let mut pairs = readings.windows(2);
        let back = pairs.find(|pair| pair[1].minute <= pair[0].minute);
        let goes_back = back.map(|pair| Place::new(&table.file, pair[1].line));
        readings.sort_by(|a, b| a.minute.total_cmp(&b.minute));
        // Two curves of one run would have to be joined, and nobody said how their clocks go together.
        if let Some(known) = logged.heating.iter().find(|curve| curve.run == run) {
            let first = &known.place.file;
            let message = format!("readings of run `{run}` in {place} and in `{first}` too");
            let hint = "each run has its readings in one file";
            let fault = place.fault(ErrorKind::DuplicatedRun, message, hint);
            let cause = Cause::Things("run with readings in another file too".into());
            let fault = fault.alike(cause, Some(run));
            logged.left_out.push(LeftOut::new(Some(run), fault));
            continue;
        }
        let temperatures = readings.iter().map(|of| of.temperature);
        logged.heating.push(HeatingCurve {
            place,
            run: run.into(),
            heating: heating(&readings, campaign.soak_above),
            lowest: temperatures.fold(f64::INFINITY, f64::min),
            goes_back,
        });
    }
}

fn minute(reader: &RowReader, time: Column) -> Option<f64> {
    let (head, text) = reader.cell(time)?;
    let written = &reader.table.written;
    match dates::minute(text, written.orders[time.position?]) {
        Some(Ok(minute)) => return Some(minute),
        Some(Err(no_date)) => {
            return reader.refuse(time, ErrorKind::NotANumber, no_date.what, &no_date.hint);
        }
        None => {}
    }
    match number::plain(text, written.marks) {
        Ok(value) => Some(head.unit.or_else(|| Unit::named("s"))?.to_base(value)),
        Err(_) => {
            let hint = "write seconds, minutes with the unit in the heading (`time / min`), or `2025-10-03T14:30`";
            reader.refuse(time, ErrorKind::NotANumber, "is no time", hint)
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
    let soaked = |above| {
        let pairs = readings.windows(2);
        pairs.map(|pair| time_above(pair[0], pair[1], above)).sum()
    };
    Heating {
        peak_temperature: peak.temperature,
        soak_time: above.map(soaked),
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
            line: 0,
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
