//! Tables that stand in a grid: their headings, units and rows.
//!
//! In: a [`Grid`], and which headings are known. Out: [`Sheet`]s, and the rows that belong to none, by what they are.
//! This module never drops a row unseen: what is no row of a table is [`PassedOver`].

use super::grid::Grid;
use super::over_rows::is_over_rows;

/// Rows at the top among which a known heading is looked for.
const TOP: usize = 30;

/// Rows that tell whether a column holds figures.
const SHOWN: usize = 20;

/// One table of a grid.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Sheet {
    /// The title above it.
    pub title: Option<String>,
    /// Position of the row of its headings.
    pub heading: usize,
    /// Position of a row of units below the headings.
    pub units: Option<usize>,
    /// Positions of its rows.
    pub rows: Vec<u32>,
    /// What belongs to it and is no row.
    pub passed: Vec<PassedOver>,
}

/// Rows of a file that are no rows of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PassedOver {
    /// What they are.
    pub what: Passed,
    /// Their lines.
    pub lines: Vec<usize>,
}

/// What a row is that is no row of a table.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Passed {
    /// A title or a remark above the headings.
    Title,
    /// A remark that begins with `#`.
    Comment,
    /// The units of the headings.
    Units,
    /// The headings once more.
    HeadingAgain,
    /// A sum or mean over rows.
    OverRows,
    /// Cells in a column without a heading.
    NoHeading {
        /// Number of the column, from 1.
        column: usize,
    },
    /// A table that no log is.
    OtherTable {
        /// Its number in the file, from 1.
        number: usize,
        /// Its title.
        title: Option<String>,
    },
}

impl Grid {
    /// Line of a row.
    pub fn line(&self, row: usize) -> usize {
        self.rows[row].line as usize
    }

    /// Rows that are none of a table.
    pub fn others(&self, mut is_row: impl FnMut(usize) -> bool) -> Vec<usize> {
        (0..self.rows.len()).filter(|row| !is_row(*row)).collect()
    }

    /// How many cells of a row there are up to the last that holds anything.
    pub fn filled(&self, row: usize) -> usize {
        self.rows[row].filled as usize
    }

    /// One column, row by row.
    pub fn column(&self, column: usize) -> Option<&super::Cells> {
        self.columns.get(column)
    }

    /// Headings of a table, up to the last.
    pub fn headings(&self, sheet: &Sheet) -> Vec<Option<&str>> {
        self.texts(sheet.heading).collect()
    }

    /// Where the row of a table has other cells than its headings: how many, and how many headings there are.
    ///
    /// Spreadsheets end rows with cells that hold nothing and have no heading; these do not count.
    pub fn ragged(&self, sheet: &Sheet, row: usize) -> Option<[usize; 2]> {
        let heading = &self.rows[sheet.heading];
        let row = &self.rows[sheet.rows[row] as usize];
        let is_short = row.cells < heading.filled;
        let is_long = row.filled > heading.cells;
        (is_short || is_long).then(|| {
            let cells = match is_long {
                true => row.filled.max(heading.cells),
                false => row.cells,
            };
            [cells as usize, heading.filled as usize]
        })
    }

    fn first(&self, row: usize) -> &str {
        self.texts(row).flatten().next().unwrap_or_default()
    }

    fn count(&self, row: usize) -> usize {
        self.texts(row).flatten().count()
    }

    /// Whether a row holds different words and no figure.
    fn is_words(&self, row: usize) -> bool {
        let mut seen: Vec<&str> = self.texts(row).flatten().collect();
        let count = seen.len();
        let is_word = |text: &&str| !is_figure(text);
        seen.sort_unstable();
        seen.dedup();
        count > 1 && seen.len() == count && seen.iter().all(is_word)
    }

    /// Whether a row begins with `#` and a blank, or holds nothing but one text that begins so: `#REF!` beside others is a cell.
    fn is_comment(&self, row: usize) -> bool {
        let text = self.cell(0, row).unwrap_or_default();
        let behind = text.strip_prefix('#');
        behind.is_some_and(|behind| behind.starts_with(' ') || self.rows[row].filled == 1)
    }

    /// Whether most cells that a table shows first in a column are figures.
    fn holds_figures(&self, sheet: &Sheet, column: usize) -> bool {
        let shown = sheet.rows.iter().take(SHOWN);
        let texts = shown.filter_map(|row| self.cell(column, *row as usize));
        let (figures, words): (Vec<&str>, Vec<&str>) = texts.partition(|text| is_figure(text));
        figures.len() > 3 * words.len()
    }

