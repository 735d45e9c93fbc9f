//! Which rules does the repository keep?
//!
//! In: a [`Tree`]. Out: one sentence for each breach; none when the rule is kept.
//! This module never reads a file and never panics on what it finds.

use super::tree::{SourceFile, Tree};

/// Longest file that still fits one look.
const MOST_LINES: usize = 400;

/// What the library leaves to the program: output, files, clock, environment, unordered walks, unfinished code.
const NOT_IN_THE_LIBRARY: [&str; 19] = [
    "println",
    "print!",
    "eprintln",
    "eprint",
    "dbg",
    "todo",
    "unimplemented",
    "stdout",
    "stderr",
    "std::fs",
    "std::env",
    "std::process",
    "std::net",
    "std::time",
    "SystemTime",
    "Instant",
    "HashMap",
    "HashSet",
    "std::{",
];

/// Beginnings of paths that only one machine has, taken apart so that this file does not hold them.
const MACHINE_PATHS: [[&str; 2]; 7] = [
    ["/tmp", "/"],
    ["/root", "/"],
    ["/home", "/"],
    ["/work", "/"],
    ["/Users", "/"],
    ["/var", "/"],
    ["C:", "\\"],
];

/// A folder uses the folders that DEVELOPERS.md names beside it, and each folder stands in that table.
pub fn folders_use_what_the_table_allows(tree: &Tree) -> Vec<String> {
    let rows = table(tree.text("DEVELOPERS.md"), "| Folder or file in `src/` |");
    let mut breaches = Vec::new();
    if rows.is_empty() {
        breaches.push("DEVELOPERS.md has no table of folders".to_string());
    }
    for row in &rows {
        let folder = literals(&row[0]).concat();
        if !tree.has(&format!("src/{folder}")) && !tree.has(&format!("src/{folder}.rs")) {
            breaches.push(format!(
                "`{folder}` stands in DEVELOPERS.md but not in `src`"
            ));
        }
    }
    for file in tree.rust("src") {
        let below = file.path.trim_start_matches("src/");
        if below == "lib.rs" || below == "main.rs" {
            continue;
        }
        let folder = below.split('/').next().unwrap_or(below);
        let folder = folder.trim_end_matches(".rs");
        let Some(row) = rows.iter().find(|row| literals(&row[0]).concat() == folder) else {
            breaches.push(format!("`{folder}` does not stand in DEVELOPERS.md"));
            continue;
        };
        let allowed = row.get(2).map(|cell| literals(cell)).unwrap_or_default();
        let root = if folder == "cli" { "residuum" } else { "crate" };
        for used in modules_below(root, &file.code()) {
            if used != folder && !allowed.contains(&used) {
                breaches.push(format!("{} uses `{used}`", file.path));
            }
        }
        let code = file.code_without_tests();
        let at_the_top =
            !below.contains('/') || below.matches('/').count() == 1 && below.ends_with("/mod.rs");
        if at_the_top && has_word(&code, "super::") || has_word(&code, "super::super") {
            breaches.push(format!("{} leaves its folder by `super`", file.path));
        }
    }
    breaches
}

/// A library is used behind its door alone, and each dependency has a door that is used; tests may draw on any.
pub fn libraries_stay_behind_their_doors(tree: &Tree) -> Vec<String> {
    let rows = table(tree.text("DEVELOPERS.md"), "| Library |");
    let needed = dependencies(tree.text("Cargo.toml"));
    let mut breaches = Vec::new();
    for name in &needed {
        if !rows.iter().any(|row| literals(&row[0]).contains(name)) {
            breaches.push(format!(
                "`{name}` of Cargo.toml has no door in DEVELOPERS.md"
            ));
        }
    }
    for row in &rows {
        let name = literals(&row[0]).concat();
        if !needed.contains(&name) {
            breaches.push(format!("`{name}` of DEVELOPERS.md is not in Cargo.toml"));
        }
        let doors = row.get(1).map(|cell| literals(cell)).unwrap_or_default();
        let path = format!("{}::", name.replace('-', "_"));
        let mut used = false;
        for file in tree.rust("src").filter(|file| !tree.is_test(file)) {
            if !has_word(&file.code_without_tests(), &path) {
                continue;
            }
            used = true;
            if !doors.iter().any(|door| is_behind(file, door)) {
                breaches.push(format!("{} uses `{name}`", file.path));
            }
        }
        let is_only_asked_for = row.get(1).is_some_and(|cell| cell == "nowhere by name");
        if !used && !is_only_asked_for {
            breaches.push(format!("nothing uses `{name}`"));
        }
    }
    breaches
}

