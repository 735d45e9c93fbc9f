//! What goes into a reaction and what comes out of it.
//!
//! In: an equation as a chemist types it. Out: [`Equation`], balanced element by element and by charge.
//! This module never balances an equation: one that is not balanced is refused, with what is off by how much.

use std::collections::BTreeMap;

use super::Formula;
use crate::error::{Error, ErrorKind};

/// How equations are written.
const SHAPE: &str = "write it as `3 I2 + 6 KOH -> KIO3 + 5 KI + 3 H2O`";

/// Signs that part both sides, those that hold others first.
const ARROWS: [&str; 9] = ["<=>", "-->", "->", "=>", "⇌", "→", "⟶", "⇒", "="];

/// Signs of state, which say nothing about amounts.
const STATES: [&str; 6] = ["(aq)", "(s)", "(l)", "(g)", "↑", "↓"];

/// Counts of formula units stay below it.
const TOO_MANY: f64 = 1e6;

/// Elements that a message names; who is off in more has written something else.
const MOST_TOLD: usize = 6;

/// Thirds and sixths that were written in decimals are off by this much at most, as a part of what is counted.
const ROUNDING: f64 = 1e-6;

/// A substance in an equation.
#[derive(Debug, Clone)]
pub struct Term {
    /// Formula units.
    pub count: f64,
    /// Its atoms.
    pub formula: Formula,
    /// Its charge in elementary charges.
    pub charge: f64,
    /// Formula and charge as they were written.
    pub text: String,
}

/// A balanced equation.
///
/// # Example
/// ```
/// use residuum::chemistry::Equation;
/// let spent = Equation::parse("3 K2MnO4 + 2 CO2 -> 2 KMnO4 + MnO2 + 2 K2CO3").unwrap();
/// assert_eq!(spent.left[0].count, 3.0);
/// assert!(Equation::parse("K2MnO4 + Cl2 -> KMnO4 + KCl").is_err());
/// ```
#[derive(Debug, Clone)]
pub struct Equation {
    /// As it was written.
    pub text: String,
    /// What goes in.
    pub left: Vec<Term>,
    /// What comes out.
    pub right: Vec<Term>,
}

/// What is wrong with an equation, and what to do.
struct Refused(String, String);

fn refused<T>(what: impl Into<String>, hint: impl Into<String>) -> Result<T, Refused> {
    Err(Refused(what.into(), hint.into()))
}

impl Equation {
    /// Reads an equation and checks its balance.
    ///
    /// # Errors
    /// [`ErrorKind::Formula`] for what cannot be read, and for an element or a charge that differs between both sides.
    pub fn parse(text: &str) -> Result<Equation, Error> {
        let equation = read(text).and_then(|equation| match equation.imbalance() {
            off if off.is_empty() => Ok(equation),
            off => refused(
                format!("is not balanced: {}", off.join("; ")),
                "put the counts right, or add what is missing on one side",
            ),
        });
        equation.map_err(|Refused(what, hint)| Error::new(ErrorKind::Formula, what).hint(hint))
    }

    /// Formula units of a substance on the right, less those on the left.
    pub fn made_of(&self, substance: &Formula) -> f64 {
        let of = |side: &[Term]| {
            let them = side
                .iter()
                .filter(|term| term.formula == *substance && term.charge == 0.0);
            them.map(|term| term.count).sum::<f64>()
        };
        of(&self.right) - of(&self.left)
    }

    /// Atoms of an element in all that goes in, apart from a product that goes in itself.
    pub fn atoms_brought(&self, symbol: &str, product: &Formula) -> f64 {
        let left = self.left.iter().filter(|term| term.formula != *product);
        left.map(|term| term.count * term.formula.atoms_of(symbol))
            .sum()
    }

    /// The largest part of an element that ends in a product; `None` where the product is not made of what brings it.
    ///
    /// `c = n·f / a`: formula units `n` of the product made, `f` atoms of the element in each, `a` atoms that go in.
    ///
    /// # Source
    /// Stoichiometry; common practice, no source. Checked in `tests/it/foresee/`.
    pub fn ceiling(&self, symbol: &str, product: &Formula) -> Option<f64> {
        let made = self.made_of(product) * product.atoms_of(symbol);
        let brought = self.atoms_brought(symbol, product);
        (made > 0.0 && brought > 0.0).then(|| made / brought)
    }

    /// What differs between both sides, an element or the charge each.
    fn imbalance(&self) -> Vec<String> {
        let mut counted: BTreeMap<String, [f64; 2]> = BTreeMap::new();
        for (side, terms) in [&self.left, &self.right].into_iter().enumerate() {
            for term in terms {
                let atoms = term.formula.elements().map(|symbol| {
                    let name = format!("`{symbol}`");
                    (name, term.formula.atoms_of(symbol))
                });
                let charge = ("the charge".to_string(), term.charge);
                for (name, each) in atoms.chain([charge]) {
                    counted.entry(name).or_default()[side] += term.count * each;
                }
            }
        }
        let off = |&(_, [left, right]): &(&String, &[f64; 2])| {
            (left - right).abs() > ROUNDING * (1.0 + left.abs().max(right.abs()))
        };
        let told = counted.iter().filter(off).map(|(name, [left, right])| {
            let more = if left > right { "left" } else { "right" };
            let by = shown((left - right).abs());
            let (left, right) = (shown(*left), shown(*right));
            format!("{name} {left} on the left, {right} on the right, {by} more on the {more}")
        });
        told.take(MOST_TOLD).collect()
    }
}

