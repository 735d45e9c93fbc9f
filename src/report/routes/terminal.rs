//! The routes compared for a terminal or a pipe.
//!
//! In: the answer to question 4. Out: plain text: a sentence of verdict, then tables.
//! This module never prints: the program does.

use super::{table, words};
use crate::decide::Routes;
use crate::report::doubts_and_gaps::gaps_below;
use crate::report::print::{Screen, Width, capital};

/// The routes compared.
pub fn routes(routes: &Routes, width: Width) -> String {
    let mut screen = Screen::new(width);
    screen.line(&capital(&words::verdict(routes)));
    screen.gap();
    screen.table(&table::given(routes));
    let chances = table::chances(routes);
    if !chances.rows.is_empty() {
        screen.gap();
        screen.table(&chances);
    }
    gaps_below(&mut screen, &routes.best.gaps);
    screen.finish()
}
