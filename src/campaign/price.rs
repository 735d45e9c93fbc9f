//! Prices as the campaign file and the lots log write them.
//!
//! In: texts such as `4.20 ± 0.30 /kg`, `€3.90` or `EUR/t`. Out: [`Price`], [`StatedPrice`] and [`PriceUnit`].
//! This module never decides whether a price is likely.

use super::currency::{Currency, is_currency, is_same_currency};
use crate::units::{Dimension, Unit};

/// Most that a gram, a minute or a run can cost; sums and squares of such prices stay far from the end of binary64.
const HIGHEST_PRICE: f64 = 1e9;

/// How a price of the campaign file is written.
const SHAPE: &str = "write a figure and what it is per: `4.20 /kg`, `24 /h` or `1.9 /run`, with `± 0.30` between them if it is uncertain";

/// What a price counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Per {
    /// One gram; the file may say `/kg`, which is converted.
    Gram,
    /// One minute; the file may say `/h`, which is converted.
    Minute,
    /// One run.
    Run,
    /// One order of bought product.
    Order,
}

impl Per {
    /// What a word such as `kg`, `h` or `run` counts, and how many of these it is.
    fn named(word: &str) -> Option<(Per, f64)> {
        match word {
            "run" => return Some((Per::Run, 1.0)),
            "order" => return Some((Per::Order, 1.0)),
            _ => {}
        }
        let unit = Unit::named(word)?;
        match unit.dimension {
            Dimension::Mass => Some((Per::Gram, unit.to_base(1.0))),
            Dimension::Time => Some((Per::Minute, unit.to_base(1.0))),
            _ => None,
        }
    }
}

/// A price with its standard uncertainty, in the campaign's currency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Price {
    /// Best estimate, in the currency per `per`.
    pub value: f64,
    /// Standard uncertainty; 0 when none is stated.
    pub uncertainty: f64,
    /// What it is counted per.
    pub per: Per,
}

/// A price with the currency that stands beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedPrice {
    /// The price; what stands behind `±` is taken for its standard uncertainty.
    pub price: Price,
    /// A sign, a code or a word, as written.
    pub currency: Option<String>,
}

/// What all prices of a column are stated in, as its heading says: `€/kg`, `EUR per t`, `per kg`, `EUR`.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PriceUnit {
    /// A sign, a code or a word, as written.
    pub currency: Option<String>,
    /// The mass that is paid for, as written; a kilogram where nothing is said.
    per: Option<String>,
}

impl PriceUnit {
    /// The unit of a price of feed that a text names.
    pub fn named(text: &str) -> Option<PriceUnit> {
        let (currency, per) = match text.split_once('/').or_else(|| split_per(text)) {
            Some((currency, per)) => (currency.trim(), per.trim()),
            None if is_currency(text) => (text, ""),
            None => ("", text),
        };
        let is_mass = per.is_empty() || Unit::of(per, Dimension::Mass).is_some();
        let is_unit = is_mass && (currency.is_empty() || is_currency(currency));
        let written = |text: &str| (!text.is_empty()).then(|| text.to_string());
        (is_unit && !text.is_empty()).then(|| PriceUnit {
            currency: written(currency),
            per: written(per),
        })
    }

    /// Whether two headings say the same.
    pub fn is_same(&self, other: &PriceUnit) -> bool {
        let grams = |unit: &PriceUnit| Per::named(unit.per.as_deref().unwrap_or("kg"));
        let currencies = self.currency.as_deref().zip(other.currency.as_deref());
        grams(self) == grams(other)
            && currencies.is_none_or(|(one, other)| is_same_currency(one, other))
    }
}

