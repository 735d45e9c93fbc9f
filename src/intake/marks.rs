//! Marks within numbers: which one is the decimal mark, and whether the other one parts groups of three figures.
//!
//! In: the text of a number, the decimal mark of the campaign file and the cells of a table. Out: a finite number, or what
//! the text could mean.
//! This module never takes a text that could be two numbers for one of them.

use crate::campaign::{Decimal, Logs, PlusMinusIs};

/// Blanks that part groups of figures: ordinary, without a break, thin, and thin without a break.
const BLANKS: [char; 4] = [' ', '\u{a0}', '\u{2009}', '\u{202f}'];

/// Apostrophes that do so.
const APOSTROPHES: [char; 2] = ['\'', '\u{2019}'];

/// Figures of a group.
const GROUP: usize = 3;

/// How the numbers of one table are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Marks {
    /// The decimal mark.
    pub decimal: Decimal,
    /// Whether the other mark parts thousands, as the table shows beyond doubt.
    pub thousands: bool,
    /// What stands behind a `±`.
    pub plus_minus: Option<PlusMinusIs>,
}

/// What the text of a number says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Said {
    /// A number.
    Number(f64),
    /// A number by the decimal mark of the campaign file where its one group is of thousands, and another one with the
    /// marks the other way round: `2,114`.
    Either { grouped: f64, fraction: f64 },
    /// A number with the other decimal mark alone: `22,85`.
    Otherwise(f64),
    /// A number with both marks the other way round, which no single slip explains: `2.114,6`.
    WrongWayRound(f64),
    /// No number.
    Nothing,
}

impl Decimal {
    /// The mark itself.
    pub(super) fn mark(self) -> char {
        match self {
            Decimal::Point => '.',
            Decimal::Comma => ',',
        }
    }

    /// The other one.
    pub(super) fn other(self) -> Decimal {
        match self {
            Decimal::Point => Decimal::Comma,
            Decimal::Comma => Decimal::Point,
        }
    }
}

impl Marks {
    /// Marks of the campaign file alone, in a table without a number that shows more.
    pub fn plain(logs: &Logs) -> Marks {
        Marks {
            decimal: logs.decimal,
            thousands: false,
            plus_minus: logs.plus_minus,
        }
    }

    /// Marks of a table with these cells.
    ///
    /// `2,114` under a decimal point is read as thousands where another cell can be nothing else (`2,114.6`, `1,234,567`).
    /// A number that can only have a decimal comma (`22,85`) is refused itself; it is taken for a slip of its own, not for
    /// evidence, as long as such numbers are no more than the clear ones. A number with both marks the other way round
    /// (`2.114,6`) is no slip: somebody wrote decimal commas into this table, and `2,114` could be theirs.
    /// Under a decimal comma all of this holds with comma and point exchanged.
    pub fn of_table<'c>(logs: &Logs, cells: impl Iterator<Item = &'c str>) -> Marks {
        let marks = Marks::plain(logs);
        let foreign = logs.decimal.other().mark() as u8;
        let (mut clear, mut slips) = (0_usize, 0_usize);
        for cell in cells.filter(|cell| cell.as_bytes().contains(&foreign)) {
            match said(figure_of(cell), logs.decimal) {
                // A number that holds the other mark and is read all the same has it between its groups.
                Said::Number(_) => clear += 1,
                Said::Otherwise(_) => slips += 1,
                Said::WrongWayRound(_) => return marks,
                Said::Either { .. } | Said::Nothing => {}
            }
        }
        Marks {
            thousands: clear > 0 && slips <= clear,
            ..marks
        }
    }
}

/// The figure of a cell without its ±, and without a sign of money or per cent.
fn figure_of(cell: &str) -> &str {
    let figure = cell.split('±').next().unwrap_or(cell);
    figure.trim_matches(|c: char| c.is_whitespace() || "%€$£¥₹".contains(c))
}

/// What a text says where that is the decimal mark.
pub(super) fn said(text: &str, decimal: Decimal) -> Said {
    let ours = read(text, decimal);
    let theirs = read(text, decimal.other());
    match (ours, theirs) {
        (Some(ours), Some(theirs)) if ours.by_other_mark => Said::Either {
            grouped: ours.value,
            fraction: theirs.value,
        },
        (Some(ours), _) => Said::Number(ours.value),
        (None, Some(theirs)) if theirs.by_other_mark => Said::WrongWayRound(theirs.value),
        (None, Some(theirs)) => Said::Otherwise(theirs.value),
        (None, None) => Said::Nothing,
    }
}

/// A number, and whether the mark that is not decimal parts its groups.
struct Reading {
    value: f64,
    by_other_mark: bool,
}

