//! Decimal mark that texts of numbers are written with.
//!
//! In: a number with a decimal point, as text. Out: the same with the mark of the campaign's logs.
//! This module never reads a number.

/// The decimal mark of a campaign's logs; typed numbers of a workbook become texts with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// `12.4`
    Point,
    /// `12,4`
    Comma,
}

impl Mark {
    /// A number written with a decimal point, with this mark.
    pub(super) fn of(self, text: String) -> String {
        match self {
            Mark::Point => text,
            Mark::Comma => text.replace('.', ","),
        }
    }
}
