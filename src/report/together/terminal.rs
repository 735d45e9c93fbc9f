//! What several campaigns say together, for a terminal or a pipe.
//!
//! In: what was found. Out: plain text.
//! This module never prints: the program does.

use super::{table, words};
use crate::report::print::{Screen, Width, capital};
use crate::together::Together;

/// All that was found.
pub fn together(found: &Together, width: Width) -> String {
    let mut screen = Screen::new(width);
    screen.line(&words::runs_used(found));
    for of in &found.responses {
        screen.paragraph();
        screen.line(&words::question(&of.model.response));
        screen.gap();
        for line in words::effects(of) {
            screen.line(&format!("- {line}"));
        }
        screen.gap();
        screen.table(&table::differing(of));
    }
    if !found.not_pooled.is_empty() {
        screen.paragraph();
        screen.line("Not pooled:");
        for not in &found.not_pooled {
            screen.line(&format!("- {}.", capital(&words::not_pooled(found, not))));
        }
    }
    screen.finish()
}
