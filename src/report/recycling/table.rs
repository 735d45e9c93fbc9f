//! The tables of question 5.
//!
//! In: the answer about residue. Out: one [`Table`] a question, for report, terminal, CSV and JSON.
//! This module never computes a gain.

use super::words::{
    exact_chances, scale_and_unit, shown_break_even, signed, when_charged, with_half_width,
};
use crate::decide::{Cycles, ForQuantity, KeptBy, Money, Policies, Recycling, ValuedAs};
use crate::intake::LedgerLine;
use crate::report::print::cost_names::{
    figure, figure_key, handling, never, short_of, shown_scale, verdict, way,
};
use crate::report::print::{Cell, Columns, Shown, Table, plain, with_unit};
use crate::report::reasons::{refusal, untold};
use crate::runs::Runs;

/// What the gain of a charged run is made of.
pub fn counted(money: &Money) -> Table {
    let terms = &money.terms;
    let terms = [
        ("worth of the extra product", terms.product),
        ("fresh feed saved", terms.feed),
        ("runs not made", terms.runs),
        ("extra oxidant", terms.oxidant),
        ("further reagents", terms.reagents),
        ("extra labour of the run", terms.labour),
        ("handling of the residue", terms.handling),
        (
            "disposal saved, less that of the extra residue left",
            terms.disposal,
        ),
        ("second products", terms.second),
    ];
    let terms = terms.into_iter().filter(|(_, value)| *value != 0.0);
    let terms = terms.map(|(name, value)| (name, Some(value)));
    let mut rows = Columns::of(terms.chain([("gain of a charged run", None)]));
    rows.words("what is counted", |(name, _)| name);
    rows.figures(format!("{} a run", money.currency), |(_, value)| {
        value.map_or_else(|| signed(&money.gain), amount_of_money)
    });
    rows.answer("What is counted?")
}

/// The gain in each way to value residue.
pub fn ways(money: &Money) -> Table {
    let mut table = ways_of(&money.ways, &money.currency);
    table.question = "What if residue is valued otherwise?".into();
    table
}

/// The gain of what is carried on, in each way to value it.
pub fn ways_of(ways: &[ValuedAs], currency: &str) -> Table {
    let mut rows = Columns::of(ways);
    rows.words("valued as", |of| way(of.value)).key("value");
    rows.figures(format!("gain of a charged run / {currency}"), |of| {
        signed(&of.gain)
    });
    rows.words("verdict", |of| verdict(of.verdict));
    rows.words("counts where", |of| short_of(of.value));
    rows.answer("Does it pay to carry mother liquor on?")
}

/// The gain with the time to handle residue in the labour that is logged and beside it.
pub fn handled(money: &Money) -> Table {
    let mut rows = Columns::of(&money.handled);
    rows.words("time to handle the residue", |of| handling(of.handling))
        .key("handling");
    rows.figures(
        format!("gain of a charged run / {}", money.currency),
        |of| signed(&of.gain),
    );
    rows.words("verdict", |of| verdict(of.verdict));
    rows.answer("What if the labour log holds the handling already?")
}

/// What a quantity of product takes.
pub fn quantity(of: &ForQuantity, currency: &str) -> Table {
    let ways = [
        ("without residue", &of.without),
        ("each run charged", &of.with),
    ];
    let mut rows = Columns::of(ways);
    rows.words("way", |(way, _)| way);
    rows.figures("runs", |(_, takes)| with_half_width(&takes.runs));
    rows.figures(with_unit("cost", currency), |(_, takes)| {
        takes.cost.as_ref().map(with_half_width)
    })
    .when(of.with.cost.is_some());
    rows.figures("labour / h", |(_, takes)| {
        takes
            .labour
            .as_ref()
            .map(|of| with_half_width(of).times(1.0 / 60.0))
    })
    .when(of.with.labour.is_some());
    let quantity = plain(0.001 * of.quantity);
    rows.answer(format!("What do {quantity} kg of product take?"))
}