/// A count without the digits that thirds leave behind.
fn shown(count: f64) -> f64 {
    (count / ROUNDING).round() / (1.0 / ROUNDING).round()
}

fn read(text: &str) -> Result<Equation, Refused> {
    let parted = |text: &'_ str| -> Option<(String, String)> {
        let mut arrows = ARROWS.iter();
        let sides = arrows.find_map(|arrow| text.split_once(arrow))?;
        Some((sides.0.to_string(), sides.1.to_string()))
    };
    let Some((left, right)) = parted(text) else {
        return refused(
            "has no arrow between what goes in and what comes out",
            SHAPE,
        );
    };
    if parted(&right).is_some() {
        return refused(
            "has more than one arrow",
            "write one reaction, or their sum",
        );
    }
    Ok(Equation {
        text: text.trim().to_string(),
        left: side(&left, "left")?,
        right: side(&right, "right")?,
    })
}

fn side(text: &str, which: &str) -> Result<Vec<Term>, Refused> {
    if text.trim().is_empty() {
        return refused(format!("has nothing on the {which}"), SHAPE);
    }
    pieces(text).iter().map(|piece| term(piece)).collect()
}

/// The terms of a side; a plus right behind a formula that no further term follows is a charge.
fn pieces(text: &str) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for (at, sign) in text.char_indices() {
        let behind = text[at + sign.len_utf8()..].trim_start().chars().next();
        let stands_apart = text[..at].ends_with(char::is_whitespace);
        let parts = sign == '+' && (stands_apart || behind.is_some_and(|next| next != '+'));
        match pieces.last_mut() {
            Some(last) if !parts => last.push(sign),
            _ => pieces.push(String::new()),
        }
    }
    pieces
}

fn term(piece: &str) -> Result<Term, Refused> {
    let mut rest = piece.trim();
    if rest.is_empty() {
        return refused("has a `+` with nothing beside it", SHAPE);
    }
    for state in STATES {
        rest = rest.strip_suffix(state).unwrap_or(rest).trim_end();
    }
    let is_count = |sign: char| sign.is_ascii_digit() || ['.', ',', '/'].contains(&sign);
    let end = rest.find(|sign| !is_count(sign)).unwrap_or(rest.len());
    let (count, rest) = rest.split_at(end);
    let rest = rest.trim_start_matches([' ', '·', '*', '×']);
    if rest.is_empty() {
        return refused(format!("has no formula in `{}`", piece.trim()), SHAPE);
    }
    let (formula, charge) = charged(rest)?;
    Ok(Term {
        count: counted(count)?,
        formula,
        charge,
        text: rest.to_string(),
    })
}

fn counted(text: &str) -> Result<f64, Refused> {
    if text.is_empty() {
        return Ok(1.0);
    }
    if text.contains(',') {
        let hint = "use a decimal point, or multiply all counts until they are whole";
        return refused(format!("has a decimal comma in its count `{text}`"), hint);
    }
    let (above, below) = text.split_once('/').unwrap_or((text, "1"));
    let count = above.parse().ok().zip(below.parse().ok());
    let count = count.map(|(above, below): (f64, f64)| above / below);
    match count.filter(|count| *count > 0.0 && *count < TOO_MANY) {
        Some(count) => Ok(count),
        None => refused(
            format!("has `{text}` as a count"),
            "write a number above 0 before each formula, or none for 1",
        ),
    }
}

/// A formula and the charge behind it: `MnO4^-`, `SO4^2-`, `Fe³⁺`, or a bare sign for one charge.
fn charged(text: &str) -> Result<(Formula, f64), Refused> {
    let formula = |text: &str| {
        let unknown = |error: Error| {
            let hint = error.advice().unwrap_or(SHAPE).to_string();
            Refused(format!("has {}", error.message()), hint)
        };
        Formula::parse(text).map_err(unknown)
    };
    let plain = lowered(text);
    if let Some((front, charge)) = plain.split_once('^') {
        let charge = charge.trim_matches(['{', '}', '(', ')', ' ']);
        let digits = charge.trim_matches(['+', '-']);
        let size = if digits.is_empty() {
            Some(1.0)
        } else {
            digits.parse().ok()
        };
        let sign = match (charge.contains('+'), charge.contains('-')) {
            (true, false) => Some(1.0),
            (false, true) => Some(-1.0),
            _ => None,
        };
        let charge = size.zip(sign).map(|(size, sign): (f64, f64)| size * sign);
        return match charge.filter(|charge| charge.abs() < TOO_MANY) {
            Some(charge) => Ok((formula(front)?, charge)),
            None => refused(
                format!("has a charge that cannot be read in `{text}`"),
                "write it behind a caret, as in `SO4^2-`",
            ),
        };
    }
    let Some(front) = plain.strip_suffix(['+', '-']) else {
        return Ok((formula(&plain)?, 0.0));
    };
    let found = formula(front)?;
    if front.ends_with(|last: char| last.is_ascii_digit()) && found.elements().count() == 1 {
        let hint = "write the charge behind a caret, as in `Fe^3+` or `I3^-`";
        return refused(format!("has `{text}`, which may mean two things"), hint);
    }
    let charge = if plain.ends_with('+') { 1.0 } else { -1.0 };
    Ok((found, charge))
}

