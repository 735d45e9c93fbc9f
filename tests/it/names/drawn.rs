//! Are names data when they are put together at random?
//!
//! In: pieces of which the program's own terms and sentences are made. Out: a property of two quick calls, and of one
//! slow one in a few draws.
//! This module never draws two names alike for the same kind of thing.

use super::campaign::{Draws, Log, Names};
use super::compare::{check, check_calls};

const PIECES: [&str; 24] = [
    "heat",
    "time",
    "x",
    "a",
    "acid",
    " with ",
    ": ",
    " to the ",
    "2",
    "3",
    " and ",
    ", ",
    "constant",
    "yield",
    "purity",
    "cost",
    "labour",
    "lot",
    "assay of lot ",
    "closure",
    "(",
    ")",
    " of ",
    " against ",
];
/// Names that are taken: of the factor and the responses that every campaign has.
const KEPT: [&str; 3] = ["lot", "yield", "purity"];
const DRAWS: u64 = 20;
const FEW: u64 = 3;

fn drawn(seed: u64) -> Names {
    let mut draws = Draws(1_000 + seed);
    for _ in 0..8 {
        draws.uniform();
    }
    let ordinary = Names::ordinary();
    let wanted = ordinary.each().len();
    let first_lot = wanted - ordinary.lots.len();
    let mut names: Vec<String> = Vec::new();
    while names.len() < wanted {
        let pieces = 1 + draws.below(4);
        let name: String = (0..pieces)
            .map(|_| PIECES[draws.below(PIECES.len())])
            .collect();
        // Blanks at the ends of a cell are no part of it.
        let name = name.trim().to_string();
        let is_taken = KEPT.contains(&name.as_str()) || names.contains(&name);
        // Where one lot begins with another, two lots in one run stand elsewhere in byte order than under plain names.
        let begins_alike = names
            .iter()
            .skip(first_lot)
            .any(|other| other.starts_with(&name) || name.starts_with(other));
        if !name.is_empty() && !is_taken && !begins_alike {
            names.push(name);
        }
    }
    ordinary.with_each(&names)
}

#[test]
fn quick_calls_answer_alike_under_names_drawn_at_random() {
    for seed in 0..DRAWS {
        check_calls(&["fit", "recycle"], &drawn(seed), Log::Rises);
    }
}

#[test]
fn every_call_answers_alike_under_names_drawn_at_random() {
    for seed in DRAWS..DRAWS + FEW {
        check(&drawn(seed));
    }
}