    /// In how many columns a row has a word where a table has figures.
    fn contrast(&self, sheet: &Sheet, row: usize) -> usize {
        let texts = self.texts(row).enumerate();
        let words = texts.filter(|(_, text)| text.is_some_and(|text| !is_figure(text)));
        words
            .filter(|(column, _)| self.holds_figures(sheet, *column))
            .count()
    }

    /// Whether all that a row holds are units, one of them a real one.
    fn is_units(&self, row: usize, is_unit: &dyn Fn(&str) -> bool) -> bool {
        let bare = |text: &str| text.trim_matches(['(', ')', '[', ']']).trim().to_string();
        let texts: Vec<String> = self.texts(row).flatten().map(bare).collect();
        let is_none = |text: &String| text.chars().all(|sign| "-\u{2013}\u{2014}.".contains(sign));
        let mut units = texts.iter().filter(|text| !is_none(text)).peekable();
        units.peek().is_some() && units.all(|text| is_unit(text))
    }
}

/// Whether a text is a figure or begins like one: `12.4`, `-3`, `<0.5`, `12.01.24`.
fn is_figure(text: &str) -> bool {
    let bare = text.trim_start_matches([
        '-', '+', '~', '<', '>', '\u{2212}', '(', '\u{20ac}', '$', '\u{a3}',
    ]);
    bare.trim_start()
        .starts_with(|sign: char| sign.is_ascii_digit())
}

/// The tables of a grid.
///
/// The first begins with the first row of which known headings are made, or that has more cells than a title. A further one begins
/// behind a blank row or below a title, where a row holds words in columns of figures.
pub fn tables(
    grid: &Grid,
    is_known: &dyn Fn(&str) -> bool,
    is_unit: &dyn Fn(&str) -> bool,
) -> Vec<Sheet> {
    let mut found: Vec<Sheet> = Vec::new();
    let Some(first) = first_heading(grid, is_known) else {
        return found;
    };
    let mut title = None;
    let mut above: Vec<PassedOver> = Vec::new();
    for row in 0..first {
        if grid.is_comment(row) {
            pass(&mut above, Passed::Comment, grid.line(row));
        } else {
            title = Some(grid.first(row).to_string()).filter(|_| grid.count(row) == 1);
            pass(&mut above, Passed::Title, grid.line(row));
        }
    }
    let (mut begin, mut first_heading) = (Some(first), "");
    let mut row = first;
    while row < grid.rows.len() {
        let below = row + 1;
        if begin == Some(row) {
            let units = (below < grid.rows.len() && grid.is_units(below, is_unit)).then_some(below);
            if let Some(units) = units {
                pass(&mut above, Passed::Units, grid.line(units));
            }
            first_heading = grid.first(row);
            found.push(Sheet {
                title: title.take(),
                heading: row,
                units,
                rows: Vec::new(),
                passed: std::mem::take(&mut above),
            });
            row = units.unwrap_or(row) + 1;
            continue;
        }
        let Some(sheet) = found.last_mut() else { break };
        let (line, is_after_blank) = (grid.line(row), grid.rows[row].after_blank);
        let is_title = grid.rows[row].filled == 1;
        let first = grid.first(row);
        if first.starts_with('#') && grid.is_comment(row) && !first_heading.starts_with('#') {
            pass(&mut sheet.passed, Passed::Comment, line);
        } else if is_over_rows(first) {
            pass(&mut sheet.passed, Passed::OverRows, line);
        } else if first == first_heading && grid.texts(row).eq(grid.texts(sheet.heading)) {
            pass(&mut sheet.passed, Passed::HeadingAgain, line);
        } else if is_after_blank && grid.is_words(row) && grid.contrast(sheet, row) > 1 {
            begin = Some(row);
            continue;
        } else if is_after_blank
            && is_title
            && below < grid.rows.len()
            && grid.is_words(below)
            && grid.contrast(sheet, below) > 0
        {
            title = Some(grid.first(row).to_string());
            pass(&mut above, Passed::Title, line);
            begin = Some(below);
        } else {
            sheet.rows.push(row as u32);
        }
        row += 1;
    }
    found
}

