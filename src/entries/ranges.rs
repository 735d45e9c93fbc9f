//! Readings beyond what such a reading can be.
//!
//! In: temperatures, moistures, strengths of liquors, readings of furnaces, declared ranges of factors. Out: slips.
//! This module never compares a reading with another.

use super::rules::{FURNACE, KELVIN, LIQUOR, SATURATED, WETTEST};
use crate::campaign::{Campaign, FactorKind};
use crate::caveat::{Against, Likely, Slip, SlipOf, Weight};
use crate::chemistry::AtomicWeights;
use crate::crystallisation::Curve;
use crate::distributions::middle;
use crate::error::Place;
use crate::intake::{Logged, LotRow};
use crate::measured::Sources;
use crate::runs::product_per_stated;
use crate::units::{Dimension, Unit};

/// How many times its width a value may lie beyond a declared range before it is more than odd.
const WIDTHS: f64 = 2.0;

/// Labour of one run that no day holds \[min\].
const LONGEST_DAY: f64 = 1440.0;

/// How many times as high another price of feed may be.
const DEARER: f64 = 20.0;

/// Slips in readings beyond their range.
pub(super) fn of_ranges(campaign: &Campaign, logged: &Logged) -> Vec<Slip> {
    let mut found = Vec::new();
    for row in &logged.crops {
        let temperature = row.temperature.map(|number| number.value);
        let odd = temperature.and_then(|value| temperature_slip(&row.place, value, LIQUOR));
        found.extend(odd.map(|odd| odd.of_run(&row.run)));
        let moisture = row.moist().filter(|moisture| moisture.value >= WETTEST);
        found.extend(moisture.map(|moisture| {
            let against = range([0.0, WETTEST], "1");
            slip(&row.place, "moisture", moisture.value, against).of_run(&row.run)
        }));
    }
    for curve in &logged.heating {
        for value in [curve.lowest, curve.heating.peak_temperature] {
            let odd = temperature_slip(&curve.place, value, FURNACE);
            found.extend(odd.map(|odd| odd.of_run(&curve.run)));
        }
        found.extend(curve.goes_back.as_ref().map(|place| {
            let odd = Slip::new(place, "time", "", Against::TimeGoesBack);
            odd.of_run(&curve.run)
        }));
    }
    let rows = logged.runs.rows.iter();
    found.extend(rows.filter_map(|row| {
        let labour = row.labour?.value;
        let likely = Some(Likely::number(SlipOf::Hours, labour / 60.0, "min"));
        let against = range([0.0, LONGEST_DAY], "min");
        let odd = Slip::new(&row.place, "labour", labour, against).likely(likely);
        (labour > LONGEST_DAY).then(|| odd.of_run(&row.run))
    }));
    found.extend(prices(campaign, logged));
    found.extend(liquors(campaign, logged));
    found.extend(declared(campaign, logged));
    found
}

fn range([low, high]: [f64; 2], unit: &'static str) -> Against {
    Against::Range { low, high, unit }
}

fn slip(place: &Place, column: &str, value: f64, against: Against) -> Slip {
    Slip::new(place, column, value, against).trusted(Weight::Unlikely)
}

fn temperature_slip(place: &Place, value: f64, [low, high]: [f64; 2]) -> Option<Slip> {
    let inside = |value: f64| (low..=high).contains(&value);
    let corrected = [
        (SlipOf::Kelvin, value - KELVIN),
        (SlipOf::Kelvin, value + KELVIN),
        (SlipOf::DecimalPoint, value / 10.0),
    ];
    let likely = corrected.into_iter().find(|(_, value)| inside(*value));
    let likely = likely.map(|(how, value)| Likely::number(how, value, "degC"));
    let against = range([low, high], "degC");
    (!inside(value)).then(|| slip(place, "temperature", value, against).likely(likely))
}

