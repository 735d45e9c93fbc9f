//! Currencies by their signs, codes and words.
//!
//! In: what stands beside a price. Out: whether it is a currency, and the same as another one.
//! This module never turns one currency into another.

use std::cell::RefCell;

/// Signs of money with the codes that they may stand for; three capital letters are a code in any case.
///
/// # Source
/// Codes: ISO 4217; which signs stand for them: common practice, no source.
const SIGNS: &[(&str, &[&str])] = &[
    ("€", &["EUR"]),
    (
        "$",
        &["USD", "CAD", "AUD", "NZD", "SGD", "HKD", "TWD", "MXN"],
    ),
    ("£", &["GBP"]),
    ("¥", &["JPY", "CNY"]),
    ("₹", &["INR"]),
    ("kr", &["SEK", "NOK", "DKK", "ISK"]),
    ("zł", &["PLN"]),
    ("Kč", &["CZK"]),
];

/// Words for money with the sign or code that they mean, in lower case.
const WORDS: &[(&str, &str)] = &[
    ("euro", "EUR"),
    ("euros", "EUR"),
    ("us$", "USD"),
    ("dollar", "$"),
    ("dollars", "$"),
    ("pound", "£"),
    ("pounds", "£"),
];

/// The currency of the campaign file: the one that it names, else the one of its first price that says any.
pub(super) struct Currency(RefCell<Option<String>>);

impl Currency {
    /// The currency that is named.
    pub fn new(named: Option<String>) -> Self {
        Currency(RefCell::new(named))
    }

    /// Whether what stands beside a price is this currency; the first that says one gives it where none is named.
    ///
    /// # Errors
    /// A hint where it is another one.
    pub fn agrees(&self, own: Option<&str>) -> Result<(), String> {
        let mut named = self.0.borrow_mut();
        match (own, named.as_deref()) {
            (Some(own), Some(named)) if !is_same_currency(own, named) => Err(format!(
                "the other prices are in {named}: write this one in it, or correct `currency`"
            )),
            (Some(own), None) => {
                *named = Some(own.to_string());
                Ok(())
            }
            _ => Ok(()),
        }
    }

    /// Its name, where anything says one.
    pub fn name(self) -> Option<String> {
        self.0.into_inner()
    }
}

/// Whether two signs, codes or words can mean one currency.
pub fn is_same_currency(one: &str, other: &str) -> bool {
    let (one, other) = (meant(one), meant(other));
    let stands_for = |sign: &str, code: &str| {
        let mut signs = SIGNS.iter();
        signs.any(|(known, codes)| *known == sign && codes.contains(&code))
    };
    one == other || stands_for(&one, &other) || stands_for(&other, &one)
}

/// The sign or code that a word means; codes in capitals.
fn meant(name: &str) -> String {
    let lower = name.trim().to_lowercase();
    let word = WORDS.iter().find(|(word, _)| *word == lower);
    let sign = SIGNS.iter().find(|(sign, _)| *sign == name.trim());
    match (word, sign) {
        (Some((_, meant)), _) => (*meant).to_string(),
        (None, Some((sign, _))) => (*sign).to_string(),
        (None, None) => lower.to_uppercase(),
    }
}

/// Whether a text is a sign, a code or a word for money.
pub(super) fn is_currency(text: &str) -> bool {
    let meant = meant(text);
    let is_code = text.len() == 3 && text.bytes().all(|b| b.is_ascii_uppercase());
    let known = SIGNS.iter();
    let mut known = known.flat_map(|(sign, codes)| codes.iter().chain([sign]));
    is_code || known.any(|known| **known == meant)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sign_agrees_with_each_code_that_it_may_stand_for() {
        assert!(is_same_currency("$", "CAD") && is_same_currency("eur", "€"));
        assert!(!is_same_currency("USD", "CAD") && !is_same_currency("£", "€"));
        assert!(is_same_currency("credits", "Credits"));
    }
}
