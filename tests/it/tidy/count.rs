//! Lines of the code by folder and kind, and files on the way of one value, beside what DEVELOPERS.md says of both.
//!
//! In: a [`Tree`]. Out: one sentence for each folder whose lines are others by now, with the whole table as it should stand,
//! and for each step of a way that is not there.
//! This module never counts what is not in `src`.

use std::collections::BTreeMap;

use super::tree::Tree;
use super::{check, check_breach};

/// Most lines of product code that `src` may hold; who raises it says in the commit what could not be replaced.
pub const MOST_PRODUCT_LINES: usize = 71_900;

/// By how many lines a figure of the table may be out before it has to be written anew: a change of one file needs no new table.
const NEAR_ENOUGH: usize = 150;

const HEADING: &str = "| Folder | Files | Product | Tests | Documentation | Blank |";

/// The ways that DEVELOPERS.md follows, by the beginnings of their headings, with the most files of each.
const WAYS: [(&str, usize); 3] = [
    ("### A titre", 15),
    ("### The price", 18),
    ("### A choice", 25),
];

#[derive(Clone, Copy, Default)]
struct Lines {
    files: usize,
    product: usize,
    tests: usize,
    documentation: usize,
    blank: usize,
}

/// The table of DEVELOPERS.md tells how many lines each folder has, nearly, and all together are not too many.
pub fn the_table_tells_the_lines(tree: &Tree) -> Vec<String> {
    let counted = counted(tree);
    let written: Vec<&str> = tree
        .text("DEVELOPERS.md")
        .lines()
        .skip_while(|line| *line != HEADING)
        .skip(2)
        .take_while(|line| line.starts_with('|'))
        .collect();
    let mut breaches = Vec::new();
    for (folder, lines) in &counted {
        let row = written
            .iter()
            .find(|row| row.starts_with(&format!("| {folder} |")));
        if !row.is_some_and(|row| is_near(row, *lines)) {
            breaches.push(format!("{folder} has other lines than DEVELOPERS.md says"));
        }
    }
    let all = counted.values().map(|lines| lines.product).sum::<usize>() / 2;
    if all > MOST_PRODUCT_LINES {
        breaches.push(format!(
            "{all} lines of product code are more than {MOST_PRODUCT_LINES}"
        ));
    }
    if !breaches.is_empty() {
        let rows = counted.iter().map(|(folder, lines)| row(folder, *lines));
        let table: Vec<String> = rows.collect();
        breaches.push(format!("the table as it should stand:\n{HEADING}\n| --- | ---: | ---: | ---: | ---: | ---: |\n{}", table.join("\n")));
    }
    breaches
}

/// Each way of DEVELOPERS.md is short enough, and each of its files defines what the way says is there.
pub fn ways_lead_where_they_say(tree: &Tree) -> Vec<String> {
    let mut breaches = Vec::new();
    for (heading, most) in WAYS {
        let page = tree.text("DEVELOPERS.md");
        let below = page.lines().skip_while(|line| !line.starts_with(heading));
        let rows: Vec<Vec<&str>> = below
            .skip_while(|line| !line.starts_with('|'))
            .skip(2)
            .take_while(|line| line.starts_with('|'))
            .map(|line| line.split('`').collect())
            .collect();
        if rows.is_empty() || rows.len() > most {
            let files = rows.len();
            breaches.push(format!("`{heading}` has {files} files, not 1 to {most}"));
        }
        for row in rows {
            let [_, file, _, item, ..] = row[..] else {
                breaches.push(format!("`{heading}` has a row without a file and an item"));
                continue;
            };
            if !["fn", "struct", "enum"].iter().any(|kind| {
                let start = format!("{kind} {item}");
                let found = tree.text(file).split(&start).skip(1);
                found
                    .into_iter()
                    .any(|rest| !rest.starts_with(|c: char| c.is_alphanumeric() || c == '_'))
            }) {
                breaches.push(format!("`{heading}`: {file} does not define `{item}`"));
            }
        }
    }
    breaches
}

