//! The picture of question 6: which settings are good, not only which are best.
//!
//! In: the best settings with their map or line. Out: a [`Picture`].
//! This module never computes more than the unit that an axis shows.

use super::Picture;
use crate::charts::{
    ContourLine, CurveChart, CurvePoint, MapPoint, NamedPoint, ReferenceLine, Region, RegionChart,
    RegionHatching, ScatterPoint,
};
use crate::decide::{AmountRange, BestSettings, LimitBy, SettingsLine, SettingsMap, amount_of};
use crate::error::Error;
use crate::regression::{Setting, Settings};
use crate::report::print::aim_words::{self, demand, difference};
use crate::report::print::escape::raw;
use crate::report::print::numbers::plain;

/// The map over two amounts, or the line over one; None where nothing is an amount.
pub(super) fn settings_picture(best: &BestSettings) -> Result<Option<Picture>, Error> {
    match (&best.map, &best.line) {
        (Some(map), _) => map_picture(best, map).map(Some),
        (None, Some(line)) => line_picture(best, line).map(Some),
        (None, None) => Ok(None),
    }
}

fn axis_label(range: &AmountRange) -> String {
    let unit = match range.unit.as_str() {
        "" => "1",
        unit if unit.contains('/') => return format!("{} / ({unit})", range.factor),
        unit => unit,
    };
    format!("{} / {unit}", range.factor)
}

/// The other settings, such as `heating muffle, route spirit`.
fn others(best: &BestSettings, shown: &[&AmountRange]) -> String {
    let parts: Vec<String> = best
        .at
        .iter()
        .filter(|chosen| !shown.iter().any(|range| range.factor == chosen.factor))
        .map(|chosen| match &chosen.value {
            Setting::Amount(value) => format!("{} {}", chosen.factor, plain(*value)),
            Setting::Level(level) => format!("{} {level}", chosen.factor),
        })
        .collect();
    parts.join(", ")
}

fn map_picture(best: &BestSettings, map: &SettingsMap) -> Result<Picture, Error> {
    let shown = aim_words::shown(&best.aim, raw);
    let unit = &shown.unit;
    let question = format!("Which settings are good for {}?", best.aim.of.name());
    let within = difference(map.good_within, &shown);
    let mut regions = vec![Region {
        name: format!("good: no more than {within} behind the best"),
        hatching: RegionHatching::Rising,
        cells: map.good.clone(),
    }];
    // Where both hold, the distance is named: nothing else counts there.
    let impure: Vec<bool> = map
        .impure
        .iter()
        .zip(&map.far)
        .map(|(impure, far)| *impure && !far)
        .collect();
    if impure.contains(&true) {
        regions.push(Region {
            name: "misses the specification too often".into(),
            hatching: RegionHatching::Falling,
            cells: impure,
        });
    }
    if map.far.contains(&true) {
        regions.push(Region {
            name: "too far from the runs made".into(),
            hatching: RegionHatching::Crossed,
            cells: map.far.clone(),
        });
    }
    let point = |settings: &Settings| {
        let x = amount_of(settings, &map.x.factor)?;
        let y = amount_of(settings, &map.y.factor)?;
        Some(MapPoint { x, y })
    };
    let within_map = |at: &MapPoint| {
        let inside = |value: f64, range: &AmountRange| value >= range.low && value <= range.high;
        inside(at.x, &map.x) && inside(at.y, &map.y)
    };
    let named = |name: String, settings: &Settings| {
        let at = point(settings)?;
        Some(NamedPoint {
            name,
            x: at.x,
            y: at.y,
        })
    };
    let present = best.present.as_ref();
    let marks = [
        named("best".into(), &best.settings),
        present.and_then(|present| named(present.run.clone(), &present.settings)),
    ];
    let held = others(best, &[&map.x, &map.y]);
    let held = if held.is_empty() {
        String::new()
    } else {
        format!(" with {held}")
    };
    let chart = RegionChart {
        question: question.clone(),
        x_label: axis_label(&map.x),
        y_label: axis_label(&map.y),
        x: map.columns.clone(),
        y: map.rows.clone(),
        regions,
        contours: map
            .contours
            .iter()
            .map(|contour| ContourLine {
                label: format!("{} {unit}", plain(shown.value(contour.height))),
                points: contour
                    .places
                    .iter()
                    .map(|[x, y]| MapPoint { x: *x, y: *y })
                    .collect(),
            })
            .collect(),
        contour_name: format!("expected {}", best.aim.of.name()),
        line: None,
        quiet_points: best
            .made
            .iter()
            .filter_map(point)
            .filter(within_map)
            .collect(),
        quiet_name: "runs made, at any other settings".into(),
        marks: marks.into_iter().flatten().collect(),
        note: String::new(),
    };
    let purity = demand(&best.aim)
        .filter(|_| best.reaches.is_some())
        .map_or_else(String::new, |demand| format!(" and give {demand}"));
    Ok(Picture {
        name: "settings".into(),
        file: "settings.svg".into(),
        question,
        caption: format!(
            "Expected {}{held} over the two amounts that matter most, within their {}. Hatched with rising lines: settings that are no more than {within} behind the best{purity}. The best of many estimates is somewhat too good: take the region, not the point.",
            best.aim.of.name(),
            limits(&[&map.x, &map.y])
        ),
        svg: chart.svg()?,
    })
}

fn limits(ranges: &[&AmountRange]) -> &'static str {
    let declared = ranges
        .iter()
        .all(|range| range.low_by == LimitBy::Declared && range.high_by == LimitBy::Declared);
    if declared {
        "declared limits"
    } else {
        "limits, which are those of the runs made where none are declared"
    }
}

fn line_picture(best: &BestSettings, line: &SettingsLine) -> Result<Picture, Error> {
    let shown = aim_words::shown(&best.aim, raw);
    let question = format!("Which settings are good for {}?", best.aim.of.name());
    let curve = line
        .points
        .iter()
        .map(|point| {
            let value = shown.value(point.mean.value);
            let ends = point.mean.interval;
            CurvePoint {
                x: point.x,
                middle: value,
                low: ends.map_or(value, |ends| shown.value(ends.low)),
                high: ends.map_or(value, |ends| shown.value(ends.high)),
            }
        })
        .collect();
    let at = amount_of(&best.settings, &line.x.factor);
    let chosen = at.map(|x| ScatterPoint {
        x,
        y: shown.value(best.mean.value),
        x_bar: None,
        y_bar: None,
        name: Some("best".into()),
    });
    let chart = CurveChart {
        question: question.clone(),
        x_label: axis_label(&line.x),
        y_label: format!("{} / {}", best.aim.of.name(), shown.unit),
        curve,
        points: chosen.into_iter().collect(),
        band: "expected mean with the band of its interval".into(),
        vertical: best
            .present
            .iter()
            .filter_map(|present| {
                Some(ReferenceLine {
                    value: amount_of(&present.settings, &line.x.factor)?,
                    label: format!("run {}", present.run),
                })
            })
            .collect(),
    };
    let held = others(best, &[&line.x]);
    let held = if held.is_empty() {
        String::new()
    } else {
        format!(" with {held}")
    };
    Ok(Picture {
        name: "settings".into(),
        file: "settings.svg".into(),
        question,
        caption: format!(
            "Expected {}{held} over {}, within its {}; the band is the interval of the mean at each place. The best of many estimates is somewhat too good.",
            best.aim.of.name(),
            line.x.factor,
            limits(&[&line.x])
        ),
        svg: chart.svg()?,
    })
}
