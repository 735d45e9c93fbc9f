//! A bar of progress for somebody who waits at a terminal.
//!
//! In: the names of the steps. Out: a bar on stderr, only when stderr is a terminal.
//! This module never writes to stdout.

use std::io::{IsTerminal, stderr};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// A bar over a known number of steps.
pub(super) struct Progress(ProgressBar);

impl Progress {
    /// A bar of so many steps; hidden when quiet or off a terminal.
    pub fn over(steps: u64, quiet: bool) -> Self {
        let target = if quiet || !stderr().is_terminal() {
            ProgressDrawTarget::hidden()
        } else {
            ProgressDrawTarget::stderr()
        };
        let bar = ProgressBar::with_draw_target(Some(steps), target);
        if let Ok(style) = ProgressStyle::with_template("{bar:20} {pos} of {len}: {msg}") {
            bar.set_style(style);
        }
        Progress(bar)
    }

    /// The next step begins.
    pub fn step(&self, what: &'static str) {
        self.0.set_message(what);
        self.0.inc(1);
    }

    /// The work is done; the bar goes.
    pub fn finish(&self) {
        self.0.finish_and_clear();
    }
}