impl StatedPrice {
    /// Reads the price of a lot, as the lots log states it under a heading: `4.20` is per kilogram unless the heading says
    /// otherwise, `€4.20 ± 0.30 /t` says so itself. `number` reads a figure as the log writes it.
    ///
    /// # Errors
    /// A hint when the text is no price of a mass, or says another thing than its heading.
    pub fn of_feed(
        text: &str,
        heading: &PriceUnit,
        number: impl Fn(&str) -> Result<f64, String>,
    ) -> Result<Self, String> {
        let usual = heading.per.as_deref().unwrap_or("kg");
        let mut stated = read(text, Some(usual), number)?;
        if stated.price.per != Per::Gram {
            return Err("feed is counted per kg".into());
        }
        let own = parts(text).per;
        if let (Some(of_heading), Some(own)) = (&heading.per, &own)
            && Per::named(of_heading) != Per::named(own)
        {
            return Err(differ(&format!("per {of_heading}"), &format!("per {own}")));
        }
        if let (Some(of_heading), Some(own)) = (&heading.currency, &stated.currency)
            && !is_same_currency(of_heading, own)
        {
            return Err(differ(of_heading, own));
        }
        stated.currency = stated.currency.or_else(|| heading.currency.clone());
        Ok(stated)
    }
}

fn differ(of_heading: &str, own: &str) -> String {
    format!("the heading says {of_heading} and the cell {own}: leave out the one that is wrong")
}

/// Reads a price of the campaign file: `4.20 /kg`, `24 /h`, `1.9 /run`, `4.20 ± 0.30 /kg`, `€4.20 /kg`.
pub(super) fn price(text: &str, currency: &Currency) -> Result<Price, String> {
    let stated = read(text, None, super::figure::finite)?;
    currency.agrees(stated.currency.as_deref())?;
    Ok(stated.price)
}

/// A price taken apart.
struct Parts {
    currency: Option<String>,
    value: String,
    uncertainty: Option<String>,
    per: Option<String>,
}

fn parts(text: &str) -> Parts {
    let text = text.replace("+/-", "±").replace("+-", "±");
    let (figures, per) = match text.split_once('/').or_else(|| split_per(&text)) {
        Some((figures, per)) => (figures, Some(per.trim().to_string())),
        None => (text.as_str(), None),
    };
    let (value, uncertainty) = match figures.split_once('±') {
        Some((value, uncertainty)) => (value, Some(uncertainty)),
        None => (figures, None),
    };
    let (value, own) = without_currency(value);
    let uncertainty = uncertainty.map(without_currency);
    let behind = uncertainty.and_then(|(_, currency)| currency);
    Parts {
        currency: own.or(behind).map(str::to_string),
        value: value.to_string(),
        uncertainty: uncertainty.map(|(figure, _)| figure.to_string()),
        per,
    }
}

/// What stands before and behind the word `per`.
fn split_per(text: &str) -> Option<(&str, &str)> {
    let at = match text.find(" per ") {
        Some(at) => at + 1,
        None => text.starts_with("per ").then_some(0)?,
    };
    Some((&text[..at], &text[at + "per ".len()..]))
}

/// A figure without the currency before or behind it.
fn without_currency(text: &str) -> (&str, Option<&str>) {
    let text = text.trim();
    let is_of_figure =
        |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '\u{2212}');
    let start = text.find(is_of_figure).unwrap_or_default();
    let last = text.rfind(|c: char| c.is_ascii_digit());
    let end = last.map_or(0, |last| last + 1);
    let (front, back) = (text[..start].trim(), text[end.max(start)..].trim());
    if is_currency(front) {
        return (text[start..].trim(), Some(front));
    }
    match is_currency(back) {
        true => (text[..end.max(start)].trim(), Some(back)),
        false => (text, None),
    }
}

