//! Circles of files: which file of a folder uses which, and where that leads back to its beginning.
//!
//! In: a [`Tree`]. Out: one sentence for each circle between the files and folders that lie in one folder.
//! This module never judges a `mod.rs` and what lies below it: a parent and its child may know each other.

use std::collections::{BTreeMap, BTreeSet};

use super::tree::{SourceFile, Tree};
use super::{check, check_breach};

/// Which module is which file, and what each names of others.
struct Modules {
    /// File of each module, by its path below the root: `regression::design::rows`.
    files: BTreeMap<Vec<String>, String>,
    /// Code of each file, without tests.
    code: BTreeMap<String, String>,
    /// Names that a module hands on from elsewhere, with the path they come from; `*` hands on all.
    handed_on: BTreeMap<Vec<String>, Vec<(String, Vec<String>)>>,
}

/// No two files or folders of one folder use each other, neither directly nor by way of others of that folder.
pub fn no_files_of_a_folder_use_each_other(tree: &Tree) -> Vec<String> {
    let mut breaches = Vec::new();
    let uses = uses_of_files(tree);
    let mut neighbours: BTreeMap<String, BTreeMap<(String, String), String>> = BTreeMap::new();
    for (from, to) in &uses {
        let Some((folder, first, second)) = parted(from, to) else {
            continue;
        };
        neighbours
            .entry(folder)
            .or_default()
            .entry((first, second))
            .or_insert_with(|| format!("{from} uses {to}"));
    }
    for (folder, edges) in neighbours {
        for circle in circles(edges.keys()) {
            let inside =
                |(from, to): &&(String, String)| circle.contains(from) && circle.contains(to);
            let why: Vec<&str> = edges
                .keys()
                .filter(inside)
                .map(|edge| edges[edge].as_str())
                .collect();
            let names: Vec<&str> = circle.iter().map(String::as_str).collect();
            breaches.push(format!(
                "in {folder} a circle of {}: {}",
                names.join(", "),
                why.join("; ")
            ));
        }
    }
    breaches
}

/// Which file uses an item that another one defines, tests left out.
pub fn uses_of_files(tree: &Tree) -> BTreeSet<(String, String)> {
    let mut uses = BTreeSet::new();
    for folder in ["", "cli"] {
        let modules = Modules::of(tree, folder);
        for (module, file) in &modules.files {
            let code = &modules.code[file];
            for path in paths_of(code) {
                let Some(found) = modules.defined_in(module, &path, 0) else {
                    continue;
                };
                if found != file {
                    uses.insert((file.clone(), found.clone()));
                }
            }
        }
    }
    uses
}

impl Modules {
    /// The library, or the program whose root lies in the folder that is given.
    fn of(tree: &Tree, folder: &str) -> Self {
        let start = format!("src/{folder}");
        let is_meant = |file: &&SourceFile| {
            let is_program = file.path.starts_with("src/cli/") || file.path == "src/main.rs";
            file.path.starts_with(&start) && is_program != folder.is_empty() && !tree.is_test(file)
        };
        let mut files = BTreeMap::new();
        let mut code = BTreeMap::new();
        for file in tree.rust("src").filter(is_meant) {
            let below = file.path["src/".len()..].trim_end_matches(".rs");
            let mut path: Vec<String> = below.split('/').map(str::to_string).collect();
            if path
                .last()
                .is_some_and(|last| last == "mod" || last == "lib")
            {
                path.pop();
            }
            files.insert(path, file.path.clone());
            code.insert(file.path.clone(), file.code_without_tests());
        }
        let mut modules = Self {
            files,
            code,
            handed_on: BTreeMap::new(),
        };
        for (module, file) in &modules.files {
            let named: Vec<_> = imports(&modules.code[file])
                .into_iter()
                .filter(|(_, is_handed_on)| *is_handed_on)
                .flat_map(|(text, _)| branches(&text))
                .collect();
            modules.handed_on.insert(module.clone(), named);
        }
        modules
    }