/// What each residue left, what was charged of it, and what is left, where something is; so many, the largest first.
pub fn shelf(runs: &Runs, most: usize) -> Table {
    let mut stocks: Vec<&LedgerLine> = runs.ledger.iter().filter(|of| of.now() > 0.0).collect();
    stocks.sort_by(|a, b| b.now().total_cmp(&a.now()));
    stocks.truncate(most);
    let mut rows = Columns::of(stocks);
    rows.words("residue of run", |of| &of.run).key("run");
    type Mass = fn(&LedgerLine) -> f64;
    let masses: [(&str, &str, Mass); 3] = [
        ("left / g", "left", |of| of.left),
        ("charged / g", "taken", |of| of.taken),
        ("on the shelf / g", "now", LedgerLine::now),
    ];
    for (heading, key, mass) in masses {
        rows.figures(heading, |of| Cell::fixed(mass(of), 1))
            .key(key)
            .in_unit("g");
    }
    rows.answer("What residue stands on the shelf?")
}

/// Where the verdict flips along each figure.
pub fn break_even(recycling: &Recycling) -> Table {
    let kept = |of| shown_scale(of, recycling.reference.content_per_assay);
    let money = recycling.money.iter();
    let each = money.flat_map(|money| money.break_even.iter().map(move |at| (money, at)));
    let mut rows = Columns::of(each);
    rows.words("figure", |(_, at)| figure(at.figure));
    rows.data("figure", |(_, at)| figure_key(at.figure));
    rows.figures("now", |(money, at)| {
        let (shown, unit) = scale_and_unit(recycling, money, at.figure);
        let kept = kept(at.figure);
        let now = Cell::plain(at.now * kept).times(shown / kept);
        now.in_unit(&unit)
    })
    .key("now");
    rows.figures("flips at (may be between)", |(money, at)| {
        shown_break_even(recycling, money, at)
    });
    rows.data("flips_at", |(_, at)| Some(at.at.ok()? * kept(at.figure)));
    rows.data("low", |(_, at)| Some(at.low? * kept(at.figure)));
    rows.data("high", |(_, at)| Some(at.high? * kept(at.figure)));
    rows.data("reason", |(_, at)| at.at.err().map(never));
    rows.answer("Where does the verdict flip?")
}

/// Which figures move the gain, and by how much.
pub fn ranking(money: &Money) -> Table {
    let currency = &money.currency;
    let mut rows = Columns::of(&money.ranking);
    rows.words("figure", |of| figure(of.figure));
    let heading = format!("{currency} a run for one standard uncertainty of it");
    rows.figures(heading, |of| match of.uncertainty > 0.0 {
        true => amount_of_money(of.by_uncertainty),
        false => Cell::text("taken as exact"),
    });
    let heading = format!("{currency} a run if it were a tenth larger");
    rows.figures(heading, |of| amount_of_money(of.by_tenth));
    rows.answer("What moves the gain most?")
}

/// Money with a sign and three decimals.
fn amount_of_money(value: f64) -> Cell {
    Cell::fixed(value, 3).signed()
}

/// Whether it pays with each level.
pub fn by_level(recycling: &Recycling) -> Table {
    let product = match recycling.money.as_ref().is_ok_and(exact_chances) {
        true => "extra product on specification / g",
        false => "extra product / g",
    };
    let mut rows = Columns::of(&recycling.by_level);
    rows.words("with", |at| format!("{}: {}", at.factor, at.level));
    rows.figures(product, |at| match &at.extra_product {
        Ok(extra) => with_half_width(extra),
        Err(reason) => Cell::because(untold(reason)),
    });
    let gain = with_unit("gain of a charged run", currency(recycling));
    rows.figures(gain, |at| at.gain.as_ref().map(signed));
    rows.words("verdict", |at| at.verdict.map(verdict));
    rows.answer("Does it pay with each of them?")
}

