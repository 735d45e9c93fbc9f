//! Crops one by one, and what a kilogram takes, as data.
//!
//! In: crops, consumption. Out: what stands under `crops` and `consumption`.
//! This module never rounds.

use serde_json::{Value, json};

use crate::decide::{Crops, Impurities, PerKilogram, SoldAs};
use crate::result::Measured;

/// Crops one by one, and what is sold of them in each way; null where no crop has a purity.
pub fn crops(crops: Option<&Crops>) -> Value {
    let Some(crops) = crops else {
        return Value::Null;
    };
    let each = crops.each.iter().map(|of| {
        json!({
            "route": of.route,
            "crop": of.crop,
            "runs": of.runs,
            "mass": Measured::from(&of.mass),
            "purity": Measured::from(&of.purity),
            "met": of.met,
        })
    });
    let ways = crops.ways.iter().map(|way| {
        json!({
            "sold": sold(way.sold),
            "on_spec": Measured::from(&way.on_spec),
            "off_spec": Measured::from(&way.off_spec),
            "worth": way.worth.as_ref().map(Measured::from),
        })
    });
    let best = crops.best.map(|(way, gained)| {
        let ends = [-1.0, 1.0].map(|side| gained.value + side * gained.expanded);
        json!({ "sold": sold(way), "gained": gained.value, "interval": ends })
    });
    json!({
        "spec": crops.spec,
        "chance": crops.chance,
        "each": each.collect::<Value>(),
        "runs": crops.runs,
        "ways": ways.collect::<Value>(),
        "best": best,
        "currency": crops.currency,
    })
}

/// Impurities of the product by route, all runs first; null where none is followed.
pub fn impurities(found: Option<&Impurities>) -> Value {
    let Some(found) = found else {
        return Value::Null;
    };
    let of = found.of.iter().map(|of| {
        json!({
            "route": of.route,
            "told": of.told,
            "kept": of.kept,
            "share": of.share.map(|share| share[0]),
            "interval": of.share.map(|[_, low, high]| [low, high]),
            "binding": of.binding,
            "each": of.each.iter().map(|one| json!({
                "impurity": one.name,
                "limit": one.limit,
                "runs": one.runs,
                "middle": one.middle,
                "most": one.most,
                "above": one.above,
            })).collect::<Value>(),
        })
    });
    of.collect()
}

fn sold(way: SoldAs) -> &'static str {
    match way {
        SoldAs::Together => "together",
        SoldAs::CropByCrop => "crop by crop",
        SoldAs::Blended => "blended",
    }
}

/// Water, energy and waste of a kilogram of contained product.
pub(super) fn consumption(all: &[PerKilogram]) -> Value {
    let each = all.iter().map(|of| {
        let ends = |half: f64| [of.value - half, of.value + half];
        json!({
            "name": of.name,
            "unit": of.unit,
            "per_kilogram": of.value,
            "u": of.spread.map(|[standard, _]| standard),
            "interval": of.spread.map(|[_, half]| ends(half)),
            "runs": of.runs,
        })
    });
    each.collect()
}
