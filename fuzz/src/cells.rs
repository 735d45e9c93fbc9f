//! Texts of one cell or one key: dates, formulae, numbers, units and prices.
//!
//! In: the bytes of a text. Out: nothing, or a panic.
//! This module never reads a table.

use residuum::campaign::{
    CampaignDraft, DateOrder, Decimal, FileText, Logs, PlusMinusIs, PriceUnit, StatedPrice,
};
use residuum::chemistry::Formula;
use residuum::intake::{date_in, number_in};
use residuum::units::{Dimension, Unit};

use super::told;

/// Most bytes of a hint about a cell.
const LONGEST_HINT: usize = 2_000;

/// Year, month and day of a day counted from the first one of the year 1.
///
/// # Source
/// The rule of the Gregorian calendar itself: 146097 days in 400 years, a year beginning in March.
fn calendar(day: i32) -> [i64; 3] {
    // Days since 0000-03-01, which is 306 days before the first day of the year 1.
    let days = i64::from(day) - 1 + 306;
    let (era, of_era) = (days.div_euclid(146_097), days.rem_euclid(146_097));
    let year = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * month + 2) / 5 + 1;
    let month = if month < 10 { month + 3 } else { month - 9 };
    [era * 400 + year + i64::from(month <= 2), month, day]
}

/// A date is the day that it names, and reads back the same in every order.
pub fn dates(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let logs = |dates: Option<DateOrder>| Logs {
        dates,
        ..Logs::default()
    };
    let orders = || {
        let each = DateOrder::ALL.into_iter().map(Some);
        each.chain([None]).map(logs)
    };
    for order in orders() {
        let date = match date_in(text, &order) {
            Ok(date) => date,
            Err(hint) => {
                told::hint(&hint, LONGEST_HINT);
                continue;
            }
        };
        let [year, month, day] = calendar(date.day);
        let begins = format!("{year:04}-{month:02}-{day:02}");
        assert!(date.text.starts_with(&begins), "{date:?} is {begins}");
        for again in orders().map(|order| date_in(&date.text, &order)) {
            let again = again.expect("what is read can be read again");
            assert_eq!((&again.text, again.day), (&date.text, date.day));
        }
        if let Some((swapped, other)) = date.swapped {
            assert_eq!(swapped, format!("{year:04}-{day:02}-{month:02}"));
            assert_eq!(calendar(other), [year, day, month]);
        }
    }
}

/// A formula weighs something, and its atoms written out are the same formula.
pub fn formula(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let formula = match Formula::parse(text) {
        Ok(formula) => formula,
        Err(fault) => {
            let hint = fault.advice().expect("a hint");
            told::hint(&format!("{}{hint}", fault.message()), LONGEST_HINT);
            return;
        }
    };
    let weight = formula.grams_per_mole();
    assert!(weight.is_finite() && weight > 0.0, "{text} weighs {weight}");
    assert_eq!(formula.text(), text.trim());
    let again = Formula::parse(formula.text());
    assert_eq!(again.as_ref(), Ok(&formula));
    let counts: Vec<(&str, f64)> = formula
        .elements()
        .map(|symbol| (symbol, formula.atoms_of(symbol)))
        .collect();
    for (symbol, count) in &counts {
        assert!(count.is_finite() && *count > 0.0, "{count} of {symbol}");
    }
    if counts
        .iter()
        .all(|(_, count)| count.fract() == 0.0 && *count < 1e6)
    {
        let written = counts
            .iter()
            .map(|(symbol, count)| format!("{symbol}{count}"));
        let written: String = written.collect();
        assert_eq!(Formula::parse(&written).as_ref(), Ok(&formula), "{written}");
    }
    if let Ok(twice) = Formula::parse(&format!("({})2", formula.text())) {
        for (symbol, count) in counts {
            assert_eq!(twice.atoms_of(symbol), 2.0 * count, "{symbol}");
        }
    }
}

/// A decimal mark with another one in its place.
fn mirrored(text: &str) -> String {
    let other = |letter| match letter {
        '.' => ',',
        ',' => '.',
        other => other,
    };
    text.chars().map(other).collect()
}

