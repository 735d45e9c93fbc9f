//! What stands in a formula.
//!
//! In: a formula as a chemist types it. Out: [`Formula`], the atoms of each element.
//! This module never corrects a formula: what it cannot read, it refuses with a hint.

use std::collections::BTreeMap;

use super::weights::{AtomicWeights, is_element, symbols};
use crate::error::{Error, ErrorKind};
use crate::measured::Measured;

/// A neutral chemical formula, brackets and hydrate water included.
///
/// # Example
/// ```
/// use residuum::chemistry::Formula;
/// let alum = Formula::parse("KAl(SO4)2·12H2O").unwrap();
/// assert_eq!(alum.atoms_of("O"), 20.0);
/// assert_eq!(alum, Formula::parse("KAl(SO4)2*12H2O").unwrap());
/// ```
#[derive(Debug, Clone)]
pub struct Formula {
    text: String,
    atoms: BTreeMap<String, f64>,
}

/// Brackets within brackets beyond this are no chemistry, and each costs room on the stack.
const DEEPEST: usize = 100;

/// Characters of a formula that a message repeats; the longest formulae of reagents have half as many.
const SHOWN: usize = 80;

impl PartialEq for Formula {
    fn eq(&self, other: &Self) -> bool {
        self.atoms == other.atoms
    }
}

impl Formula {
    /// Reads a formula; the hydrate dot may be `·`, `.` or `*`.
    ///
    /// # Errors
    /// [`ErrorKind::Formula`] for an unknown element, an unbalanced bracket, a charge or anything else
    /// that is not part of a neutral formula.
    pub fn parse(text: &str) -> Result<Formula, Error> {
        let shown = match text.char_indices().nth(SHOWN) {
            Some((end, _)) => format!("{}...", &text[..end]),
            None => text.to_string(),
        };
        let fault = |what: String, hint: &str| {
            Error::new(ErrorKind::Formula, format!("{what} in formula `{shown}`")).hint(hint)
        };
        if text.trim().is_empty() {
            return Err(fault(
                "nothing stands".into(),
                "write a formula such as `CuSO4·5H2O`",
            ));
        }
        let plain: Vec<char> = text.trim().chars().map(plain_character).collect();
        let mut parts: Vec<BTreeMap<String, f64>> = Vec::new();
        let mut position = 0;
        while position < plain.len() {
            let mut reader = Reader {
                characters: &plain,
                position,
                fault: &fault,
            };
            let multiple = if parts.is_empty() {
                1.0
            } else {
                reader.hydrate_multiple()?
            };
            let mut group = reader.group(None, 0)?;
            if group.is_empty() {
                return Err(fault(
                    "nothing follows the hydrate dot".into(),
                    "write `·5H2O`",
                ));
            }
            group.values_mut().for_each(|count| *count *= multiple);
            position = reader.position + 1;
            if position == plain.len() {
                return Err(fault(
                    "nothing follows the hydrate dot".into(),
                    "write `·5H2O`",
                ));
            }
            parts.push(group);
        }
        let mut atoms: BTreeMap<String, f64> = BTreeMap::new();
        for part in &parts {
            merge(&mut atoms, part, 1.0);
        }
        Ok(Formula {
            text: text.trim().to_string(),
            atoms,
        })
    }

    /// The formula as it was written.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Atoms of an element in one formula unit; 0 when it has none.
    pub fn atoms_of(&self, symbol: &str) -> f64 {
        self.atoms.get(symbol).copied().unwrap_or(0.0)
    }

    /// Symbols of all elements in it, in alphabetical order.
    pub fn elements(&self) -> impl Iterator<Item = &str> {
        self.atoms.keys().map(String::as_str)
    }

    /// Molar mass with its standard uncertainty [g/mol].
    ///
    /// # Source
    /// Sum of standard atomic weights, Prohaska et al. 2022. Checked in `tests/it/reference/molar_masses.rs`.
    pub fn molar_mass(&self, weights: &AtomicWeights) -> Measured {
        weigh(&self.atoms, weights)
    }
}

