//! Records of a separated text: the line each begins on and how many cells it has.
//!
//! In: a text and its separator. Out: [`Records`], and the text that a reader of CSV can cut without doubt.
//! This module never cuts a cell out, and never reads a value.

use std::borrow::Cow;
use std::ops::Range;

use memchr::{memchr, memchr_iter, memchr2, memchr3};

use super::row::Row;
use crate::error::{Error, ErrorKind, Place};

/// Separators that are tried, in this order, when the campaign names none.
const SEPARATORS: [char; 4] = [',', ';', '\t', '|'];

/// Records that are looked at to find the separator.
const LOOKED_AT: usize = 60;

/// The records of a text that hold anything.
pub(super) struct Records<'t> {
    /// Separator of the cells.
    pub separator: char,
    /// The text of the records, `\n` behind each, blanks around quotes taken away.
    pub text: Cow<'t, str>,
    /// Bytes of the longest.
    pub longest: usize,
    /// One a record: usually a line, more when a quoted cell holds a line break.
    pub rows: Vec<Row>,
}

/// The records of a text with the separator that is named, or the likeliest.
///
/// # Errors
/// A quote in the middle of a cell or never closed.
pub(super) fn records<'t>(
    file: &str,
    text: &'t str,
    named: Option<char>,
    decimal_comma: bool,
) -> Result<Records<'t>, Error> {
    let separator = named.unwrap_or_else(|| likeliest(text, decimal_comma));
    cut(file, text, separator, usize::MAX)
}

/// The separator under which most records have one number of cells, and more than one cell.
fn likeliest(text: &str, decimal_comma: bool) -> char {
    let candidates = SEPARATORS
        .into_iter()
        .filter(|separator| *separator != ',' || !decimal_comma);
    let scored = candidates.rev().filter_map(|separator| {
        // A quote that does not fit is told once the separator is known.
        let rows = cut("", text, separator, LOOKED_AT).ok()?.rows;
        let alike = |cells: u32| rows.iter().filter(|row| row.cells == cells).count();
        let usual = rows.iter().map(|row| (alike(row.cells), row.cells)).max();
        usual
            .filter(|(_, cells)| *cells > 1)
            .map(|score| (score, separator))
    });
    // Of two that do as well, the one that is tried first.
    let best = scored.max_by_key(|(score, _)| *score);
    let usual = if decimal_comma { ';' } else { ',' };
    best.map_or(usual, |(_, separator)| separator)
}

/// Cuts a text into so many records at most; a quote counts only at the beginning and at the end of a cell.
///
/// # Source
/// RFC 4180, section 2, items 5 to 7; blanks around quotes are taken away here.
fn cut<'t>(file: &str, text: &'t str, separator: char, most: usize) -> Result<Records<'t>, Error> {
    let bytes = text.as_bytes();
    let parting = separator as u8;
    let (mut rows, mut longest, mut begun) = (Vec::new(), 0, 0);
    let mut kept = Kept::default();
    // Line, and what was kept before the record.
    let (mut line, mut before) = (1, (0, 0));
    let fresh = |line: u32, after_blank: bool| Row {
        line,
        cells: 0,
        filled: 0,
        after_blank,
    };
    let mut row = fresh(line, false);
    // Where the cell begins, and what is not yet written.
    let (mut cell, mut from) = (0, 0);
    let mut looked_at = 0;
    while rows.len() < most && looked_at <= bytes.len() {
        let rest = &bytes[looked_at..];
        // Nearly all lines are like this: without a quote, and something in the last cell.
        if from == looked_at
            && let Some(end) = memchr2(b'\n', b'"', rest)
            && let (inside, [b'\n', ..]) = rest.split_at(end)
            && inside
                .last()
                .is_some_and(|last| last.is_ascii_graphic() && *last != parting)
        {
            row.cells += 1 + inside.iter().filter(|byte| **byte == parting).count() as u32;
            row.filled = row.cells;
            rows.push(row);
            looked_at += end + 1;
            longest = longest.max(looked_at - begun);
            begun = looked_at;
            kept.keep(from..looked_at);
            before = kept.end();
            (cell, from) = (looked_at, looked_at);
            line += 1;
            row = fresh(line, false);
            continue;
        }
        let next = memchr3(parting, b'\n', b'"', rest);
        // A last line without its end is a record like others.
        let position = next.map_or(bytes.len(), |next| looked_at + next);
        let sign = bytes.get(position).copied().unwrap_or(b'\n');
        if sign == b'"' {
            if !text[cell..position].trim().is_empty() {
                return Err(quote_within(file, line));
            }
            let closed = closing(bytes, position).ok_or_else(|| never_closed(file, line))?;
            let inside = &bytes[position..=closed];
            line += memchr_iter(b'\n', inside).count() as u32;
            // Behind the quote nothing but blanks up to the end of the cell.
            let behind = memchr2(parting, b'\n', &bytes[closed..]);
            let end = behind.map_or(bytes.len(), |behind| closed + behind);
            if !text[closed + 1..end].trim().is_empty() {
                return Err(quote_within(file, line));
            }
            kept.keep(from..cell);
            kept.keep(position..closed + 1);
            let holds_anything = !text[position + 1..closed].trim().is_empty();
            row.filled = if holds_anything {
                row.cells + 1
            } else {
                row.filled
            };
            (cell, from, looked_at) = (end, end, end);
            continue;
        }
        row.cells += 1;
        if !text[cell..position].trim().is_empty() {
            row.filled = row.cells;
        }
        cell = position + 1;
        looked_at = cell;
        if sign == b'\n' {
            let is_blank = row.filled == 0;
            if is_blank {
                kept.back_to(before);
            } else {
                // The end of a last line that has none is added.
                kept.keep(from..position + 1);
                rows.push(row);
                before = kept.end();
            }
            line += 1;
            longest = longest.max(cell - begun);
            (begun, from) = (cell, cell);
            row = fresh(line, is_blank);
        }
    }
    Ok(Records {
        separator,
        text: kept.of(text),
        longest,
        rows,
    })
}