/// Reads a number with that decimal mark; its whole part may be cut into groups of three by one other sign.
fn read(text: &str, decimal: Decimal) -> Option<Reading> {
    let text = text.trim();
    let unsigned = text.strip_prefix(['-', '+', '\u{2212}']);
    let is_negative = unsigned.is_some() && !text.starts_with('+');
    let (sign, unsigned) = (if is_negative { "-" } else { "" }, unsigned.unwrap_or(text));
    let exponent = unsigned.find(['e', 'E']).unwrap_or(unsigned.len());
    let (mantissa, exponent) = unsigned.split_at(exponent);
    let (whole, fraction) = mantissa
        .split_once(decimal.mark())
        .unwrap_or((mantissa, ""));
    let is_digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    let other = decimal.other().mark();
    let separator = whole.chars().find(|c| !c.is_ascii_digit());
    let is_separator = |c: &char| *c == other || BLANKS.contains(c) || APOSTROPHES.contains(c);
    let groups: String = match separator {
        None => whole.to_string(),
        Some(separator) => {
            let mut groups = whole.split(separator);
            let first = groups.next().unwrap_or_default();
            let is_first = (1..=GROUP).contains(&first.len()) && !first.starts_with('0');
            let is_group = |group: &str| group.len() == GROUP && is_digits(group);
            if !is_separator(&separator) || !is_first || !groups.all(is_group) {
                return None;
            }
            whole.chars().filter(|c| *c != separator).collect()
        }
    };
    if groups.is_empty() && fraction.is_empty() || !is_digits(fraction) {
        return None;
    }
    let plain = format!("{sign}{groups}.{fraction}{exponent}");
    let value: f64 = plain.parse().ok()?;
    value.is_finite().then_some(Reading {
        value,
        by_other_mark: separator == Some(other),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use Said::{Either, Nothing, Number, Otherwise, WrongWayRound};

    fn point(text: &str) -> Said {
        said(text, Decimal::Point)
    }

    #[test]
    fn thousands_are_parted_by_the_other_mark_a_blank_or_an_apostrophe() {
        for text in [
            "2114.6",
            "2,114.6",
            "2 114.6",
            "2\u{a0}114.6",
            "2\u{2009}114.6",
            "2\u{202f}114.6",
            "2'114.6",
            "2\u{2019}114.6",
        ] {
            assert_eq!(point(text), Number(2114.6), "{text}");
            let mirrored: String = text.chars().map(mirror).collect();
            assert_eq!(
                said(&mirrored, Decimal::Comma),
                Number(2114.6),
                "{mirrored}"
            );
        }
        assert_eq!(point("1,234,567"), Number(1_234_567.0));
        assert_eq!(point("\u{2212}1 234.5"), Number(-1234.5));
        assert_eq!(point("2 114"), Number(2114.0));
    }

    fn mirror(c: char) -> char {
        match c {
            '.' => ',',
            ',' => '.',
            other => other,
        }
    }

    #[test]
    fn one_group_alone_could_be_a_fraction() {
        let either = Either {
            grouped: 2114.0,
            fraction: 2.114,
        };
        assert_eq!(point("2,114"), either);
        assert_eq!(said("2.114", Decimal::Comma), either);
        // The decimal mark of the campaign file is never taken for anything else.
        assert_eq!(point("2.114"), Number(2.114));
        assert_eq!(said("2,114", Decimal::Comma), Number(2.114));
    }

    #[test]
    fn numbers_of_the_other_decimal_mark_are_told_from_groups() {
        for (text, value) in [
            ("22,85", 22.85),
            ("0,114", 0.114),
            ("1234,567", 1234.567),
            (",5", 0.5),
            ("1,5e-3", 0.0015),
            ("2 114,6", 2114.6),
        ] {
            assert_eq!(point(text), Otherwise(value), "{text}");
        }
        assert_eq!(point("2.114,6"), WrongWayRound(2114.6));
        assert_eq!(point("1.234.567"), WrongWayRound(1_234_567.0));
    }

    #[test]
    fn what_is_cut_into_other_groups_is_no_number() {
        for text in [
            "1,23,456",
            "12 34",
            "1 2",
            "2,114 600",
            "1,2345.6",
            "1,,234",
            ",",
            ".",
            "-",
            "",
            "1e",
            "1 e5",
            "1,234.5.6",
            "- 5",
            "5 %",
            "0x10",
            "1_000",
            "1e999",
        ] {
            assert_eq!(point(text), Nothing, "{text}");
        }
    }

    fn thousands(cells: &[&str]) -> bool {
        Marks::of_table(&Logs::default(), cells.iter().copied()).thousands
    }

    #[test]
    fn a_table_shows_its_thousands_by_a_number_that_can_be_nothing_else() {
        assert!(thousands(&["2,114", "2,114.6"]));
        assert!(thousands(&["1,234,567"]));
        assert!(thousands(&["\u{20ac}2,114.60", "muddy, a bit"]));
        assert!(!thousands(&["2,114", "3,205", "12.5"]));
        assert!(!thousands(&["2 114.6", "2,114"]));
    }

    #[test]
    fn a_slip_is_no_evidence_and_many_of_them_or_a_number_the_other_way_round_are() {
        assert!(thousands(&["2,114.6", "22,85"]));
        assert!(!thousands(&["2,114.6", "22,85", "21,9"]));
        assert!(!thousands(&["2,114.6", "2,306.1", "2.114,6"]));
    }
}