    /// The file that defines what a path means inside a module; a name is handed on so many times at most.
    fn defined_in(&self, module: &[String], path: &[String], depth: usize) -> Option<&String> {
        if depth > 8 {
            return None;
        }
        let mut at: Vec<String> = module.to_vec();
        let mut rest = path;
        while let Some((first, after)) = rest.split_first() {
            match first.as_str() {
                "crate" => at.clear(),
                "self" => {}
                "super" => {
                    at.pop()?;
                }
                _ => break,
            }
            rest = after;
        }
        while let Some((first, after)) = rest.split_first() {
            let mut child = at.clone();
            child.push(first.clone());
            let from_elsewhere = self.handed_on.get(&at).into_iter().flatten();
            let named = from_elsewhere.clone().find(|(name, _)| name == first);
            if let Some((_, source)) =
                named.filter(|_| after.is_empty() || !self.files.contains_key(&child))
            {
                return self.defined_in(&at, source, depth + 1);
            }
            if self.files.contains_key(&child) {
                at = child;
                rest = after;
                continue;
            }
            let here = self.files.get(&at)?;
            if defines(&self.code[here], first) {
                return Some(here);
            }
            for (_, source) in from_elsewhere.filter(|(name, _)| name == "*") {
                let mut whole = source.clone();
                whole.extend(rest.iter().cloned());
                let found = self.defined_in(&at, &whole, depth + 1);
                if found.is_some() {
                    return found;
                }
            }
            return Some(here);
        }
        self.files.get(&at)
    }
}

/// The folder in which two files part, and the entry of it that leads to each; none for a parent and what lies below it.
fn parted(from: &str, to: &str) -> Option<(String, String, String)> {
    let from: Vec<&str> = from.split('/').collect();
    let to: Vec<&str> = to.split('/').collect();
    let alike = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    let (first, second) = (from.get(alike)?, to.get(alike)?);
    let is_top = |name: &str| ["mod.rs", "lib.rs", "main.rs"].contains(&name);
    let folder = from[..alike].join("/");
    (!is_top(first) && !is_top(second))
        .then(|| (folder, (*first).to_string(), (*second).to_string()))
}

/// Sets of more than one entry that all lead to each other.
fn circles<'a>(edges: impl Iterator<Item = &'a (String, String)>) -> Vec<BTreeSet<String>> {
    let mut reached: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (from, to) in edges {
        reached.entry(from.clone()).or_default().insert(to.clone());
    }
    loop {
        let mut grew = false;
        for name in reached.keys().cloned().collect::<Vec<_>>() {
            let further: BTreeSet<String> = reached[&name]
                .iter()
                .filter_map(|next| reached.get(next))
                .flatten()
                .cloned()
                .collect();
            let known = reached.entry(name).or_default();
            let before = known.len();
            known.extend(further);
            grew |= known.len() > before;
        }
        if !grew {
            break;
        }
    }
    let leads = |from: &String, to: &String| reached.get(from).is_some_and(|far| far.contains(to));
    let mut found: Vec<BTreeSet<String>> = Vec::new();
    for name in reached.keys().filter(|name| leads(name, name)) {
        if !found.iter().any(|circle| circle.contains(name)) {
            found.push(
                reached
                    .keys()
                    .filter(|other| leads(name, other) && leads(other, name))
                    .cloned()
                    .collect(),
            );
        }
    }
    found
}

/// Every path that the code names: those of its imports, and those that begin at the root or at a parent.
fn paths_of(code: &str) -> Vec<Vec<String>> {
    let mut paths: Vec<Vec<String>> = imports(code)
        .iter()
        .flat_map(|(text, _)| branches(text))
        .map(|(_, path)| path)
        .collect();
    for start in ["crate::", "super::"] {
        for (position, _) in code.match_indices(start) {
            let before = code[..position].chars().next_back();
            if before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == ':') {
                continue;
            }
            let path = code[position..]
                .split(|c: char| !c.is_alphanumeric() && c != '_' && c != ':')
                .next()
                .unwrap_or_default();
            let pieces = path.split("::").filter(|piece| !piece.is_empty());
            paths.push(pieces.map(str::to_string).collect());
        }
    }
    paths
}

/// The text of each import behind its `use`, and whether it hands its names on.
fn imports(code: &str) -> Vec<(String, bool)> {
    let mut found = Vec::new();
    for (position, _) in code.match_indices("use ") {
        let line = code[..position].rfind('\n').map_or(0, |end| end + 1);
        let before = code[line..position].trim();
        if !(before.is_empty() || before.starts_with("pub")) {
            continue;
        }
        let text = code[position + "use ".len()..].split(';').next();
        found.push((text.unwrap_or_default().to_string(), !before.is_empty()));
    }
    found
}

