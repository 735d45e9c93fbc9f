//! Does every input that was ever hard keep what must hold for any input?
//!
//! In: `fuzz/seeds/`, a folder for each target. Out: each file, checked by what `cargo fuzz` checks for inputs that it draws.
//! This module never draws an input.

use std::fs;
use std::path::{Path, PathBuf};

#[path = "../../fuzz/src/lib.rs"]
mod checks;

/// Largest seed: what is larger hides what it is there for.
const MOST_BYTES: usize = 20_000;

/// Fewest files that are a corpus.
const FEWEST: usize = 20;

#[test]
fn every_seed_keeps_what_must_hold() {
    for (target, _) in checks::TARGETS {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/seeds");
        let entries = fs::read_dir(folder.join(target)).unwrap();
        let mut seeds: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
        seeds.sort();
        assert!(seeds.len() >= FEWEST, "{} seeds of {target}", seeds.len());
        for seed in seeds {
            let bytes = fs::read(&seed).unwrap();
            assert!(bytes.len() <= MOST_BYTES, "{}", seed.display());
            // Named only where it fails.
            println!("{}", seed.display());
            checks::check(target, &bytes);
        }
    }
}
