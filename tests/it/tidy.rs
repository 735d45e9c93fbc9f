//! Does the repository keep its own rules?
//!
//! In: every text file of the repository; the tables of folders and libraries in DEVELOPERS.md. Out: one test a rule,
//! and one that breaks each rule on a tree made up for it, so that no rule is kept because it cannot fail.
//! This module never judges what the program prints.

mod circles;
mod count;
mod exceptions;
mod literals;
mod rules;
mod sentences;
mod tree;

use tree::Tree;

fn check(rule: fn(&Tree) -> Vec<String>) {
    let breaches = rule(&Tree::read());
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
}

/// Asks that a rule finds fault with these files, and says why.
fn check_breach(rule: fn(&Tree) -> Vec<String>, files: &[(&str, &str)], why: &str) {
    let breaches = rule(&Tree::of(files));
    assert!(
        breaches.iter().any(|breach| breach.contains(why)),
        "no breach says `{why}`: {breaches:?}"
    );
}

const FOLDERS: &str = "| Folder or file in `src/` | Question | May use |\n| --- | --- | --- |\n| `charts` | ? | `error` |\n| `error` | ? | |\n";
const LIBRARIES: &str =
    "| Library | Only in | Why |\n| --- | --- | --- |\n| `polars` | `src/intake/cells.rs` | ? |\n";
const POLARS: &str = "[dependencies]\npolars = \"1\"\n";

#[test]
fn folders_use_only_what_developers_md_allows() {
    check(rules::folders_use_what_the_table_allows);
}

#[test]
fn a_folder_that_uses_another_one_is_found() {
    let rule = rules::folders_use_what_the_table_allows;
    let with = |code| {
        [
            ("DEVELOPERS.md", FOLDERS),
            ("src/error.rs", ""),
            ("src/charts/mod.rs", code),
        ]
    };
    assert_eq!(
        rule(&Tree::of(&with("use crate::error::Error;"))),
        Vec::<String>::new()
    );
    check_breach(rule, &with("use crate::runs::Runs;"), "uses `runs`");
    check_breach(
        rule,
        &with("use crate::{error::{Error, Faults}, runs};"),
        "uses `runs`",
    );
    check_breach(rule, &with("fn f() -> crate::runs::Runs {}"), "uses `runs`");
    check_breach(rule, &with("use super::runs::Runs;"), "by `super`");
    check_breach(
        rule,
        &[("DEVELOPERS.md", FOLDERS), ("src/runs/mod.rs", "")],
        "`runs` does not stand",
    );
    check_breach(
        rule,
        &[("DEVELOPERS.md", FOLDERS)],
        "`charts` stands in DEVELOPERS.md",
    );
    check_breach(rule, &[], "no table");
}

#[test]
fn libraries_stay_behind_their_doors() {
    check(rules::libraries_stay_behind_their_doors);
}

#[test]
fn a_library_outside_its_door_is_found() {
    let rule = rules::libraries_stay_behind_their_doors;
    let door = ("src/intake/cells.rs", "use polars::prelude::*;");
    let with = |path, code| {
        [
            ("DEVELOPERS.md", LIBRARIES),
            ("Cargo.toml", POLARS),
            door,
            (path, code),
        ]
    };
    let comment = "// polars::prelude would do\nconst A: &str = \"polars::prelude\";";
    assert_eq!(
        rule(&Tree::of(&with("src/intake/rows.rs", comment))),
        Vec::<String>::new()
    );
    check_breach(
        rule,
        &with("src/intake/rows.rs", "use polars::prelude::*;"),
        "rows.rs uses `polars`",
    );
    check_breach(
        rule,
        &with("src/runs/mod.rs", "let f = polars::sum();"),
        "mod.rs uses `polars`",
    );
    check_breach(
        rule,
        &[("DEVELOPERS.md", LIBRARIES), ("Cargo.toml", POLARS)],
        "nothing uses `polars`",
    );
    let only_asked_for = LIBRARIES.replace("`src/intake/cells.rs`", "nowhere by name");
    let asked = [
        ("DEVELOPERS.md", only_asked_for.as_str()),
        ("Cargo.toml", POLARS),
    ];
    assert_eq!(rule(&Tree::of(&asked)), Vec::<String>::new());
    check_breach(rule, &[asked[0], asked[1], door], "cells.rs uses `polars`");
    check_breach(
        rule,
        &[("DEVELOPERS.md", ""), ("Cargo.toml", POLARS), door],
        "no door",
    );
    check_breach(
        rule,
        &[("DEVELOPERS.md", LIBRARIES), ("Cargo.toml", ""), door],
        "not in Cargo.toml",
    );
}