/// Lines by folder of `src`, in backticks, and `all` at the end.
fn counted(tree: &Tree) -> BTreeMap<String, Lines> {
    let mut counted: BTreeMap<String, Lines> = BTreeMap::new();
    for file in tree.rust("src") {
        let folder = match file.path["src/".len()..].split_once('/') {
            Some((folder, _)) => format!("`src/{folder}`"),
            None => "`src`".to_string(),
        };
        let mut lines = Lines {
            files: 1,
            ..Lines::default()
        };
        let mut is_test = tree.is_test(file);
        let mut text = file.text.lines().map(str::trim).peekable();
        while let Some(line) = text.next() {
            // What is for tests alone ends a file, but for the line that declares a file of tests.
            let begins_tests = line == "#[cfg(test)]";
            let declares = text.peek().is_some_and(|next| next.ends_with(';'));
            is_test |= begins_tests && !declares;
            match line {
                "" => lines.blank += 1,
                _ if line.starts_with("//") => lines.documentation += 1,
                _ if is_test || begins_tests => lines.tests += 1,
                _ => lines.product += 1,
            }
        }
        for name in [folder, "all".to_string()] {
            counted.entry(name).or_default().add(lines);
        }
    }
    counted
}

impl Lines {
    fn add(&mut self, other: Self) {
        self.files += other.files;
        self.product += other.product;
        self.tests += other.tests;
        self.documentation += other.documentation;
        self.blank += other.blank;
    }

    fn figures(self) -> [usize; 5] {
        [
            self.files,
            self.product,
            self.tests,
            self.documentation,
            self.blank,
        ]
    }
}

fn row(folder: &str, lines: Lines) -> String {
    let figures = lines.figures().map(|figure| figure.to_string());
    format!("| {folder} | {} |", figures.join(" | "))
}

fn is_near(row: &str, lines: Lines) -> bool {
    let cells = row.trim_matches('|').split('|').skip(1);
    let written: Vec<usize> = cells.filter_map(|cell| cell.trim().parse().ok()).collect();
    written.len() == 5
        && written
            .iter()
            .zip(lines.figures())
            .all(|(there, here)| there.abs_diff(here) <= NEAR_ENOUGH)
}

#[test]
fn the_count_of_lines_in_developers_md_is_that_of_the_code() {
    check(the_table_tells_the_lines);
}

#[test]
fn a_count_that_is_another_one_is_found() {
    let page = "| Folder | Files | Product | Tests | Documentation | Blank |\n| --- | ---: | ---: | ---: | ---: | ---: |\n| `src/a` | 1 | 2 | 0 | 1 | 0 |\n| all | 1 | 2 | 0 | 1 | 0 |\n";
    let with = |code| [("DEVELOPERS.md", page), ("src/a/mod.rs", code)];
    let good = "//! What a is.\nfn f() {\n}";
    assert_eq!(
        the_table_tells_the_lines(&Tree::of(&with(good))),
        Vec::<String>::new()
    );
    let longer = format!("{good}\n{}", "fn g() {}\n".repeat(300));
    check_breach(the_table_tells_the_lines, &with(&longer), "`src/a`");
    let large = "fn g() {}\n".repeat(MOST_PRODUCT_LINES + 1);
    check_breach(the_table_tells_the_lines, &with(&large), "more than");
}

#[test]
fn the_ways_of_developers_md_lead_through_the_files_that_they_name() {
    check(ways_lead_where_they_say);
}

#[test]
fn a_way_that_is_too_long_or_leads_astray_is_found() {
    let rule = ways_lead_where_they_say;
    let way = |rows: &str| {
        ["### A titre", "### The price", "### A choice"]
            .map(|heading| {
                format!("{heading}\n\n| | File | Here | What |\n| - | - | - | - |\n{rows}\n")
            })
            .concat()
    };
    let row = "| 1 | `src/a.rs` | `read` | reads |\n";
    let (short, long) = (way(row), way(&row.repeat(26)));
    fn with<'a>(page: &'a str, code: &'a str) -> [(&'a str, &'a str); 2] {
        [("DEVELOPERS.md", page), ("src/a.rs", code)]
    }
    assert_eq!(
        rule(&Tree::of(&with(&short, "pub fn read() {}"))),
        Vec::<String>::new()
    );
    check_breach(
        rule,
        &with(&short, "pub fn reader() {}"),
        "does not define `read`",
    );
    check_breach(rule, &with(&long, "pub fn read() {}"), "has 26 files");
    check_breach(rule, &with("", ""), "has 0 files");
}
