//! The tables of question 5.
//!
//! In: the answer about residue. Out: one [`Table`] a question, for report, terminal, CSV and JSON.
//! This module never computes a gain.

use super::words::{exact_chances, scale_and_unit, shown_break_even, signed_cell};
use crate::decide::{Amount, Influence, Money, Recycling};
use crate::report::print::money_words::{figure, figure_key, never, shown_scale, verdict};
use crate::report::print::{Cell, Column, Shown, Table, raw};
use crate::report::reasons::{refusal, untold};

/// What the gain of a charged run is made of.
pub fn counted(money: &Money) -> Table {
    let columns = vec![
        Column::words("what is counted"),
        Column::figures(format!("{} a run", money.currency)),
    ];
    let terms = &money.terms;
    let terms = [
        ("worth of the extra product", terms.product),
        ("fresh feed saved", terms.feed),
        ("extra oxidant", terms.oxidant),
        ("further reagents", terms.reagents),
        ("handling of the residue", terms.handling),
        (
            "disposal saved, less that of the extra residue left",
            terms.disposal,
        ),
    ];
    let rows = terms.into_iter().filter(|(_, value)| *value != 0.0);
    let gain = [
        Cell::text("gain of a charged run"),
        signed_cell(&money.gain),
    ];
    Table::new("What is counted?", columns)
        .with(rows.map(|(name, value)| vec![Cell::text(name), amount_of_money(value)]))
        .with([gain.into()])
}

/// Where the verdict flips along each figure.
pub fn break_even(recycling: &Recycling) -> Table {
    let columns = vec![
        Column::words("figure"),
        Column::data("figure"),
        Column::figures("now").key("now"),
        Column::figures("flips at (may be between)"),
        Column::data("flips_at"),
        Column::data("low"),
        Column::data("high"),
        Column::data("reason"),
    ];
    let money = recycling.money.iter();
    let each = money.flat_map(|money| money.break_even.iter().map(move |at| (money, at)));
    let rows = each.map(|(money, at)| {
        let kept = shown_scale(at.figure, recycling.reference.content_per_assay);
        let (shown, unit) = scale_and_unit(recycling, money, at.figure, raw);
        let flips = match at.at {
            Ok(_) => shown_break_even(recycling, money, at, raw),
            Err(why) => never(why).to_string(),
        };
        let kept_if = |value: Option<f64>| Cell::plain_if(value.map(|value| value * kept));
        vec![
            Cell::text(figure(at.figure)),
            Cell::text(figure_key(at.figure)),
            Cell::plain(at.now * kept)
                .times(shown / kept)
                .in_unit(&unit),
            Cell::text(flips),
            kept_if(at.at.ok()),
            kept_if(at.low),
            kept_if(at.high),
            Cell::named(at.at.err().map(never)),
        ]
    });
    Table::new("Where does the verdict flip?", columns).with(rows)
}

/// Which figures move the gain, and by how much.
pub fn ranking(money: &Money) -> Table {
    let currency = &money.currency;
    let columns = vec![
        Column::words("figure"),
        Column::figures(format!(
            "{currency} a run for one standard uncertainty of it"
        )),
        Column::figures(format!("{currency} a run if it were a tenth larger")),
    ];
    let moved = |influence: &Influence| {
        let own = match influence.uncertainty > 0.0 {
            true => amount_of_money(influence.by_uncertainty),
            false => Cell::text("taken as exact"),
        };
        vec![
            Cell::text(figure(influence.figure)),
            own,
            amount_of_money(influence.by_tenth),
        ]
    };
    Table::new("What moves the gain most?", columns).with(money.ranking.iter().map(moved))
}

/// Money with a sign and three decimals.
fn amount_of_money(value: f64) -> Cell {
    Cell::fixed(value, 3).signed()
}

/// Whether it pays with each level.
pub fn by_level(recycling: &Recycling) -> Table {
    let product = match recycling.money.as_ref().is_ok_and(exact_chances) {
        true => "extra product on specification",
        false => "extra product",
    };
    let columns = vec![
        Column::words("with"),
        Column::figures(product).unit("g"),
        Column::figures("gain of a charged run").unit(currency(recycling)),
        Column::words("verdict"),
    ];
    let rows = recycling.by_level.iter().map(|at| {
        let extra = match &at.extra_product {
            Ok(extra) => with_half_width(extra),
            Err(reason) => Cell::because(untold(reason)),
        };
        let found = at.verdict.map(verdict);
        vec![
            Cell::text(format!("{}: {}", at.factor, at.level)),
            extra,
            at.gain.as_ref().map_or_else(Cell::missing, signed_cell),
            found.map_or_else(Cell::missing, Cell::text),
        ]
    });
    Table::new("Does it pay with each of them?", columns).with(rows)
}

fn with_half_width(amount: &Amount) -> Cell {
    Cell::with_error(amount.value, (amount.high - amount.low) / 2.0)
}

/// The unit of a gain; none without prices.
fn currency(recycling: &Recycling) -> &str {
    let money = recycling.money.as_ref();
    money.map_or("", |money| &money.currency)
}

/// What charging residue does to the other responses.
pub fn responses(recycling: &Recycling) -> Table {
    let columns = vec![
        Column::words("response"),
        Column::figures("change of a charged run against one without residue"),
    ];
    let rows = recycling.responses.iter().map(|response| {
        let change = match &response.change {
            Ok(change) => Shown::raw(&response.unit).change_cell(change),
            Err(reason) => Cell::because(refusal(reason)),
        };
        vec![Cell::text(&response.response), change]
    });
    Table::new("What else does it change?", columns).with(rows)
}

/// What happens run after run.
pub fn cycles(recycling: &Recycling) -> Table {
    let columns = vec![
        Column::words("cycle").key("cycle"),
        Column::figures("residue charged")
            .unit("g")
            .key_in("residue", "g"),
        Column::figures("its assay").unit("%").key("assay"),
        Column::figures("solids in the vessel")
            .unit("g")
            .key_in("solids", "g"),
        Column::figures("gain of this run")
            .unit(currency(recycling))
            .key("gain"),
        Column::data("half_width"),
    ];
    let cycles = recycling.cycles.iter().flat_map(|cycles| &cycles.cycles);
    let rows = cycles.map(|cycle| {
        let gain = cycle.gain;
        vec![
            Cell::Count(cycle.cycle as usize),
            Cell::fixed(cycle.residue, 0),
            Cell::fixed(cycle.assay, 1).times(100.0),
            Cell::fixed(cycle.solids, 0),
            gain.map_or_else(Cell::missing, |gain| {
                Cell::with_error(gain.value, gain.half_width)
            }),
            Cell::plain_if(gain.map(|gain| gain.half_width)),
        ]
    });
    Table::new("What if the residue goes round, run after run?", columns).with(rows)
}