#[test]
fn every_file_says_what_it_is_for_and_what_it_never_does() {
    check(rules::every_file_says_what_it_is_for);
}

#[test]
fn a_file_without_its_header_is_found() {
    let rule = rules::every_file_says_what_it_is_for;
    check_breach(
        rule,
        &[("tests/it/a.rs", "use std::fmt;")],
        "open with `//!`",
    );
    check_breach(
        rule,
        &[("src/a.rs", "//! What?\n\n// This module never acts.")],
        "what it never does",
    );
}

#[test]
fn no_file_is_too_long_for_one_look() {
    check(rules::no_file_is_too_long);
}

#[test]
fn a_file_that_is_too_long_is_found() {
    check_breach(
        rules::no_file_is_too_long,
        &[("src/a.rs", &"//\n".repeat(401))],
        "401 lines",
    );
    assert!(rules::no_file_is_too_long(&Tree::of(&[("src/a.rs", &"//\n".repeat(400))])).is_empty());
}

#[test]
fn the_library_neither_prints_nor_touches_files_clock_or_environment() {
    check(rules::the_library_has_no_hands);
}

#[test]
fn a_library_with_hands_is_found() {
    let rule = rules::the_library_has_no_hands;
    for [code, word] in [
        ["fn f() { println!(); }", "println"],
        ["fn f() { eprintln!(); }", "eprintln"],
        ["use std::fs;", "std::fs"],
        ["use std::{fmt, fs};", "std::{"],
        ["fn f() { std::env::var(name); }", "std::env"],
        ["use std::time::SystemTime;", "SystemTime"],
        ["use std::time::Instant;", "Instant"],
        ["use std::collections::HashMap;", "HashMap"],
        ["use std::collections::HashSet;", "HashSet"],
    ] {
        check_breach(rule, &[("src/a.rs", code)], &format!("`{word}`"));
        assert!(
            rule(&Tree::of(&[("src/cli/a.rs", code)])).is_empty(),
            "{code}"
        );
        let inside_tests = format!("#[cfg(test)]\nmod tests {{\n{code}\n}}");
        assert!(
            rule(&Tree::of(&[("src/a.rs", &inside_tests)])).is_empty(),
            "{code}"
        );
    }
    let words = "// println!\nfn f() -> char { let _ = r#\"\"std::fs\"#; '\"' } // HashMap";
    assert!(rule(&Tree::of(&[("src/a.rs", words)])).is_empty());
    check_breach(
        rule,
        &[("src/a.rs", "fn f() -> char { '\"' }\nuse std::fs;")],
        "`std::fs`",
    );
}

#[test]
fn no_file_names_a_path_of_one_machine() {
    check(rules::no_path_belongs_to_one_machine);
}

#[test]
fn a_path_of_one_machine_is_found() {
    let rule = rules::no_path_belongs_to_one_machine;
    let path = ["see ", "/home", "/somebody/campaign"].concat();
    check_breach(rule, &[("README.md", &path)], "README.md line 1");
    assert!(rule(&Tree::of(&[("README.md", "see reports/home/report.md")])).is_empty());
}

#[test]
fn no_test_is_switched_off() {
    check(rules::no_test_is_switched_off);
}

#[test]
fn a_test_that_is_switched_off_is_found() {
    let code = "#[test]\n#[ignore]\nfn a() {}";
    check_breach(
        rules::no_test_is_switched_off,
        &[("tests/it/a.rs", code)],
        "ignores a test",
    );
}

#[test]
fn links_and_paths_in_markdown_lead_somewhere() {
    check(rules::links_lead_somewhere);
}

#[test]
fn a_link_that_leads_nowhere_is_found() {
    let rule = rules::links_lead_somewhere;
    let page = ("docs/page.md", "# One thing\n");
    let with = |text| [("README.md", text), page];
    let good =
        "[a](docs/page.md#one-thing) [b](#here) `docs/`\n# Here\n```text\n[c](gone.md)\n```\n";
    assert_eq!(rule(&Tree::of(&with(good))), Vec::<String>::new());
    check_breach(rule, &with("[a](docs/gone.md)"), "docs/gone.md");
    check_breach(rule, &with("![a](docs/gone.svg)"), "docs/gone.svg");
    check_breach(
        rule,
        &with("[a](docs/page.md#another)"),
        "a heading that is not there",
    );
    check_breach(
        rule,
        &with("look into `src/gone.rs`"),
        "names `src/gone.rs`",
    );
}

