//! The program: arguments in, files and an exit code out.
//!
//! In: the command line. Out: data on stdout, the rest on stderr, an exit code.
//! This module never analyses.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
