//! What stands in a formula.
//!
//! In: a formula as a chemist types it. Out: [`Formula`], the atoms of each element.
//! This module never corrects a formula: what it cannot read, it refuses with a hint.

use std::collections::BTreeMap;

use super::weights::{AtomicWeights, is_element, symbols};
use crate::error::{Error, ErrorKind};
use crate::measured::{Measured, Sources};

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

/// Counts of atoms, each by itself and all of one element together, stay below it.
const TOO_MANY: f64 = 1e6;

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
        let atoms = atoms_in(text.trim()).map_err(|Refused { what, hint }| {
            let what = format!("{what} in formula `{}`", shown(text));
            Error::new(ErrorKind::Formula, what).hint(hint)
        })?;
        let text = text.trim().to_string();
        Ok(Formula { text, atoms })
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
        weights.once(&self.text, || {
            let parts = self.atoms.iter();
            let parts =
                parts.filter_map(|(symbol, count)| Some(weights.of(symbol)?.clone() * *count));
            parts.fold(Measured::exact(0.0), |sum, part| &sum + &part)
        })
    }

    /// Best estimate of the molar mass alone [g/mol].
    pub fn grams_per_mole(&self) -> f64 {
        let weights = AtomicWeights::new(&mut Sources::default());
        self.molar_mass(&weights).value()
    }
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

/// A text as a message repeats it.
fn shown(text: &str) -> String {
    match text.char_indices().nth(SHOWN) {
        Some((end, _)) => format!("{}...", &text[..end]),
        None => text.to_string(),
    }
}

/// What cannot be read, and what to write.
struct Refused {
    what: String,
    hint: String,
}

fn refused<T>(what: impl Into<String>, hint: impl Into<String>) -> Result<T, Refused> {
    let (what, hint) = (what.into(), hint.into());
    Err(Refused { what, hint })
}

/// Atoms of a whole formula, the parts behind hydrate dots included.
fn atoms_in(text: &str) -> Result<BTreeMap<String, f64>, Refused> {
    if text.is_empty() {
        return refused("nothing stands", "write a formula such as `CuSO4·5H2O`");
    }
    let characters: Vec<char> = text.chars().map(plain_character).collect();
    let mut reader = Reader {
        characters: &characters,
        position: 0,
    };
    let mut atoms = reader.group(None, 0)?;
    let mut part_is_empty = atoms.is_empty();
    while !part_is_empty && reader.peek().is_some() {
        reader.position += 1;
        let multiple = reader.hydrate_multiple()?;
        let part = reader.group(None, 0)?;
        part_is_empty = part.is_empty();
        merge(&mut atoms, &part, multiple);
    }
    if part_is_empty {
        return refused("nothing follows the hydrate dot", "write `·5H2O`");
    }
    if let Some((symbol, _)) = atoms.iter().find(|(_, count)| **count >= TOO_MANY) {
        let what = format!("more than 999999 atoms of `{symbol}`");
        return refused(what, "check the counts behind its brackets");
    }
    Ok(atoms)
}

struct Reader<'a> {
    characters: &'a [char],
    position: usize,
}