#[test]
fn sentences_for_people_are_made_where_things_are_shown() {
    check(sentences::sentences_are_made_in_one_place);
}

#[test]
fn a_sentence_that_is_made_elsewhere_is_found() {
    let rule = sentences::sentences_are_made_in_one_place;
    let sentence = "fn f() -> String {\n    format!(\"the {x} of run {run} is odd\")\n}";
    check_breach(
        rule,
        &[("src/runs/a.rs", sentence)],
        "src/runs/a.rs line 2 writes a sentence: the {x} of run {run} is odd",
    );
    for good in [
        "fn f() { Error::new(Kind::Log, format!(\"the run {run} is not known\")); }",
        "fn f() { error.hint(\"write a number and nothing else\"); }",
        "fn f() { source.fault(at, \"it is above {} one half\", \"write it as a fraction\"); }",
        "// the mass of a run is odd\nconst A: &str = \"assay of lot\";",
        "#[expect(dead_code, reason = \"it is for the tests\")]",
        "#[cfg(test)]\nmod tests {\n    const A: &str = \"the run is not known\";\n}",
    ] {
        let tree = Tree::of(&[("src/runs/a.rs", good)]);
        assert_eq!(rule(&tree), Vec::<String>::new(), "{good}");
    }
    let tests = "#[cfg(test)]\npub(crate) mod testing;";
    let tree = Tree::of(&[("src/a/mod.rs", tests), ("src/a/testing.rs", sentence)]);
    assert_eq!(rule(&tree), Vec::<String>::new());
    for shown in ["src/report/a.rs", "src/cli/a.rs"] {
        assert!(rule(&Tree::of(&[(shown, sentence)])).is_empty(), "{shown}");
    }
}

#[test]
fn nothing_that_shows_or_compares_results_reads_a_name_or_a_sentence() {
    check(sentences::no_sentence_is_read);
}

#[test]
fn a_name_or_a_sentence_that_is_read_is_found() {
    let rule = sentences::no_sentence_is_read;
    for code in [
        "fn f() -> bool { name.contains(\" with \") }",
        "fn f() -> bool { name.starts_with(&format!(\"{other} to the \")) }",
        "fn f() { name.split_once(\": \"); }",
        "fn f() { source.strip_prefix(\"assay of lot \"); }",
        "fn f() -> bool { model.response == \"yield\" }",
        "fn f() -> bool { \"lot\" != name }",
        "fn f() { match name { \"cost\" | \"labour\" => 1, _ => 0 } }",
        "fn f() { match name { Some(\"constant\") => 1, _ => 0 } }",
        "const LOT: &str = \"lot\";\nfn f() -> bool { name == LOT }",
        "const LOT: &str = \"lot\";\nfn f() -> bool { name == campaign::LOT }",
    ] {
        let is_found = |path| !rule(&Tree::of(&[(path, code)])).is_empty();
        assert!(is_found("src/report/a.rs"), "{code}");
        assert!(is_found("src/history/a.rs"), "{code}");
        assert!(!is_found("src/intake/a.rs"), "{code}");
    }
    for good in [
        "fn f() -> String { format!(\"{name}: {level} with {other}\") }",
        "fn f() { value.get(\"yield\"); }",
        "fn f() -> [&str; 2] { [\"lot\", \"cost\"] }",
        "fn f() -> bool { text.contains(' ') || a.is_empty() }",
        "const LOT: &str = \"lot\";\nfn f() { row.push(LOT); }",
        "const LOT: &str = \"lot\";\nfn f() -> bool { of == AimOf::LOT }",
    ] {
        let tree = Tree::of(&[("src/report/a.rs", good)]);
        assert_eq!(rule(&tree), Vec::<String>::new(), "{good}");
    }
}

#[test]
fn every_exception_from_the_rules_of_sentences_is_needed() {
    check(sentences::exceptions_are_needed);
}

#[test]
fn an_exception_that_excepts_nothing_is_found() {
    check_breach(sentences::exceptions_are_needed, &[], "allowed for nothing");
}