fn weigh(atoms: &BTreeMap<String, f64>, weights: &AtomicWeights) -> Measured {
    atoms
        .iter()
        .filter_map(|(symbol, count)| weights.of(symbol).map(|w| w.clone() * *count))
        .fold(Measured::exact(0.0), |sum, part| &sum + &part)
}

fn merge(into: &mut BTreeMap<String, f64>, from: &BTreeMap<String, f64>, times: f64) {
    for (symbol, count) in from {
        *into.entry(symbol.clone()).or_insert(0.0) += count * times;
    }
}

/// Subscript digits are read as digits, and each way to write the hydrate dot as `·`.
fn plain_character(character: char) -> char {
    match character {
        '₀'..='₉' => char::from(b'0' + (character as u32 - '₀' as u32) as u8),
        '*' | '•' | '∙' | '⋅' => '·',
        other => other,
    }
}

struct Reader<'a, F: Fn(String, &str) -> Error> {
    characters: &'a [char],
    position: usize,
    fault: &'a F,
}

impl<F: Fn(String, &str) -> Error> Reader<'_, F> {
    fn peek(&self) -> Option<char> {
        self.characters.get(self.position).copied()
    }

    fn digits(&mut self) -> String {
        let mut digits = String::new();
        while let Some(c) = self.peek().filter(char::is_ascii_digit) {
            digits.push(c);
            self.position += 1;
        }
        digits
    }

    /// The number in front of a part after the hydrate dot; halves are written `0.5`.
    fn hydrate_multiple(&mut self) -> Result<f64, Error> {
        let mut number = self.digits();
        let next_is_digit = self
            .characters
            .get(self.position + 1)
            .is_some_and(char::is_ascii_digit);
        if !number.is_empty() && self.peek() == Some('.') && next_is_digit {
            self.position += 1;
            number = format!("{number}.{}", self.digits());
        }
        self.count(&number, 1.0)
    }

    fn count(&self, digits: &str, absent: f64) -> Result<f64, Error> {
        if digits.is_empty() {
            return Ok(absent);
        }
        match digits.parse::<f64>() {
            Ok(count) if count > 0.0 && count < 1e6 => Ok(count),
            _ => Err((self.fault)(
                format!("`{digits}` is no count of atoms"),
                "counts go from 1 to 999999",
            )),
        }
    }

    /// Atoms up to the closing bracket, or up to a hydrate dot or the end when `close` is `None`.
    fn group(&mut self, close: Option<char>, depth: usize) -> Result<BTreeMap<String, f64>, Error> {
        if depth > DEEPEST {
            return Err((self.fault)(
                format!("more than {DEEPEST} brackets within each other"),
                "check the brackets",
            ));
        }
        let mut atoms = BTreeMap::new();
        while let Some(c) = self.peek() {
            match c {
                '(' | '[' | '{' => {
                    self.position += 1;
                    let inner = self.group(Some(closing(c)), depth + 1)?;
                    if inner.is_empty() {
                        return Err((self.fault)("an empty bracket".into(), "take it out"));
                    }
                    let digits = self.digits();
                    merge(&mut atoms, &inner, self.count(&digits, 1.0)?);
                }
                ')' | ']' | '}' if close == Some(c) => {
                    self.position += 1;
                    return Ok(atoms);
                }
                ')' | ']' | '}' => {
                    return Err((self.fault)(
                        format!("`{c}` closes no bracket"),
                        "check the brackets",
                    ));
                }
                '·' | '.' if close.is_none() && !atoms.is_empty() => return Ok(atoms),
                '+' | '-' | '^' | '⁺' | '⁻' | '−' => {
                    return Err((self.fault)(
                        format!("a charge (`{c}`)"),
                        "name the neutral compound that is weighed, such as `KMnO4` for permanganate",
                    ));
                }
                c if c.is_ascii_uppercase() => {
                    let symbol = self.symbol();
                    if !is_element(&symbol) {
                        return Err((self.fault)(
                            format!("unknown element `{symbol}`"),
                            &element_hint(&symbol),
                        ));
                    }
                    let digits = self.digits();
                    *atoms.entry(symbol).or_insert(0.0) += self.count(&digits, 1.0)?;
                }
                c => {
                    return Err((self.fault)(
                        format!("`{c}` cannot stand there"),
                        "write symbols, counts, brackets and a hydrate dot only, such as `CuSO4·5H2O`",
                    ));
                }
            }
        }
        match close {
            Some(bracket) => Err((self.fault)(
                format!("a closing `{bracket}` is missing"),
                "check the brackets",
            )),
            None => Ok(atoms),
        }
    }

    fn symbol(&mut self) -> String {
        let mut symbol = String::new();
        while let Some(c) = self.peek() {
            let continues = if symbol.is_empty() {
                c.is_ascii_uppercase()
            } else {
                c.is_ascii_lowercase()
            };
            if !continues {
                break;
            }
            symbol.push(c);
            self.position += 1;
        }
        symbol
    }
}

