//! Picture of question 6: which settings are good, not only which are best.
//!
//! In: the best settings with their map or line. Out: a [`Picture`].
//! This module never computes more than the unit that an axis shows.

use super::parts::{self, along, estimate_bar};
use crate::campaign::Campaign;
use crate::charts::{
    ContourLine, CurveChart, CurvePoint, Hatching, MapPoint, NamedPoint, Region, RegionChart,
    ScatterPoint,
};
use crate::decide::{AmountRange, BestSettings, LimitBy, SettingsLine, SettingsMap};
use crate::error::Error;
use crate::regression::{Setting, Settings};
use crate::report::print::Picture;
use crate::report::print::aim_names::{self, demand, difference};
use crate::report::print::numbers::plain;

/// The map over two amounts, or the line over one; None where nothing is an amount.
pub(super) fn settings_picture(
    campaign: &Campaign,
    best: &BestSettings,
) -> Result<Option<Picture>, Error> {
    match (&best.map, &best.line) {
        (Some(map), _) => map_picture(campaign, best, map).map(Some),
        (None, Some(line)) => line_picture(campaign, best, line).map(Some),
        (None, None) => Ok(None),
    }
}

fn axis_label(campaign: &Campaign, range: &AmountRange) -> String {
    along(&campaign.called(&range.factor), &range.unit)
}

/// The other settings, such as ` with heating muffle, route spirit`.
fn others(campaign: &Campaign, best: &BestSettings, shown: &[&AmountRange]) -> String {
    let is_shown = |factor: &str| shown.iter().any(|range| range.factor == factor);
    let others = best.at.iter().filter(|chosen| !is_shown(&chosen.factor));
    let parts: Vec<String> = others
        .map(|chosen| match &chosen.value {
            Setting::Amount(value) => {
                format!("{} {}", campaign.called(&chosen.factor), plain(*value))
            }
            Setting::Level(level) => format!("{} {level}", campaign.called(&chosen.factor)),
        })
        .collect();
    if parts.is_empty() {
        return String::new();
    }
    format!(" with {}", parts.join(", "))
}

fn map_picture(
    campaign: &Campaign,
    best: &BestSettings,
    map: &SettingsMap,
) -> Result<Picture, Error> {
    let shown = aim_names::shown(&best.aim);
    let unit = &shown.unit;
    let response = best.aim.of.name();
    let within = difference(map.good_within, &shown);
    let mut regions = vec![Region {
        name: format!("good: no more than {within} behind the best"),
        hatching: Hatching::Plain,
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
            hatching: Hatching::Falling,
            cells: impure,
        });
    }
    if map.far.contains(&true) {
        regions.push(Region {
            name: "too far from the runs made".into(),
            hatching: Hatching::Crossed,
            cells: map.far.clone(),
        });
    }
    let point = |settings: &Settings| {
        let x = settings.amount_of(&map.x.factor)?;
        let y = settings.amount_of(&map.y.factor)?;
        Some(MapPoint { x, y })
    };
    let within_map = |at: &MapPoint| {
        let inside = |value: f64, range: &AmountRange| value >= range.low && value <= range.high;
        inside(at.x, &map.x) && inside(at.y, &map.y)
    };
    let named = |name: &str, settings: &Settings| {
        let (name, at) = (name.into(), point(settings)?);
        Some(NamedPoint { name, at })
    };
    let present = best.present.as_ref();
    let marks = [
        named("best", &best.settings),
        present.and_then(|present| named(&present.run, &present.settings)),
    ];
    let contours = map.contours.iter().map(|contour| {
        let points = contour
            .places
            .iter()
            .map(|[x, y]| MapPoint { x: *x, y: *y });
        ContourLine {
            label: format!("{} {unit}", plain(shown.value(contour.height))),
            points: points.collect(),
        }
    });
    let held = others(campaign, best, &[&map.x, &map.y]);
    let chart = RegionChart {
        question: format!("Which settings are good for {response}?"),
        x_label: axis_label(campaign, &map.x),
        y_label: axis_label(campaign, &map.y),
        x: map.columns.clone(),
        y: map.rows.clone(),
        regions,
        contours: contours.collect(),
        contour_name: format!("expected {response}"),
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
        svg: chart.svg()?,
        question: chart.question,
        caption: format!(
            "Expected {response}{held} over the two amounts that matter most, within their {}. Tinted: settings that are no more than {within} behind the best{purity}. The best of many estimates is somewhat too good: take the region, not the point.",
            limits(&[&map.x, &map.y])
        ),
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

fn line_picture(
    campaign: &Campaign,
    best: &BestSettings,
    line: &SettingsLine,
) -> Result<Picture, Error> {
    let shown = aim_names::shown(&best.aim);
    let response = best.aim.of.name();
    let curve = line.points.iter().map(|point| {
        let bar = estimate_bar(&point.mean, &shown);
        CurvePoint {
            x: point.x,
            middle: bar.value,
            low: bar.low,
            high: bar.high,
        }
    });
    let at = best.settings.amount_of(&line.x.factor);
    let chosen = at.map(|x| ScatterPoint {
        x,
        y: shown.value(best.mean.value),
        x_bar: None,
        y_bar: None,
        name: Some("best".into()),
    });
    let present = best.present.as_ref().and_then(|present| {
        let at = present.settings.amount_of(&line.x.factor)?;
        Some(parts::line(at, format!("run {}", present.run)))
    });
    let chart = CurveChart {
        question: format!("Which settings are good for {response}?"),
        x_label: axis_label(campaign, &line.x),
        y_label: format!("{response} / {}", shown.unit),
        curve: curve.collect(),
        points: chosen.into_iter().collect(),
        band: "expected mean with the band of its interval".into(),
        vertical: present.into_iter().collect(),
    };
    let held = others(campaign, best, &[&line.x]);
    Ok(Picture {
        name: "settings".into(),
        file: "settings.svg".into(),
        svg: chart.svg()?,
        question: chart.question,
        caption: format!(
            "Expected {response}{held} over {}, within its {}; the band is the interval of the mean at each place. The best of many estimates is somewhat too good.",
            line.x.factor,
            limits(&[&line.x])
        ),
    })
}
