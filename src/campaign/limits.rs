//! Table `[limits]`: combinations never to be proposed.
//!
//! In: its section and the declared factors. Out: [`Limits`].
//! This module never knows which levels the log holds, nor the unit of an amount that the log gives.

use std::ops::Bound;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::factors::FactorPlan;
use super::figure::{finite, split};
use super::model::is_choice;
use super::section::{Section, figure};
use super::source::At;

const SHAPE: &str = "write `{ heating = \"hob\", route = \"boildown\" }`";
/// How a range of an amount is written.
pub const RANGES: &str =
    "write a range: `\"> 80\"`, `\"< 10\"`, `\"at least 80\"`, `\"at most 80\"` or `\"60 to 80\"`";

/// Combinations never to be proposed.
#[derive(Debug, Clone, Default)]
pub struct Limits {
    /// Each is a list of factors with what must not come together; none is empty.
    pub never: Vec<Vec<NeverPart>>,
}

/// A factor with what it must not be.
#[derive(Debug, Clone, PartialEq)]
pub struct NeverPart {
    /// The factor.
    pub factor: String,
    /// What is forbidden.
    pub is: NeverIs,
    /// Line of the campaign file.
    pub line: usize,
}

/// What a factor must not be.
#[derive(Debug, Clone, PartialEq)]
pub enum NeverIs {
    /// A level.
    Level(String),
    /// An amount between two ends, in the unit of the factor.
    Amounts {
        /// Lower end.
        low: Bound<f64>,
        /// Upper end.
        high: Bound<f64>,
        /// The unit behind its numbers, where one stands there.
        unit: Option<String>,
    },
}

pub(super) fn limits(section: &Section, factors: &[FactorPlan]) -> Limits {
    let mut never = Vec::new();
    for item in section.items("never") {
        let position = item.span().start;
        let Some(table) = item.get_ref().as_table() else {
            let what = "an entry of `limits.never` is no table";
            section.source.fault(position, what, SHAPE);
            continue;
        };
        if table.iter().next().is_none() {
            let what = "an entry of `limits.never` names no factor: `{}`";
            let hint = format!("{SHAPE}, or take the entry out");
            section.source.fault(position, what, hint);
        }
        never.push(parts(section, table, factors));
    }
    Limits { never }
}

fn parts(section: &Section, table: &DeTable, factors: &[FactorPlan]) -> Vec<NeverPart> {
    let part = |(key, value): (&Spanned<_>, &Spanned<DeValue>)| {
        let name: &str = AsRef::<str>::as_ref(key.get_ref());
        let factor = At {
            value: name.to_string(),
            position: key.span().start,
        };
        let is_choice = is_choice(section, factors, &factor, "limits.never")?;
        Some(NeverPart {
            is: never_is(section, &factor, is_choice, value)?,
            line: section.source.line(factor.position),
            factor: factor.value,
        })
    };
    table.iter().filter_map(part).collect()
}

fn never_is(
    section: &Section,
    factor: &At<String>,
    is_choice: bool,
    value: &Spanned<DeValue>,
) -> Option<NeverIs> {
    let name = &factor.value;
    let refuse = |what: String, hint: &str| {
        section.source.fault(factor.position, what, hint);
        None
    };
    let Some(text) = figure(value.get_ref()) else {
        let what = format!("`{name}` in `limits.never` is neither level nor range");
        let hint = if is_choice { SHAPE } else { RANGES };
        return refuse(what, hint);
    };
    if is_choice {
        return Some(NeverIs::Level(text));
    }
    if value.get_ref().as_str().is_none() {
        let what = format!("`{name}` in `limits.never` is a bare number: {text}");
        let hint = format!("{RANGES}; one value alone is `\"{text} to {text}\"`");
        return refuse(what, &hint);
    }
    range(&text).map(Some).unwrap_or_else(|hint| {
        let what = format!("`{name}` in `limits.never` is no range of an amount: `{text}`");
        refuse(what, &hint)
    })
}