/// Raised digits and signs as plain ones behind a caret, long minus signs as short ones.
fn lowered(text: &str) -> String {
    const RAISED: [char; 12] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹', '⁺', '⁻'];
    const PLAIN: [char; 12] = ['0', '1', '2', '3', '4', '5', '6', '7', '8', '9', '+', '-'];
    let mut plain = String::new();
    for sign in text.trim().chars() {
        match RAISED.iter().position(|raised| *raised == sign) {
            Some(which) => {
                if !plain.contains('^') {
                    plain.push('^');
                }
                plain.push(PLAIN[which]);
            }
            None => plain.push(if sign == '−' { '-' } else { sign }),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn is_read(text: &str) -> Equation {
        Equation::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"))
    }

    #[track_caller]
    fn is_refused(text: &str, why: &str) {
        let error = Equation::parse(text).unwrap_err();
        assert!(error.message().contains(why), "{text}: {error}");
        assert!(error.advice().is_some(), "{text}");
    }

    #[test]
    fn an_equation_is_read_in_each_way_it_is_written() {
        for text in [
            "3 I2 + 6 KOH -> KIO3 + 5 KI + 3 H2O",
            "3I2+6KOH→KIO3+5KI+3H2O",
            "3 I2(s) + 6 KOH(aq) = KIO3(s) + 5 KI(aq) + 3 H2O(l)",
            "1/2 I2 + KOH --> 1/6 KIO3 + 5/6 KI + 0.5 H2O",
            "3 I2 + 6 OH- -> IO3- + 5 I- + 3 H2O",
            "3 I2 + 6 OH⁻ ⇌ IO3⁻ + 5 I⁻ + 3 H2O",
        ] {
            assert_eq!(is_read(text).left.len(), 2, "{text}");
        }
        let redox = is_read("MnO4^- + 5 Fe^2+ + 8 H+ -> Mn^2+ + 5 Fe³⁺ + 4 H2O");
        assert_eq!(redox.left[1].charge, 2.0);
        assert_eq!(redox.right[1].charge, 3.0);
        assert_eq!(is_read("Na+ + Cl- -> NaCl").left.len(), 2);
    }

    #[test]
    fn what_is_not_balanced_is_told_by_element_and_by_charge() {
        let off = "`O` 4 on the left, 5 on the right, 1 more on the right";
        is_refused("K2MnO4 -> KMnO4 + KOH", off);
        is_refused(
            "K2MnO4 + Cl2 -> KMnO4 + KCl",
            "`Cl` 2 on the left, 1 on the right",
        );
        is_refused(
            "MnO4^2- -> MnO4^-",
            "the charge -2 on the left, -1 on the right, 1 more on the right",
        );
    }

    #[test]
    fn few_of_many_elements_are_told() {
        let error = Equation::parse("LiBeBCNOFNaMgAl -> KMnO4").unwrap_err();
        assert_eq!(error.message().matches("on the left,").count(), MOST_TOLD);
    }

    #[test]
    fn what_is_no_equation_is_refused() {
        is_refused("", "no arrow");
        is_refused("-> KIO3", "nothing on the left");
        is_refused("I2 ->", "nothing on the right");
        is_refused("I2 -> I2 -> I2", "more than one arrow");
        is_refused("2,5 I2 -> 2.5 I2", "decimal comma");
        is_refused("0 I2 -> 0 I2", "`0` as a count");
        is_refused("I2 + + KOH -> KI", "nothing beside it");
        is_refused("I2 + 3 -> KI", "no formula in `3`");
        is_refused("Xq2 -> KI", "unknown element `Xq`");
        is_refused("Fe3+ -> Fe3+", "may mean two things");
        is_refused("SO4^x -> SO4^x", "charge that cannot be read");
    }

    #[test]
    fn what_is_made_counts_less_what_goes_in() {
        let equation = is_read("3 K2MnO4 + 2 CO2 -> 2 KMnO4 + MnO2 + 2 K2CO3");
        let product = Formula::parse("KMnO4").unwrap();
        assert_eq!(equation.made_of(&product), 2.0);
        assert_eq!(equation.atoms_brought("Mn", &product), 3.0);
        assert_eq!(equation.ceiling("Mn", &product), Some(2.0 / 3.0));
        assert_eq!(
            equation.ceiling("Mn", &Formula::parse("KOH").unwrap()),
            None
        );
    }
}