fn read(
    text: &str,
    usual: Option<&str>,
    number: impl Fn(&str) -> Result<f64, String>,
) -> Result<StatedPrice, String> {
    let parts = parts(text);
    let per = parts.per.as_deref().or(usual).ok_or(SHAPE)?;
    let value = number(&parts.value)?;
    let uncertainty = parts.uncertainty.as_deref().map_or(Ok(0.0), &number)?;
    if value < 0.0 || uncertainty < 0.0 {
        return Err("a price is not negative".into());
    }
    if value > HIGHEST_PRICE || uncertainty > HIGHEST_PRICE {
        let hint = "no price of a bench is so large: look for a slip in the exponent or the unit";
        return Err(hint.into());
    }
    let (per, size) = Per::named(per).ok_or(SHAPE)?;
    let price = Price {
        value: value / size,
        uncertainty: uncertainty / size,
        per,
    };
    let currency = parts.currency;
    Ok(StatedPrice { price, currency })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn in_file(text: &str) -> Result<Price, String> {
        price(text, &Currency::new(Some("EUR".into())))
    }

    fn of_lot(text: &str, heading: &str) -> Result<StatedPrice, String> {
        let heading = PriceUnit::named(heading).unwrap_or_default();
        let number = |text: &str| text.parse().map_err(|_| format!("no figure: {text}"));
        StatedPrice::of_feed(text, &heading, number)
    }

    #[test]
    fn prices_come_per_gram_minute_or_run() {
        assert_eq!(in_file("24 /h").unwrap().value, 0.4);
        let feed = in_file("4.20 ± 0.30 /kg").unwrap();
        assert!((feed.value - 0.0042).abs() < 1e-15 && (feed.uncertainty - 0.0003).abs() < 1e-15);
        assert!(in_file("4.20").is_err());
    }

    #[test]
    fn a_currency_may_stand_before_or_behind_the_figure() {
        for text in [
            "€4.20 /kg",
            "4.20 €/kg",
            "EUR 4.20/kg",
            "4.20 EUR per kg",
            "€4.20 ± 0.30 /kg",
            "4.20 ± 0.30 €/kg",
            "4.20 +/- 0.30 euros /kg",
        ] {
            assert_eq!(in_file(text).unwrap().value, 4.20 / 1000.0, "{text}");
        }
        for text in ["$4.20 /kg", "4.20 USD/kg", "kr 4.20 /kg"] {
            let hint = "the other prices are in EUR: write this one in it, or correct `currency`";
            assert_eq!(in_file(text).unwrap_err(), hint, "{text}");
        }
    }

    #[test]
    fn without_a_name_of_the_currency_the_first_price_gives_it() {
        let currency = Currency::new(None);
        assert!(price("4.20 /kg", &currency).is_ok());
        assert!(price("£4.20 /kg", &currency).is_ok());
        assert!(price("€4.20 /kg", &currency).is_err());
        assert_eq!(currency.name().as_deref(), Some("£"));
    }

    #[test]
    fn the_price_of_a_lot_is_per_kilogram_unless_cell_or_heading_says_otherwise() {
        let value = |text, heading| of_lot(text, heading).map(|stated| stated.price.value);
        assert_eq!(value("3.90", ""), Ok(3.90 / 1000.0));
        assert_eq!(value("€3.90", "per kg"), Ok(3.90 / 1000.0));
        assert_eq!(value("390", "EUR/t"), Ok(390.0 / 1e6));
        assert_eq!(value("3.90 €/kg", "€"), Ok(3.90 / 1000.0));
        assert!(value("4 /h", "").unwrap_err().contains("per kg"));
        assert!(
            value("3.90 /kg", "per t")
                .unwrap_err()
                .contains("leave out")
        );
        assert!(value("$3.90", "€/kg").unwrap_err().contains("leave out"));
        let currency = of_lot("3.90", "€/kg").unwrap().currency;
        assert_eq!(currency.as_deref(), Some("€"));
    }

    #[test]
    fn units_of_prices_are_told_from_other_texts() {
        for text in ["€/kg", "EUR/kg", "EUR per t", "per t", "kg", "/kg", "€"] {
            assert!(PriceUnit::named(text).is_some(), "{text}");
        }
        for text in ["", "mL", "€/h", "per bag", "list"] {
            assert_eq!(PriceUnit::named(text), None, "{text}");
        }
    }
}