fn closing(open: char) -> char {
    match open {
        '(' => ')',
        '[' => ']',
        _ => '}',
    }
}

fn element_hint(symbol: &str) -> String {
    let near: Vec<&str> = symbols()
        .filter(|known| known.starts_with(&symbol[..1]))
        .collect();
    if near.is_empty() {
        "check the symbol; upper and lower case count".into()
    } else {
        format!(
            "elements with a standard atomic weight under that letter: {}",
            near.join(", ")
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(text: &str) -> String {
        Formula::parse(text).unwrap_err().message().to_string()
    }

    #[test]
    fn nested_brackets_multiply() {
        let formula = Formula::parse("K3[Fe(C2O4)3]·3H2O").unwrap();
        assert_eq!(formula.atoms_of("C"), 6.0);
        assert_eq!(formula.atoms_of("O"), 15.0);
        assert_eq!(formula.atoms_of("H"), 6.0);
    }

    #[test]
    fn brackets_may_be_nested_as_deep_as_chemistry_goes_and_no_deeper() {
        let nested = |depth: usize| format!("{}Cu{}", "(".repeat(depth), ")".repeat(depth));
        assert_eq!(
            Formula::parse(&nested(DEEPEST)).unwrap().atoms_of("Cu"),
            1.0
        );
        assert!(refused(&nested(DEEPEST + 1)).starts_with("more than 100 brackets"));
    }

    #[test]
    fn every_hydrate_dot_is_the_same() {
        let middle = Formula::parse("CuSO4·5H2O").unwrap();
        for text in ["CuSO4.5H2O", "CuSO4*5H2O", "CuSO₄·5H₂O"] {
            assert_eq!(Formula::parse(text).unwrap(), middle, "{text}");
        }
        assert_eq!(Formula::parse("CaSO4·0.5H2O").unwrap().atoms_of("H"), 1.0);
    }

    #[test]
    fn a_charge_is_refused_with_its_sign() {
        assert_eq!(refused("MnO4-"), "a charge (`-`) in formula `MnO4-`");
        assert_eq!(refused("Cu^2+"), "a charge (`^`) in formula `Cu^2+`");
    }

    #[test]
    fn an_unknown_element_is_named() {
        assert_eq!(refused("CuSo4"), "unknown element `So` in formula `CuSo4`");
    }

    #[test]
    fn unbalanced_brackets_and_empty_parts_are_refused() {
        for text in [
            "Cu(OH2",
            "CuOH)2",
            "CuSO4·",
            "CuSO4··5H2O",
            "()",
            "",
            "Cu O",
            "Cu0",
            "5H2O",
            "Fe0.95O",
        ] {
            assert!(Formula::parse(text).is_err(), "{text}");
        }
    }
}