/// Adds a line to those that are passed over as the same.
pub fn pass(passed: &mut Vec<PassedOver>, what: Passed, line: usize) {
    match passed.iter_mut().find(|known| known.what == what) {
        Some(known) => known.lines.push(line),
        None => passed.push(PassedOver {
            what,
            lines: vec![line],
        }),
    }
}

/// The row of the first headings: the first with known ones, else the first that is neither title nor remark.
fn first_heading(grid: &Grid, is_known: &dyn Fn(&str) -> bool) -> Option<usize> {
    let top = || 0..grid.rows.len().min(TOP);
    let known = |row: usize| {
        let texts = grid.texts(row).flatten();
        texts.filter(|text| is_known(text)).count()
    };
    let of_several = top().find(|row| known(*row) > 1);
    let mut several = top().filter(|row| grid.count(*row) > 1).peekable();
    let is_wide = several.peek().is_some();
    of_several
        .or_else(|| top().find(|row| known(*row) > 0 && (grid.count(*row) > 1 || !is_wide)))
        .or_else(|| top().find(|row| !grid.is_comment(*row) && (grid.count(*row) > 1 || !is_wide)))
}

#[cfg(test)]
mod tests {
    use super::super::{File, Mark, grid};
    use super::*;

    fn of(text: &str) -> (Grid, Vec<Sheet>) {
        let file = File {
            name: "log.csv",
            bytes: text.as_bytes(),
            separator: None,
            mark: Mark::Point,
        };
        let (grid, _) = grid(&file, None).unwrap();
        let known = |text: &str| ["run", "mass"].contains(&text);
        let sheets = tables(&grid, &known, &|text| ["g", "mL"].contains(&text));
        (grid, sheets)
    }

    fn lines(grid: &Grid, sheet: &Sheet) -> Vec<usize> {
        sheet
            .rows
            .iter()
            .map(|row| grid.line(*row as usize))
            .collect()
    }

    #[test]
    fn titles_units_sums_and_remarks_are_no_rows() {
        let (grid, sheets) = of(
            "Nickel,,\n,,\nrun,mass,note\n,g,\nA,1,x\n# new bottle,,\nB,2,\n,,\nC,3,y\nTotal,6,\n",
        );
        assert_eq!(sheets.len(), 1);
        assert_eq!(sheets[0].title.as_deref(), Some("Nickel"));
        assert_eq!(lines(&grid, &sheets[0]), [5, 7, 9]);
        let passed = sheets[0].passed.iter().cloned();
        let passed: Vec<(Passed, Vec<usize>)> = passed.map(|of| (of.what, of.lines)).collect();
        assert_eq!(
            passed,
            [
                (Passed::Title, vec![1]),
                (Passed::Units, vec![4]),
                (Passed::Comment, vec![6]),
                (Passed::OverRows, vec![10])
            ]
        );
    }

    #[test]
    fn a_further_table_begins_behind_a_blank_row() {
        let text = "run,mass,day\nA,1,3\nB,2,4\n\nTitres,,\nrun,crop,titre\nA,1,22.1\n\nlot,assay,price\nX,0.3,4\n";
        let (grid, sheets) = of(text);
        let found: Vec<(Option<&str>, usize, Vec<usize>)> = sheets
            .iter()
            .map(|sheet| {
                (
                    sheet.title.as_deref(),
                    grid.line(sheet.heading),
                    lines(&grid, sheet),
                )
            })
            .collect();
        assert_eq!(
            found,
            [
                (None, 1, vec![2, 3]),
                (Some("Titres"), 6, vec![7]),
                (None, 9, vec![10])
            ]
        );
    }

    #[test]
    fn a_row_of_words_among_words_is_a_row() {
        let (grid, sheets) = of("run,route,note\nA,hot,x\n\nB,cold,y\nC,cold,z\n");
        assert_eq!(lines(&grid, &sheets[0]), [2, 4, 5]);
    }

    #[test]
    fn a_row_with_a_cell_too_many_or_too_few_is_ragged_and_empty_ends_are_not() {
        let (grid, sheets) = of("run,mass,\nA,1\nB,2,,\nC,3,,x\nD\n");
        let ragged: Vec<bool> = (0..4)
            .map(|row| grid.ragged(&sheets[0], row).is_some())
            .collect();
        assert_eq!(ragged, [false, false, true, true]);
    }
}