/// Prices of lots far from those of the others and of the campaign file.
fn prices(campaign: &Campaign, logged: &Logged) -> Vec<Slip> {
    let own = |lot: &LotRow| lot.price.as_ref()?.read.as_ref().ok().copied();
    let of_file = campaign.prices.as_ref().and_then(|prices| prices.feed);
    let lots = logged.lots.iter();
    let lots = lots.filter_map(|lot| Some((lot, own(lot)?.value)));
    let lots: Vec<(&LotRow, f64)> = lots.filter(|(_, price)| *price > 0.0).collect();
    let mut found = Vec::new();
    for (lot, price) in &lots {
        let others = lots.iter().filter(|(other, _)| other.lot != lot.lot);
        let others = others.map(|(_, price)| *price);
        let others = others.chain(of_file.map(|price| price.value));
        let Some(usual) = middle(others.collect()) else {
            continue;
        };
        let times = usual / price;
        if !(1.0 / DEARER..=DEARER).contains(&times) {
            let is_thousand = times.max(1.0 / times) > 300.0;
            let likely = is_thousand.then(|| Likely::named(SlipOf::Kilograms, None));
            let text = lot.price.as_ref().map(|price| price.text.as_str());
            let (text, against) = (text.unwrap_or_default(), Against::Price { times });
            found.push(Slip::new(&lot.place, "price", text, against).likely(likely));
        }
    }
    found
}

/// Liquors far stronger than a saturated one can be at any temperature of the table.
fn liquors(campaign: &Campaign, logged: &Logged) -> Vec<Slip> {
    let Some(chemistry) = &campaign.chemistry else {
        return Vec::new();
    };
    let weights = AtomicWeights::new(&mut Sources::default());
    let curve = Curve::of(&chemistry.product, campaign.solubility.as_ref(), &weights);
    let strongest = curve.ok().and_then(|curve| {
        let strengths = (0..=100).filter_map(|temperature| {
            let saturated = curve.saturated(f64::from(temperature)).ok()?;
            Some(saturated.product_per_litre)
        });
        strengths.reduce(f64::max)
    });
    let Some(strongest) = strongest else {
        return Vec::new();
    };
    // In what the strengths are stated as.
    let strongest = strongest / product_per_stated(campaign, logged, &weights).value();
    let rows = logged.runs.rows.iter();
    rows.filter_map(|row| {
        let strength = row.liquor_conc?.value;
        let against = range([0.0, strongest], "g/L");
        let slip = slip(&row.place, "liquor_conc", strength, against);
        (strength > SATURATED * strongest).then(|| slip.of_run(&row.run))
    })
    .collect()
}

/// Values of factors beyond their declared range.
fn declared(campaign: &Campaign, logged: &Logged) -> Vec<Slip> {
    let mut found = Vec::new();
    for plan in &campaign.factors {
        let FactorKind::Amount {
            low, high, unit, ..
        } = &plan.kind
        else {
            continue;
        };
        let name = plan.column();
        let Some(column) = logged.runs.column(name) else {
            continue;
        };
        let width = low.zip(*high).map_or(0.0, |(low, high)| high - low);
        for (position, row) in logged.runs.rows.iter().enumerate() {
            let number = column.number(campaign, position, unit.as_deref());
            let Some(value) = number.ok().flatten() else {
                continue;
            };
            let below = low.map_or(0.0, |low| low - value);
            let above = high.map_or(0.0, |high| value - high);
            let beyond = below.max(above);
            // Rounding is no slip.
            if beyond <= 1e-9 * value.abs() {
                continue;
            }
            let within = |value: &f64| {
                low.is_none_or(|low| low <= *value) && high.is_none_or(|high| *value <= high)
            };
            let stated = unit.as_deref().or(column.unit.as_deref());
            let dimension = stated.and_then(Unit::named).map(|unit| unit.dimension);
            let both =
                |how: SlipOf, times| vec![(how.clone(), value * times), (how, value / times)];
            let mut meant = match dimension {
                Some(Dimension::Temperature) => vec![(SlipOf::Kelvin, value - KELVIN)],
                Some(Dimension::Fraction) => both(SlipOf::PerCent, 100.0),
                Some(Dimension::Time) => both(SlipOf::Hours, 60.0),
                _ => Vec::new(),
            };
            let decimal = |times: f64| (SlipOf::DecimalPoint, value / times);
            meant.extend([10.0, 0.1, 100.0, 0.01].map(decimal));
            let likely = meant.into_iter().find(|(_, value)| within(value));
            let likely = likely.map(|(how, value)| Likely::number(how, value, ""));
            let against = Against::DeclaredRange {
                low: *low,
                high: *high,
                unit: unit.clone().unwrap_or_default(),
            };
            let far = width > 0.0 && beyond > WIDTHS * width;
            let weight = if far { Weight::Unlikely } else { Weight::Odd };
            let slip = Slip::new(&row.place, name, value, against).of_run(&row.run);
            found.push(slip.trusted(weight).likely(likely));
        }
    }
    found
}