/// Every Rust file says at its top what it answers, and in `src` what it never does.
pub fn every_file_says_what_it_is_for(tree: &Tree) -> Vec<String> {
    let mut breaches = Vec::new();
    for file in all_rust(tree) {
        if !file.text.starts_with("//! ") {
            breaches.push(format!("{} does not open with `//!`", file.path));
        }
    }
    for file in tree.rust("src") {
        let header = file.text.lines().take_while(|line| line.starts_with("//!"));
        let header: String = header.collect();
        if !["This module never ", "This library never "]
            .iter()
            .any(|words| header.contains(words))
        {
            breaches.push(format!("{} does not say what it never does", file.path));
        }
    }
    breaches
}

/// No Rust file is longer than one can take in.
pub fn no_file_is_too_long(tree: &Tree) -> Vec<String> {
    all_rust(tree)
        .map(|file| (file, file.text.lines().count()))
        .filter(|(_, lines)| *lines > MOST_LINES)
        .map(|(file, lines)| format!("{} has {lines} lines, more than {MOST_LINES}", file.path))
        .collect()
}

/// The library has no hands: it neither prints nor touches files, clock or environment, nor walks a hash map.
pub fn the_library_has_no_hands(tree: &Tree) -> Vec<String> {
    let mut breaches = Vec::new();
    for file in tree.library() {
        let code = file.code_without_tests();
        for word in NOT_IN_THE_LIBRARY {
            if has_word(&code, word) {
                breaches.push(format!("{} says `{word}`", file.path));
            }
        }
    }
    breaches
}

/// No file names a path that only one machine has.
pub fn no_path_belongs_to_one_machine(tree: &Tree) -> Vec<String> {
    let mut breaches = Vec::new();
    for file in &tree.0 {
        for (number, line) in file.text.lines().enumerate() {
            // A path begins where no name goes on: `reports/home/` is not one.
            let is_there = |parts: &[&str; 2]| has_word(line, &parts.concat());
            if MACHINE_PATHS.iter().any(is_there) {
                breaches.push(format!("{} line {}: {line}", file.path, number + 1));
            }
        }
    }
    breaches
}

/// No test is switched off.
pub fn no_test_is_switched_off(tree: &Tree) -> Vec<String> {
    all_rust(tree)
        .filter(|file| file.code().contains("#[ignore"))
        .map(|file| format!("{} ignores a test", file.path))
        .collect()
}

/// Links in Markdown lead to files and headings that are there; so do paths of the repository in backticks.
pub fn links_lead_somewhere(tree: &Tree) -> Vec<String> {
    let mut breaches = Vec::new();
    for page in tree.0.iter().filter(|file| file.path.ends_with(".md")) {
        let folder = page.path.rsplit_once('/').map_or("", |(folder, _)| folder);
        for target in targets(&page.text) {
            if target.contains("://") {
                continue;
            }
            let (file, heading) = target.split_once('#').unwrap_or((&target, ""));
            let path = if file.is_empty() {
                page.path.clone()
            } else {
                joined(folder, file)
            };
            if !tree.has(&path) {
                breaches.push(format!("{} links to `{target}`", page.path));
            } else if !heading.is_empty() && !anchors(tree.text(&path)).iter().any(|a| a == heading)
            {
                breaches.push(format!(
                    "{} links to a heading that is not there: `{target}`",
                    page.path
                ));
            }
        }
        if folder.is_empty() {
            for path in literals(&page.text)
                .iter()
                .filter(|text| is_a_path_of_ours(text))
            {
                if !tree.has(path) {
                    breaches.push(format!("{} names `{path}`", page.path));
                }
            }
        }
    }
    breaches
}

fn all_rust(tree: &Tree) -> impl Iterator<Item = &SourceFile> {
    tree.0.iter().filter(|file| file.path.ends_with(".rs"))
}

/// A door is a folder, written with a `/` at its end, or one file.
fn is_behind(file: &SourceFile, door: &str) -> bool {
    file.path == door || door.ends_with('/') && file.path.starts_with(door)
}

