//! Pictures of question 5: where residue pays, and what happens when it goes round.
//!
//! In: the answer about residue. Out: [`Picture`]s.
//! This module never computes more than the unit that an axis shows.

use super::parts::line;
use crate::charts::{
    BandLine, Bar, CurvePoint, Hatching, MapPoint, NamedPoint, Region, RegionChart, ScatterChart,
    ScatterPoint, ScatterSeries,
};
use crate::decide::{Cycles, Money, Recycling, RecyclingMap, RecyclingVerdict};
use crate::error::Error;
use crate::report::print::Picture;

/// The map over residue assay and product price, where there is one.
pub(super) fn where_it_pays(recycling: &Recycling) -> Result<Option<Picture>, Error> {
    let money = recycling.money.as_ref().ok();
    let map = money.and_then(|money| Some((money, money.map.as_ref()?)));
    map.map(|(money, map)| map_picture(money, map)).transpose()
}

fn map_picture(money: &Money, map: &RecyclingMap) -> Result<Picture, Error> {
    let region = |name: &str, hatching: Hatching, verdict: RecyclingVerdict| Region {
        name: name.into(),
        hatching,
        cells: map.verdicts.iter().map(|at| *at == verdict).collect(),
    };
    let percent = |fraction: f64| 100.0 * fraction;
    let no_gain = map.assays.iter().zip(&map.line);
    let no_gain = no_gain.filter_map(|(assay, price)| {
        Some(CurvePoint {
            x: percent(*assay),
            middle: (*price)?,
            low: (*price)?,
            high: (*price)?,
        })
    });
    let chart = RegionChart {
        question: "Over which residue assay and product price does residue pay?".into(),
        x_label: "assay of the residue / %".into(),
        y_label: format!("price of the product / ({}/kg)", money.currency),
        x: map.assays.iter().map(|assay| percent(*assay)).collect(),
        y: map.prices.clone(),
        regions: vec![
            region("pays", Hatching::Rising, RecyclingVerdict::Pays),
            region(
                "does not pay",
                Hatching::Falling,
                RecyclingVerdict::DoesNotPay,
            ),
        ],
        contours: Vec::new(),
        contour_name: String::new(),
        line: Some(BandLine {
            name: "no gain and no loss".into(),
            points: no_gain.collect(),
        }),
        quiet_points: Vec::new(),
        quiet_name: String::new(),
        marks: vec![NamedPoint {
            name: "this campaign".into(),
            at: MapPoint {
                x: percent(map.assay),
                y: map.price,
            },
        }],
        note: "not hatched: not settled".into(),
    };
    Ok(Picture {
        name: "where-residue-pays".into(),
        file: "where-residue-pays.svg".into(),
        caption: "Gain of a charged run over the assay of the residue and the price of the product, all else as in this campaign. Hatched where the interval of the gain leaves zero out: with rising lines it pays, with falling lines it does not. On the line the gain is zero; between the hatched parts this log cannot settle it.".into(),
        svg: chart.svg()?,
        question: chart.question,
    })
}

/// The gain from cycle to cycle.
pub(super) fn going_round(recycling: &Recycling) -> Result<Option<Picture>, Error> {
    let (Ok(cycles), Ok(money)) = (&recycling.cycles, &recycling.money) else {
        return Ok(None);
    };
    if cycles.goes_nowhere() {
        return Ok(None);
    }
    let chart = ScatterChart {
        question: "Does residue still pay when it goes round?".into(),
        x_label: "cycle".into(),
        y_label: format!("gain of the run / {}", money.currency),
        series: vec![ScatterSeries {
            name: format!("{} % thrown away each time", (100.0 * cycles.bleed).round()),
            points: points(cycles),
        }],
        horizontal: vec![line(0.0, "no gain")],
        note: String::new(),
    };
    Ok(Some(Picture {
        name: "residue-going-round".into(),
        file: "residue-going-round.svg".into(),
        caption: "Gain of each run against one without residue when the residue of the run before is charged, less what is thrown away; bars are intervals, how well the shares that stay on the filter are known not among them.".into(),
        svg: chart.svg()?,
        question: chart.question,
    }))
}

fn points(cycles: &Cycles) -> Vec<ScatterPoint> {
    let points = cycles.cycles.iter().filter_map(|cycle| {
        let gain = cycle.gain?;
        Some(ScatterPoint {
            x: f64::from(cycle.cycle),
            y: gain.value,
            x_bar: None,
            y_bar: Some(Bar {
                value: gain.value,
                low: gain.value - gain.half_width,
                high: gain.value + gain.half_width,
            }),
            name: None,
        })
    });
    points.collect()
}