/// Both ends of a range from its one figure.
type Ends = fn(f64) -> [Bound<f64>; 2];

/// What stands before the one end of a range, and the range with that end.
const ONE_ENDED: [(&str, Ends); 8] = [
    ("at least", |end| [Bound::Included(end), Bound::Unbounded]),
    (">=", |end| [Bound::Included(end), Bound::Unbounded]),
    ("\u{2265}", |end| [Bound::Included(end), Bound::Unbounded]),
    ("at most", |end| [Bound::Unbounded, Bound::Included(end)]),
    ("<=", |end| [Bound::Unbounded, Bound::Included(end)]),
    ("\u{2264}", |end| [Bound::Unbounded, Bound::Included(end)]),
    (">", |end| [Bound::Excluded(end), Bound::Unbounded]),
    ("<", |end| [Bound::Unbounded, Bound::Excluded(end)]),
];

/// Reads a range of an amount, or says how one is written.
fn range(text: &str) -> Result<NeverIs, String> {
    let text = text.trim();
    for (word, ends) in ONE_ENDED {
        if let Some(rest) = text.strip_prefix(word) {
            let (end, unit) = number(rest)?;
            let [low, high] = ends(end);
            return Ok(NeverIs::Amounts { low, high, unit });
        }
    }
    let Some((from, to)) = text.split_once(" to ") else {
        // A number alone is read so far that its decimal comma is told.
        return Err(match number(text) {
            Err(hint) if hint != RANGES => hint,
            _ => RANGES.into(),
        });
    };
    let ((from, unit), (to, also)) = (number(from)?, number(to)?);
    if from > to {
        return Err(format!("the range goes down: write `\"{to} to {from}\"`"));
    }
    if unit.is_some() && also.is_some() && unit != also {
        return Err("write one unit, behind the second number".into());
    }
    Ok(NeverIs::Amounts {
        low: Bound::Included(from),
        high: Bound::Included(to),
        unit: also.or(unit),
    })
}

/// A number and the unit behind it.
fn number(text: &str) -> Result<(f64, Option<String>), String> {
    let (digits, unit) = split(text);
    if digits.is_empty() {
        return Err(RANGES.into());
    }
    if unit.starts_with(',') {
        return Err("use a decimal point, such as `\"> 12.5\"`, whatever the logs use".into());
    }
    let value = finite(digits).map_err(|_| RANGES.to_string())?;
    Ok((value, (!unit.is_empty()).then(|| unit.to_string())))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ends(text: &str) -> Option<(Bound<f64>, Bound<f64>)> {
        match range(text) {
            Ok(NeverIs::Amounts { low, high, .. }) => Some((low, high)),
            _ => None,
        }
    }

    #[test]
    fn ranges_are_read_in_each_form() {
        use Bound::{Excluded, Included, Unbounded};
        assert_eq!(ends("> 80"), Some((Excluded(80.0), Unbounded)));
        assert_eq!(ends(">=80"), Some((Included(80.0), Unbounded)));
        assert_eq!(ends("< -1.5e1"), Some((Unbounded, Excluded(-15.0))));
        assert_eq!(ends("at least 80 %"), Some((Included(80.0), Unbounded)));
        assert_eq!(ends("at most 0.3 g/g"), Some((Unbounded, Included(0.3))));
        assert_eq!(ends("60 to 80"), Some((Included(60.0), Included(80.0))));
        assert_eq!(ends("60 % to 80 %"), Some((Included(60.0), Included(80.0))));
    }

    #[test]
    fn what_is_no_range_is_refused() {
        for text in [
            "",
            "80",
            "above 80",
            "80 to 60",
            "> ",
            "60-80",
            "> 12,5",
            "12,5 to 13",
            "> nan",
            "60 g to 80 kg",
            "x to y",
        ] {
            assert!(range(text).is_err(), "{text}");
        }
        assert!(range("12,5").unwrap_err().contains("decimal point"));
    }
}
