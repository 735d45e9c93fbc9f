//! Crops one by one in words and tables: what each gives, and how they are best sold.
//!
//! In: crops. Out: sentences, the tables behind answer 9.
//! This module never adds up a mass or a worth.

use crate::campaign::Sold;
use crate::decide::{Crops, SoldAs, Way};
use crate::pipeline::Analysis;
use crate::report::print::numbers::plus_minus_to;
use crate::report::print::{
    Cell, Columns, Page, Screen, Table, Width, and_list, capital, count, fixed, percent, plain,
    with_unit,
};

/// Decimals of money, and what is less than the last of them.
const CENTS: usize = 2;
const NO_CENT: f64 = 0.005;

/// Money with its ±, which a figure that is known to the cent goes without.
fn to_the_cent(value: f64, half: f64) -> String {
    match half < NO_CENT {
        true => fixed(value, CENTS),
        false => plus_minus_to(value, half, CENTS),
    }
}

/// Writes what each crop gives, and what is sold in each way.
pub fn write(page: &mut Page, analysis: &Analysis) {
    let Some(crops) = &analysis.findings.crops else {
        return;
    };
    if crops.each.iter().any(|of| of.crop > 1) {
        page.answer(&each(crops));
    }
    if crops.ways.is_empty() {
        return;
    }
    page.answer(&ways(crops));
    let blend = match crops.ways.iter().any(|way| way.sold == SoldAs::Blended) {
        true => {
            "The blend takes the purest crops first and so much of the others as it carries; the errors that titrations share are counted in it and not averaged down."
        }
        false => "No mixture of these crops, however small, meets the specification so surely.",
    };
    page.paragraph(&format!(
        "All crops of {} as weighed, as if none were sold yet and each were dry and kept apart; only the purity by titration is looked at. Only what meets {} % with a chance of at least {}, by its titrations, counts as sold to specification. {blend}",
        count(crops.runs, "run"),
        plain(100.0 * crops.spec.unwrap_or_default()),
        percent(crops.chance, 0)
    ));
}

/// Each crop of each route.
pub fn each(crops: &Crops) -> Table {
    let mut rows = Columns::of(&crops.each);
    rows.words("route", |of| of.route.clone().unwrap_or_default())
        .key("route")
        .when(crops.each.iter().any(|of| of.route.is_some()));
    rows.figures("crop", |of| of.crop as usize).key("crop");
    rows.figures("runs", |of| of.runs).key("runs");
    rows.figures("together / kg", |of| {
        Cell::fixed(of.mass.value(), 2).times(0.001)
    })
    .key("kilograms");
    rows.figures("purity / %", |of| {
        Cell::with_error(of.purity.value(), of.expanded).times(100.0)
    })
    .key("purity");
    rows.data("u_purity", |of| of.purity.uncertainty());
    rows.figures("runs in which it met the specification", |of| {
        of.met.map(|met| format!("{met} of {}", of.runs))
    })
    .when(crops.spec.is_some());
    rows.data("met", |of| of.met);
    rows.answer("What does each crop give?")
}

/// What is sold in each way.
pub fn ways(crops: &Crops) -> Table {
    let kilograms = |of: f64| Cell::fixed(of, 2).times(0.001);
    let mut rows = Columns::of(&crops.ways);
    rows.words("sold with", |way| sold_as(way.sold)).key("sold");
    rows.figures("to specification / kg", |way| {
        kilograms(way.on_spec.value())
    })
    .key("on_spec");
    rows.figures("off specification / kg", |way| {
        kilograms(way.off_spec.value())
    })
    .key("off_spec");
    rows.figures(with_unit("worth", &crops.currency), |way: &Way| {
        let (worth, half) = (way.worth.as_ref()?.value(), way.expanded?);
        Some(Cell::text(to_the_cent(worth, half)))
    })
    .key("worth")
    .when(crops.ways.iter().any(|way| way.worth.is_some()));
    rows.answer("Sold together, crop by crop, or blended?")
}

fn sold_as(sold: SoldAs) -> &'static str {
    match sold {
        SoldAs::Together => "the crops of a run together",
        SoldAs::CropByCrop => "each crop by itself",
        SoldAs::Blended => "all crops in one blend",
    }
}

/// The best way, or why none is named.
pub fn best(crops: &Crops) -> String {
    let stated = sold_as(match crops.stated {
        Sold::Together => SoldAs::Together,
        Sold::CropByCrop => SoldAs::CropByCrop,
    });
    match (&crops.best, crops.currency.is_empty()) {
        (Some((sold, gained)), _) => format!(
            "sold with {} they are worth {} {} more than with {stated}.",
            sold_as(*sold),
            to_the_cent(gained.value, gained.expanded),
            crops.currency
        ),
        (None, false) => format!("no other way is worth more than with {stated}, beyond its ±."),
        (None, true) => "no way is called the best as long as product off specification is sold like all other, or product has no price: `[recycling] off_spec` and `[prices] product` say what both are worth.".into(),
    }
}

/// How much is sold to specification in each way, in a sentence; nothing where nothing is compared.
pub fn in_short(crops: &Crops) -> String {
    let whole = crops
        .ways
        .first()
        .map(|way| way.on_spec.value() + way.off_spec.value());
    let Some(whole) = whole else {
        return String::new();
    };
    let kilograms = |grams: f64| fixed(0.001 * grams, 1);
    let each = crops.ways.iter().map(|way| {
        let kept = kilograms(way.on_spec.value());
        format!("{kept} kg with {}", sold_as(way.sold))
    });
    format!(
        "Of {} kg in crops, as weighed, these meet the specification surely enough to be sold so: {}. {}",
        kilograms(whole),
        and_list(each),
        capital(&best(crops))
    )
}

/// The same for a terminal or a pipe; nothing where nothing is compared.
pub fn terminal(crops: &Crops, width: Width) -> String {
    if crops.ways.is_empty() {
        return String::new();
    }
    let mut screen = Screen::new(width);
    screen.gap();
    screen.table(&each(crops));
    screen.gap();
    screen.table(&ways(crops));
    screen.line(&capital(&best(crops)));
    screen.finish()
}