/// The unit of a gain; none without prices.
fn currency(recycling: &Recycling) -> &str {
    let money = recycling.money.as_ref();
    money.map_or("", |money| &money.currency)
}

/// What charging residue does to the other responses.
pub fn responses(recycling: &Recycling) -> Table {
    let mut rows = Columns::of(&recycling.responses);
    rows.words("response", |of| &of.response);
    let heading = "change of a charged run against one without residue";
    rows.figures(heading, |of| match &of.change {
        Ok(change) => Shown::of(&of.unit).change(change),
        Err(reason) => Cell::because(refusal(reason)),
    });
    rows.answer("What else does it change?")
}

/// What stays on the filter by route.
pub fn kept_by_route(cycles: &Cycles) -> Table {
    let mut rows = Columns::of(&cycles.kept_by_route);
    rows.words("route", |of| &of.level).key("level");
    rows.words("runs", |of| of.runs).key("runs");
    type Share = fn(&KeptBy) -> [f64; 2];
    let shares: [(&str, &str, Share); 2] = [
        ("of the followed element / %", "element", |of| of.element),
        ("of everything else / %", "inert", |of| of.inert),
    ];
    for (heading, key, share) in shares {
        rows.figures(heading, |of| {
            let [value, half] = share(of);
            Cell::with_error(value, half).times(100.0)
        })
        .key(key);
        rows.data(format!("{key}_half_width"), |of| share(of)[1]);
    }
    rows.answer("How much of what is charged stays on the filter?")
}

/// When to charge: each way, and charging nothing.
pub fn policies(policies: &Policies, currency: &str) -> Table {
    let each = policies.each.iter().map(Some).chain([None]);
    let mut rows = Columns::of(each);
    rows.words("residue is charged", |of| {
        of.map_or_else(|| "never".into(), |policy| when_charged(policy.when))
    });
    rows.figures("thrown away / %", |of| {
        of.map(|policy| Cell::fixed(policy.bleed, 0).times(100.0))
    });
    rows.figures("last charge / g", |of| {
        let last = of.and_then(|policy| policy.charges.last());
        last.map(|charge| Cell::fixed(charge.residue, 0))
    });
    rows.figures(with_unit("gain of a run, charged or not", currency), |of| {
        of.map(|policy| signed(&policy.gain))
    });
    if let Some(runs) = policies.runs_a_month {
        rows.figures(with_unit("gain of a month", currency), |of| {
            of.map(|policy| signed(&policy.gain).times(runs))
        });
    }
    rows.figures("chance of being the best / %", |of| {
        let chance = of.map_or(policies.chance_never, |policy| policy.chance_best);
        Cell::fixed(chance, 0).times(100.0)
    });
    rows.answer("When should residue be charged?")
}

/// What happens run after run.
pub fn cycles(recycling: &Recycling) -> Table {
    let cycles = recycling.cycles.iter().flat_map(|cycles| &cycles.cycles);
    let mut rows = Columns::of(cycles);
    rows.words("cycle", |of| of.cycle as usize).key("cycle");
    rows.figures("residue charged / g", |of| Cell::fixed(of.residue, 0))
        .key("residue")
        .in_unit("g");
    rows.figures("its assay / %", |of| Cell::fixed(of.assay, 1).times(100.0))
        .key("assay");
    rows.figures("solids in the vessel / g", |of| Cell::fixed(of.solids, 0))
        .key("solids")
        .in_unit("g");
    let gain = with_unit("gain of this run", currency(recycling));
    rows.figures(gain, |of| {
        let gain = of.gain;
        gain.map(|gain| Cell::with_error(gain.value, gain.half_width))
    })
    .key("gain");
    rows.data("half_width", |of| of.gain.map(|gain| gain.half_width));
    rows.answer("What if the residue goes round, run after run?")
}
