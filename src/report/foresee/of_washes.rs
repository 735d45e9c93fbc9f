//! A wash in portions, in words.
//!
//! In: the wash. Out: sentences and a table.
//! This module never says that what stays is product: that depends on what is washed.

use super::{Of, Told};
use crate::foresee::{Strength, Wash};
use crate::report::print::{Cell, Columns, count, percent, plain};

pub(super) fn told(wash: &Wash, of: &Of) -> Told {
    let asked = &wash.asked;
    let (portion, holds) = (plain(asked.portion), plain(asked.holds));
    let volume = plain(f64::from(asked.portions) * asked.portion);
    let heading = format!(
        "A wash in {} x {portion} mL, by a solid that holds back {holds} mL",
        asked.portions
    );
    let decimals = if wash.left < 0.01 { 3 } else { 1 };
    let mut lines = vec![format!(
        "{} of what the liquor held back had dissolved stays on the filter, product of a leached residue or dirt of a crop; one wash of {volume} mL leaves {}.",
        percent(wash.left, decimals),
        percent(wash.left_in_one, decimals)
    )];
    let product = of.product();
    if let Some(dissolved) = &wash.dissolves {
        lines.push(format!(
            "Where crystals of {product} are washed, the wash dissolves {} g of them, an upper bound: each portion would have to become saturated.",
            of.figure(dissolved.mass)
        ));
    }
    lines.extend(wash.logged.map(|logged| {
        let (most, lost) = (logged.of_theory, logged.unaccounted);
        format!(
            "The washes of {} (in the middle {} mL) can have dissolved at most {} of theory; {} is accounted for nowhere there, so that they {}.",
            count(logged.runs, "run"),
            plain(logged.volume),
            percent(most, 1),
            percent(lost, 1),
            match most < lost {
                true => format!("explain at most {} of it", percent(most / lost, 0)),
                false => "could explain all of it".to_string(),
            }
        )
    }));
    let tables = wash.held.map(|held| {
        let ways = [
            (format!("{} x {portion} mL", asked.portions), held.left),
            (format!("1 x {volume} mL"), held.left_in_one),
        ];
        let mut rows = Columns::of(&ways);
        rows.words("wash", |(way, _)| way);
        rows.figures(format!("{product} left on the filter / g"), |(_, left)| {
            Cell::plain(*left)
        });
        rows.figures(format!("{product} washed out / g"), |(_, left)| {
            Cell::plain(held.mass.value - left)
        });
        rows.answer("What of the product stays on the filter?")
    });
    let mut rests_on = vec![
        "stated in the call: portions, and what the solid holds back; no source, common practice: each portion mixes with the liquor held back, and as much is held back again".to_string(),
    ];
    rests_on.extend(asked.strength.map(|strength| match strength {
        Strength::Grams(_) => "stated in the call: the strength of the liquor held back".into(),
        Strength::SaturatedAt(at) => format!(
            "from tables: the strength of the liquor held back, saturated at {} degC",
            plain(at)
        ),
    }));
    rests_on.extend(wash.dissolves.as_ref().map(|dissolved| {
        let at = plain(asked.wash_at.unwrap_or_default());
        format!(
            "from tables: the solubility at {at} degC; {}",
            dissolved.source
        )
    }));
    let mut doubts = vec![
        "a cake that cracks or packs lets portions run past, and more stays; a portion that pushes the liquor out before it mixes leaves less".to_string(),
        "what crystals enclose, and what has not dissolved yet, no wash takes out".to_string(),
    ];
    if wash.dissolves.is_some() {
        doubts.push("a quick cold wash is far from saturated, and one with liquor, acid or alcohol in it dissolves less".into());
    }
    Told {
        heading,
        barred: Vec::new(),
        lines,
        tables: tables.into_iter().collect(),
        rests_on,
        doubts,
        tests: vec![
            "collect each portion by itself and titrate it: each should hold the same part of the one before".into(),
            "weigh the cake wet and dry: the difference is what it holds back".into(),
        ],
    }
}