impl Reader<'_> {
    fn peek(&self) -> Option<char> {
        self.characters.get(self.position).copied()
    }

    /// The characters from here on that are of a sort.
    fn take(&mut self, is_of_it: impl Fn(&char) -> bool) -> String {
        let rest = &self.characters[self.position..];
        let found: String = rest.iter().take_while(|c| is_of_it(c)).collect();
        self.position += found.chars().count();
        found
    }

    fn digits(&mut self) -> String {
        self.take(char::is_ascii_digit)
    }

    /// The number in front of a part after the hydrate dot; halves are written `0.5`.
    fn hydrate_multiple(&mut self) -> Result<f64, Refused> {
        let mut number = self.digits();
        let next = self.characters.get(self.position + 1);
        let next_is_digit = next.is_some_and(char::is_ascii_digit);
        if !number.is_empty() && self.peek() == Some('.') && next_is_digit {
            self.position += 1;
            number = format!("{number}.{}", self.digits());
        }
        count(&number)
    }

    /// The count that stands here; 1 where none does.
    fn count(&mut self) -> Result<f64, Refused> {
        count(&self.digits())
    }

    /// Atoms up to the closing bracket, or up to a hydrate dot or the end when `close` is `None`.
    fn group(
        &mut self,
        close: Option<char>,
        depth: usize,
    ) -> Result<BTreeMap<String, f64>, Refused> {
        if depth > DEEPEST {
            let what = format!("more than {DEEPEST} brackets within each other");
            return refused(what, "check the brackets");
        }
        let mut atoms = BTreeMap::new();
        while let Some(c) = self.peek() {
            match c {
                '(' | '[' | '{' => {
                    self.position += 1;
                    let inner = self.group(Some(closing(c)), depth + 1)?;
                    if inner.is_empty() {
                        return refused("an empty bracket", "take it out");
                    }
                    merge(&mut atoms, &inner, self.count()?);
                }
                ')' | ']' | '}' if close == Some(c) => {
                    self.position += 1;
                    return Ok(atoms);
                }
                ')' | ']' | '}' => {
                    return refused(format!("`{c}` closes no bracket"), "check the brackets");
                }
                '·' | '.' if close.is_none() && !atoms.is_empty() => return Ok(atoms),
                '+' | '-' | '^' | '⁺' | '⁻' | '−' => {
                    let hint = "name the neutral compound that is weighed, such as `KMnO4` for permanganate";
                    return refused(format!("a charge (`{c}`)"), hint);
                }
                c if c.is_ascii_uppercase() => {
                    self.position += 1;
                    let symbol = format!("{c}{}", self.take(char::is_ascii_lowercase));
                    if !is_element(&symbol) {
                        let hint = element_hint(&symbol);
                        let what = format!("unknown element `{}`", shown(&symbol));
                        return refused(what, hint);
                    }
                    *atoms.entry(symbol).or_insert(0.0) += self.count()?;
                }
                c => {
                    let hint = "write symbols, counts, brackets and a hydrate dot only, such as `CuSO4·5H2O`";
                    return refused(format!("`{c}` cannot stand there"), hint);
                }
            }
        }
        match close {
            Some(bracket) => {
                let what = format!("a closing `{bracket}` is missing");
                refused(what, "check the brackets")
            }
            None => Ok(atoms),
        }
    }
}

/// A count of atoms; 1 where no digit stands.
fn count(digits: &str) -> Result<f64, Refused> {
    if digits.is_empty() {
        return Ok(1.0);
    }
    let no_count = || format!("`{}` is no count of atoms", shown(digits));
    if digits.len() > 1 && digits.starts_with('0') && !digits.contains('.') {
        let hint = "a count never begins with a zero: was the letter O meant?";
        return refused(no_count(), hint);
    }
    match digits.parse::<f64>() {
        Ok(count) if count > 0.0 && count < TOO_MANY => Ok(count),
        _ => refused(no_count(), "counts go from 1 to 999999"),
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
    let is_near = |known: &&str| known.starts_with(&symbol[..1]);
    let near: Vec<&str> = symbols().filter(is_near).collect();
    if near.is_empty() {
        return "check the symbol; upper and lower case count".into();
    }
    let near = near.join(", ");
    format!("elements with a standard atomic weight under that letter: {near}")
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
    fn what_no_formula_holds_is_refused_in_a_short_message() {
        let large = format!("{}Cu{}", "(".repeat(60), ")999999".repeat(60));
        assert!(refused(&large).starts_with("more than 999999 atoms of `Cu` in formula"));
        for text in [
            format!("X{}", "y".repeat(5000)),
            "C9".repeat(999) + &"9".repeat(999),
        ] {
            assert!(refused(&text).len() < 300, "{}", refused(&text));
        }
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