/// The names of an import with the path of each: `a::{b, c as d}` gives `b` from `a::b` and `d` from `a::c`.
fn branches(text: &str) -> Vec<(String, Vec<String>)> {
    let text = text.trim();
    if let Some((stem, inside)) = text.split_once('{') {
        let inside = inside.trim_end().trim_end_matches('}');
        let stem: Vec<String> = pieces(stem);
        let mut depth = 0;
        let parts = inside.split(|c: char| {
            depth += i32::from(c == '{') - i32::from(c == '}');
            c == ',' && depth == 0
        });
        let mut found = Vec::new();
        for part in parts.filter(|part| !part.trim().is_empty()) {
            for (name, tail) in branches(part) {
                let mut path = stem.clone();
                path.extend(tail);
                found.push((name, path));
            }
        }
        return found;
    }
    let (path, other) = match text.split_once(" as ") {
        Some((path, other)) => (path, Some(other.trim().to_string())),
        None => (text, None),
    };
    let mut path = pieces(path);
    let last = path.last().cloned().unwrap_or_default();
    if last == "self" && path.len() > 1 || last == "*" {
        path.pop();
    }
    let own = if last == "self" {
        path.last().cloned().unwrap_or_default()
    } else {
        last
    };
    vec![(other.unwrap_or(own), path)]
}

fn pieces(path: &str) -> Vec<String> {
    let pieces = path.split("::").map(str::trim);
    pieces
        .filter(|piece| !piece.is_empty())
        .map(str::to_string)
        .collect()
}

/// Whether the code defines an item of that name.
fn defines(code: &str, name: &str) -> bool {
    ["fn", "struct", "enum", "trait", "type", "const", "static"]
        .iter()
        .any(|kind| {
            let start = format!("{kind} {name}");
            code.match_indices(&start).any(|(position, _)| {
                let after = code[position + start.len()..].chars().next();
                !after.is_some_and(|c| c.is_alphanumeric() || c == '_')
            })
        })
}

/// A file of five folders, and what a careless hand might add at its top.
const PLANTED: [(&str, &str); 5] = [
    (
        "src/campaign/section.rs",
        "use super::draft::CampaignDraft;",
    ),
    (
        "src/intake/number.rs",
        "use crate::intake::{further_row, rows::{self, RowReader}};",
    ),
    (
        "src/decide/models.rs",
        "fn planted(of: &crate::decide::Recycling) {}",
    ),
    (
        "src/regression/algebra/matrix.rs",
        "use crate::regression::FittedModel as Found;",
    ),
    (
        "src/report/print/page.rs",
        "fn planted() { super::super::yields::table::yields() }",
    ),
];

#[test]
fn no_two_files_of_a_folder_use_each_other() {
    check(no_files_of_a_folder_use_each_other);
}

#[test]
fn a_circle_of_files_is_found_in_whichever_way_it_is_tied() {
    let rule = no_files_of_a_folder_use_each_other;
    let whole = Tree::read();
    // Five circles planted in five folders of the code as it stands, each tied in another way.
    for (path, code) in PLANTED {
        assert!(whole.has(path), "{path} is not there");
        let with = format!("{code}\n{}", whole.text(path));
        let files: Vec<(&str, &str)> = whole
            .0
            .iter()
            .map(|file| match file.path.as_str() {
                found if found == path => (found, with.as_str()),
                other => (other, file.text.as_str()),
            })
            .collect();
        let breaches = rule(&Tree::of(&files));
        assert!(
            breaches.iter().any(|breach| breach.contains(path)),
            "{path}: {breaches:?}"
        );
    }
}

#[test]
fn a_circle_by_way_of_a_third_file_or_of_a_folder_is_found() {
    let rule = no_files_of_a_folder_use_each_other;
    let three = [
        (
            "src/a/mod.rs",
            "mod b;\nmod c;\nmod d;\npub use b::B;\npub use d::*;",
        ),
        ("src/a/b.rs", "use super::c::C;\npub struct B;"),
        ("src/a/c.rs", "use crate::a::D;\npub struct C;"),
        ("src/a/d.rs", "fn f() -> crate::a::B { B }\npub struct D;"),
    ];
    check_breach(rule, &three, "in src/a a circle of b.rs, c.rs, d.rs");
    let folders = [
        ("src/a/mod.rs", "pub mod b;\npub mod c;"),
        ("src/a/b/mod.rs", "pub mod x;\npub mod y;"),
        ("src/a/b/x.rs", "use crate::a::c::{self, C as Other};"),
        ("src/a/b/y.rs", "pub struct Y;"),
        ("src/a/c.rs", "use super::b::y::Y;\npub struct C;"),
    ];
    check_breach(rule, &folders, "in src/a a circle of b, c.rs");
    let parent = [
        ("src/a/mod.rs", "mod b;\nuse b::B;\npub struct A;"),
        (
            "src/a/b.rs",
            "use super::A;\npub struct B;\n#[cfg(test)]\nmod tests {\n    use crate::a::c::C;\n}",
        ),
        ("src/a/c.rs", "use super::b::B;\npub struct C;"),
    ];
    assert_eq!(rule(&Tree::of(&parent)), Vec::<String>::new());
}