/// Parts of a text that are kept, in their order; those that touch are one.
#[derive(Default)]
struct Kept(Vec<Range<usize>>);

impl Kept {
    fn keep(&mut self, part: Range<usize>) {
        match self.0.last_mut() {
            Some(last) if last.end == part.start => last.end = part.end,
            _ => self.0.push(part),
        }
    }

    /// How many parts there are and where the last one ends.
    fn end(&self) -> (usize, usize) {
        (self.0.len(), self.0.last().map_or(0, |last| last.end))
    }

    /// Forgets what was kept since.
    fn back_to(&mut self, (parts, end): (usize, usize)) {
        self.0.truncate(parts);
        if let Some(last) = self.0.last_mut() {
            last.end = end;
        }
    }

    /// What is kept of a text; nothing is copied where it is one part of it.
    fn of<'t>(&self, text: &'t str) -> Cow<'t, str> {
        match self.0.as_slice() {
            [] => Cow::Borrowed(""),
            [one] if one.end <= text.len() => Cow::Borrowed(&text[one.clone()]),
            parts => {
                let within = |part: &Range<usize>| &text[part.start..part.end.min(text.len())];
                let mut all: String = parts.iter().map(within).collect();
                if self.end().1 > text.len() {
                    all.push('\n');
                }
                Cow::Owned(all)
            }
        }
    }
}

/// Where a quoted cell is closed that was opened there; a doubled quote closes nothing.
fn closing(bytes: &[u8], opened: usize) -> Option<usize> {
    let mut from = opened + 1;
    loop {
        let quote = from + memchr(b'"', &bytes[from..])?;
        if bytes.get(quote + 1) != Some(&b'"') {
            return Some(quote);
        }
        from = quote + 2;
    }
}

fn quote_within(file: &str, line: u32) -> Error {
    let place = Place::new(file, line as usize);
    let message = format!("a quote stands in the middle of a cell in {place}");
    let hint =
        "put the whole cell in quotes and write each quote inside it twice, or take the quote out";
    place.fault(ErrorKind::BadRow, message, hint)
}

fn never_closed(file: &str, line: u32) -> Error {
    let place = Place::new(file, line as usize);
    let message = format!("a quote in {place} is never closed");
    let hint = "close it, or write a quote inside a cell twice";
    place.fault(ErrorKind::BadRow, message, hint)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> Result<Records<'_>, Error> {
        records("log.csv", text, None, false)
    }

    #[test]
    fn lines_are_counted_past_blank_ones_and_within_quotes() {
        let found = of("run;mass\n\nA;1\n;;\nB;\"two\nlines\"\nC;3").unwrap();
        assert_eq!(found.separator, ';');
        let lines: Vec<u32> = found.rows.iter().map(|row| row.line).collect();
        assert_eq!(lines, [1, 3, 5, 7]);
        assert_eq!(found.text, "run;mass\nA;1\nB;\"two\nlines\"\nC;3\n");
    }

    #[test]
    fn a_text_that_needs_no_change_is_not_copied() {
        let text = "run,note\nA,\"x, y\"\n";
        assert!(matches!(of(text).unwrap().text, Cow::Borrowed(same) if same == text));
        assert_eq!(of("run,note\n \"\",\nB,x").unwrap().text, "run,note\nB,x\n");
    }

    #[test]
    fn blanks_around_quotes_go_and_doubled_quotes_stay() {
        let found = of("run,note,x\nA , \"5\"\" pipe, long\" ,\n").unwrap();
        assert_eq!(found.text, "run,note,x\nA ,\"5\"\" pipe, long\",\n");
        let last = found.rows[1];
        assert_eq!((last.cells, last.filled), (3, 2));
    }

    #[test]
    fn the_separator_is_that_of_most_rows() {
        for (text, separator) in [
            ("a title, that is\nrun;mass\nA;1\nB;2\n", ';'),
            ("run|mass\nA|1,5\nB|2,5\n", '|'),
            ("run\tmass\nA\t1\n", '\t'),
            ("run\nA\n", ','),
        ] {
            assert_eq!(of(text).unwrap().separator, separator, "{text}");
        }
        let found = records("log.csv", "run;mass\nA;1,5\nB;2,5\n", None, true);
        assert_eq!(found.unwrap().separator, ';');
    }

    #[test]
    fn a_quote_in_the_middle_of_a_cell_is_named_by_its_line() {
        for text in [
            "run,note\nA,x\nB,5\" pipe\n",
            "run,note\nA,\"x\ny\"z\n",
            // A bar is no beginning where commas separate.
            "run,note\nA,x\nB,x|\"y,z\"\n",
        ] {
            let fault = of(text).err().unwrap();
            assert_eq!(fault.line(), Some(3), "{text}");
            assert_eq!(fault.kind(), ErrorKind::BadRow);
        }
        assert_eq!(of("run\n\"A\nB\n").err().unwrap().line(), Some(2));
    }
}
