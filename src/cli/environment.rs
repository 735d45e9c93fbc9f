//! The environment without what libraries would read from it.
//!
//! In: the variables that the program was started with. Out: the program in the place of itself, without those that make a library
//! panic or warn.
//! This module never starts the program again where no such variable is set.

use std::env;
use std::ffi::OsString;
use std::io;
use std::process::Command;

/// How the variables of the reader of CSV begin: it prints, warns or panics as they ask.
const OF_THE_READER: &str = "POLARS_";

/// Numbers of threads; they change no byte of a result.
const THREADS: [&str; 2] = ["POLARS_MAX_THREADS", "RAYON_NUM_THREADS"];

/// Most threads that may be asked for; a system may refuse more, and the library panics then.
const MOST_THREADS: u32 = 256;

/// Starts the program in place of itself without these variables, where there are any. A process that has begun cannot take them
/// away safely, as another thread may read them.
///
/// # Errors
/// What the system says where it cannot be started again.
pub(super) fn without_foreign_variables() -> io::Result<()> {
    let foreign: Vec<OsString> = env::vars_os()
        .filter(|(name, value)| is_foreign(&name.to_string_lossy(), &value.to_string_lossy()))
        .map(|(name, _)| name)
        .collect();
    if foreign.is_empty() {
        return Ok(());
    }
    let mut again = Command::new(env::current_exe()?);
    again.args(env::args_os().skip(1));
    for name in foreign {
        again.env_remove(name);
    }
    instead(again)
}

fn is_foreign(name: &str, value: &str) -> bool {
    if THREADS.contains(&name) {
        let number = value.trim().parse::<u32>();
        return !number.is_ok_and(|number| (1..=MOST_THREADS).contains(&number));
    }
    name.starts_with(OF_THE_READER) || name == "RAYON_RS_NUM_CPUS"
}

#[cfg(unix)]
fn instead(mut again: Command) -> io::Result<()> {
    use std::os::unix::process::CommandExt;
    if let Some(called) = env::args_os().next() {
        again.arg0(called);
    }
    Err(again.exec())
}

#[cfg(not(unix))]
fn instead(mut again: Command) -> io::Result<()> {
    let code = again.status()?.code();
    std::process::exit(code.unwrap_or(2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_sound_number_of_threads_stays() {
        for stays in [
            ("POLARS_MAX_THREADS", "2"),
            ("RAYON_NUM_THREADS", "1"),
            ("HOME", "x"),
        ] {
            assert!(!is_foreign(stays.0, stays.1), "{stays:?}");
        }
        for goes in [
            ("POLARS_MAX_THREADS", "abc"),
            ("POLARS_MAX_THREADS", "1000000"),
            ("RAYON_NUM_THREADS", "0"),
            ("POLARS_VERBOSE", "1"),
        ] {
            assert!(is_foreign(goes.0, goes.1), "{goes:?}");
        }
    }
}
