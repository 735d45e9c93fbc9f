//! Do the notebooks still tell the truth? Each call in them is made again and must print what stands there.
//!
//! In: `notebooks-md/*.md`, the inputs in `NAME.in/` and the files to expect in `NAME.out/`. Out: one test.
//! This module never holds an expectation of its own: they stand in the notebooks.
//!
//! `TRYCMD=overwrite cargo test --release notebooks` writes what the program prints now into the notebooks;
//! read the difference like prose before it is kept.

use std::path::{Path, PathBuf};

/// Commands beside `residuum` that a notebook may call; any other would be passed over in silence.
const COMMANDS: [&str; 4] = ["cat", "cp", "head", "ls"];

#[test]
fn every_call_in_a_notebook_prints_and_writes_what_the_notebook_says() {
    trycmd::TestCases::new()
        .register_bin("residuum", Path::new(env!("CARGO_BIN_EXE_residuum")))
        .register_bins(COMMANDS.map(|name| (name, on_the_search_path(name))))
        // `ls` sorts by the language of the machine unless it is told otherwise.
        .env("LC_ALL", "C")
        .case("notebooks-md/*.md");
}

#[test]
fn a_notebook_calls_nothing_that_would_be_passed_over() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks-md");
    let mut calls = 0;
    for entry in std::fs::read_dir(folder).expect("the notebooks can be listed") {
        let path = entry.expect("the notebooks can be listed").path();
        if path.extension().is_none_or(|extension| extension != "md") {
            continue;
        }
        let text = std::fs::read_to_string(&path).expect("a notebook can be read");
        for call in text.lines().filter_map(|line| line.strip_prefix("$ ")) {
            let command = call.split(' ').next().unwrap_or_default();
            assert!(
                command == "residuum" || COMMANDS.contains(&command),
                "`{command}` in {} is not run",
                path.display()
            );
            calls += 1;
        }
    }
    assert!(calls > 0, "no notebook makes a call");
}

fn on_the_search_path(command: &str) -> PathBuf {
    let folders = std::env::var_os("PATH").expect("there is a search path");
    std::env::split_paths(&folders)
        .map(|folder| folder.join(command))
        .find(|path| path.is_file())
        .unwrap_or_else(|| panic!("`{command}` is not on the search path"))
}