fn is_a_path_of_ours(text: &str) -> bool {
    let first = text.split('/').next().unwrap_or_default();
    let folders = ["src", "tests", "fuzz", "data-demo", "notebooks-md", ".ci"];
    text.contains('/') && folders.contains(&first) && !text.contains(['*', ' '])
}

/// The rows below the heading that starts with these words, cell by cell.
fn table(page: &str, heading: &str) -> Vec<Vec<String>> {
    page.lines()
        .skip_while(|line| !line.starts_with(heading))
        .skip(2)
        .take_while(|line| line.starts_with('|'))
        .map(|line| {
            line.trim_matches('|')
                .split('|')
                .map(|cell| cell.trim().to_string())
                .collect()
        })
        .collect()
}

/// What stands between backticks on one line.
fn literals(text: &str) -> Vec<String> {
    text.lines()
        .flat_map(|line| line.split('`').skip(1).step_by(2))
        .map(str::to_string)
        .collect()
}

/// Names under `[dependencies]`.
fn dependencies(manifest: &str) -> Vec<String> {
    manifest
        .lines()
        .skip_while(|line| line.trim() != "[dependencies]")
        .skip(1)
        .take_while(|line| !line.starts_with('['))
        .filter_map(|line| {
            line.split_once('=')
                .map(|(name, _)| name.trim().to_string())
        })
        .collect()
}

/// The modules that paths from `root` lead into, those in braces included.
fn modules_below(root: &str, code: &str) -> Vec<String> {
    let start = format!("{root}::");
    let mut found = Vec::new();
    for (position, _) in code.match_indices(&start) {
        if continues_a_word(&code[..position]) {
            continue;
        }
        let rest = &code[position + start.len()..];
        if let Some(inside) = rest.strip_prefix('{') {
            let mut depth = 0;
            let end = inside.find(|c| {
                depth += i32::from(c == '{') - i32::from(c == '}');
                depth < 0
            });
            let mut depth = 0;
            let outermost = inside[..end.unwrap_or(inside.len())].split(|c: char| {
                depth += i32::from(c == '{') - i32::from(c == '}');
                c == ',' && depth == 0
            });
            found.extend(outermost.map(|item| first_word(item.trim())));
        } else {
            found.push(first_word(rest));
        }
    }
    found.retain(|name| !name.is_empty());
    found
}

fn first_word(text: &str) -> String {
    text.chars()
        .take_while(|c| c.is_alphanumeric() || *c == '_')
        .collect()
}

/// Whether the text holds this word or path where no longer word holds it.
fn has_word(text: &str, word: &str) -> bool {
    let is_open = word.ends_with(|c: char| !c.is_alphanumeric());
    text.match_indices(word).any(|(position, _)| {
        let after = &text[position + word.len()..];
        !continues_a_word(&text[..position])
            && (is_open || !after.starts_with(|c: char| c.is_alphanumeric() || c == '_'))
    })
}

fn continues_a_word(before: &str) -> bool {
    before.ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == '.')
}

/// Targets of the links and pictures of a page, blocks of code left out.
fn targets(page: &str) -> Vec<String> {
    let mut inside_block = false;
    let mut found = Vec::new();
    for line in page.lines() {
        if line.starts_with("```") {
            inside_block = !inside_block;
        }
        if inside_block {
            continue;
        }
        found.extend(
            line.split("](")
                .skip(1)
                .filter_map(|rest| rest.split_once(')'))
                .map(|(target, _)| target.to_string()),
        );
    }
    found
}

/// The anchors of the headings of a page.
fn anchors(page: &str) -> Vec<String> {
    page.lines()
        .filter(|line| line.starts_with('#'))
        .map(|line| line.trim_start_matches('#').trim().to_lowercase())
        .map(|line| {
            line.chars()
                .filter(|c| c.is_alphanumeric() || [' ', '-', '_'].contains(c))
                .collect::<String>()
        })
        .map(|line| line.replace(' ', "-"))
        .collect()
}

fn joined(folder: &str, relative: &str) -> String {
    let mut parts: Vec<&str> = folder.split('/').filter(|part| !part.is_empty()).collect();
    for part in relative.split('/') {
        match part {
            "." | "" => {}
            ".." => {
                parts.pop();
            }
            name => parts.push(name),
        }
    }
    parts.join("/")
}