/// A number is finite, is the one that its figures say, and reads back the same, with either decimal mark.
pub fn numbers(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let logs = |decimal| Logs {
        decimal,
        plus_minus: Some(PlusMinusIs::Standard),
        ..Logs::default()
    };
    let [point, comma] = [Decimal::Point, Decimal::Comma].map(logs);
    for (dimension, unit) in [
        (Dimension::Plain, None),
        (Dimension::Mass, Unit::named("kg")),
        (Dimension::Fraction, Unit::named("%")),
        (Dimension::Temperature, Unit::named("K")),
    ] {
        let read = number_in(text, &point, dimension, unit);
        let other = number_in(&mirrored(text), &comma, dimension, unit);
        match (&read, &other) {
            (Ok(number), Ok(other)) => assert_eq!(number, other, "{text}"),
            (Err(hint), Err(other)) => {
                told::hint(hint, LONGEST_HINT);
                told::hint(other, LONGEST_HINT);
            }
            _ => panic!("{text:?} reads with one decimal mark alone: {read:?}, {other:?}"),
        }
        if let Ok(number) = read {
            assert!(number.value.is_finite(), "{number:?}");
            let uncertainty = number.uncertainty.unwrap_or_default();
            assert!(uncertainty.is_finite() && uncertainty >= 0.0, "{number:?}");
        }
    }
    match number_in(text, &point, Dimension::Plain, None) {
        Ok(number) if number.uncertainty.is_none() => {
            let shown = number.value.to_string();
            for (shown, logs) in [(mirrored(&shown), &comma), (shown, &point)] {
                let again = number_in(&shown, logs, Dimension::Plain, None);
                assert_eq!(again, Ok(number), "{text} is shown as {shown}");
            }
            let parts_groups =
                |letter: &char| ",' \u{a0}\u{2009}\u{202f}\u{2019}".contains(*letter);
            let bare: String = text
                .trim()
                .chars()
                .filter(|letter| !parts_groups(letter))
                .collect();
            let figures: f64 = bare.replace('\u{2212}', "-").parse().expect("bare figures");
            assert_eq!(figures, number.value, "{text}");
        }
        Ok(_) => {}
        Err(hint) => {
            // What a hint proposes is not refused for its marks again.
            if let Some(rest) = hint.strip_prefix("use a decimal point, `") {
                let (proposed, _) = rest.split_once('`').expect("a closing quote");
                let again = number_in(proposed, &point, Dimension::Plain, None);
                let is_number = again
                    .as_ref()
                    .map_or_else(|hint| hint.contains("exponent"), |_| true);
                assert!(is_number, "{text}: {proposed}: {again:?}");
            }
        }
    }
}

/// A unit converts there and back, and a price with a unit is finite; the first line is a unit, the next one what is stated in it.
pub fn units(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let (name, stated) = text.split_once('\n').unwrap_or((text, text));
    if let Some(unit) = Unit::named(name) {
        there_and_back(name, unit);
    }
    let heading = PriceUnit::named(name);
    assert!(
        heading.as_ref().is_none_or(|unit| unit.is_same(unit)),
        "{name}"
    );
    let number = |text: &str| {
        number_in(text, &Logs::default(), Dimension::Plain, None).map(|read| read.value)
    };
    match StatedPrice::of_feed(stated, &heading.unwrap_or_default(), number) {
        Ok(read) => {
            let figures = [read.price.value, read.price.uncertainty];
            assert!(
                figures
                    .iter()
                    .all(|figure| figure.is_finite() && *figure >= 0.0),
                "{read:?}"
            );
        }
        Err(hint) => told::hint(&hint, LONGEST_HINT + 4 * text.len()),
    }
    in_campaign_file(stated);
}

fn there_and_back(name: &str, unit: Unit) {
    assert_eq!(Unit::of(name, unit.dimension), Some(unit));
    let all = unit.dimension.unit_names().expect("names of its units");
    for other in all.split(", ") {
        assert!(Unit::of(other, unit.dimension).is_some(), "{other}");
    }
    for value in [-273.15, -1.0, 0.0, 1e-9, 0.37, 1.0, 1e9] {
        let base = unit.to_base(value);
        let near =
            |one: f64, other: f64| (one - other).abs() <= 1e-9 * (1.0 + one.abs().max(other.abs()));
        assert!(
            base.is_finite() && near(unit.from_base(base), value),
            "{value} {name}"
        );
        let step = unit.to_base(value + 1.0) - base;
        assert!(
            near(step, unit.difference_to_base(1.0)) || value == 1e9,
            "{value} {name}"
        );
    }
}

/// Figures with units where the campaign file has them.
fn in_campaign_file(stated: &str) {
    let quoted = format!("{stated:?}");
    // Escapes of another form than those of TOML.
    if quoted.contains("\\u{") || quoted.contains("\\'") || quoted.contains("\\0") {
        return;
    }
    let text = format!(
        "[campaign]\ntitle = \"x\"\n[logs]\nruns = \"runs.csv\"\n[uncertainty]\nfeed_mass = {quoted}\nassay = {quoted}\ntitre = {quoted}\n[prices]\nfeed = {quoted}\nlabour = {quoted}\nresidue_handling = {quoted}\n[titration]\naliquot = {quoted}\n"
    );
    let file = FileText {
        file: "campaign.toml".into(),
        text,
    };
    let lines = told::lines(file.text.as_bytes());
    let bytes = file.text.len();
    match CampaignDraft::read(file).and_then(CampaignDraft::check) {
        Ok(campaign) => drop(told::finite(&campaign)),
        Err(faults) => {
            for fault in faults.errors() {
                told::fault(fault, "campaign.toml", bytes, Some(lines));
                assert_ne!(fault.line(), Some(1), "a line that is sound: {fault:?}");
            }
        }
    }
}
