//! The end of each help, and what is printed about the program itself.
//!
//! In: the calls. Out: examples with exit codes, meanings of words, completions for shells, the manual page.
//! This module never reads a campaign.

use clap::Command;
use clap_complete::Shell;
use residuum::report::{self, schema};

use super::faults::{unknown_word, unwritable};
use super::tell::{ended, failed};
use super::{Ending, SchemaOf};

/// The end of a help: an example, and what the exit codes mean.
macro_rules! example {
    ($call:literal, $codes:literal) => {
        concat!("Example: ", $call, "\n", $codes)
    };
    ($call:literal) => {
        example!($call, "Exit code: 0 done, 1 done with doubts or rows left out that --strict asks about, 2 not done.")
    };
}

pub const START: &str = example!(
    "residuum start zinc --from log.xlsx titres.csv",
    "Exit code: 0 written, 2 not, and then nothing is left behind."
);
pub const CHECK: &str = example!(
    "residuum check data-demo/bluestone --columns",
    "Exit code: 0 nothing found, 1 faults, doubts or rows left out, 2 not done."
);
pub const YIELDS: &str = example!("residuum yields data-demo/bluestone --json");
pub const FIT: &str =
    example!("residuum fit data-demo/bluestone --response yield --against oxidant_excess");
pub const ROUTES: &str = example!("residuum routes data-demo/bluestone");
pub const RECYCLE: &str = example!("residuum recycle data-demo/bluestone");
pub const SETTINGS: &str = example!("residuum settings data-demo/bluestone");
pub const NEXT: &str = example!("residuum next data-demo/bluestone --runs 6");
pub const FORESEE: &str =
    example!("residuum foresee data-demo/bluestone --boil-to \"500 mL\" --chill-to 10");
pub const TOGETHER: &str = example!("residuum together spring autumn --differ heating");
pub const DRIFT: &str = example!("residuum drift data-demo/bluestone");
pub const REPORT: &str = example!("residuum report data-demo/bluestone --out reports");
pub const ROUNDS: &str = example!(
    "residuum rounds data-demo --out reports",
    "Exit code: 0 nothing new to look at, 1 a flag, a changed verdict or, with --strict, a doubt, 2 a campaign failed."
);
pub const EXPLAIN: &str = example!(
    "residuum explain reference mix",
    "Exit code: 0 explained, 2 not known."
);
pub const SCHEMA: &str = example!(
    "residuum schema campaign > campaign.schema.json",
    "Exit code: 0 printed, 2 not."
);
pub const COMPLETIONS: &str = example!(
    "residuum completions bash > residuum.bash",
    "Exit code: 0 printed, 2 not."
);
pub const MANUAL: &str = example!(
    "residuum manual > residuum.1",
    "Exit code: 0 printed, 2 not."
);

/// Prints a JSON Schema.
pub fn schema(of: SchemaOf) -> Ending {
    match of {
        SchemaOf::Campaign => ended(&schema::of_campaigns(), Ending::Done),
        SchemaOf::Result => ended(schema::of_results(), Ending::Done),
    }
}

/// Prints what a word means here.
pub fn explain(term: &str) -> Ending {
    match report::explain(term) {
        Ok(meaning) => ended(&format!("{meaning}\n"), Ending::Done),
        Err(known) => failed(&unknown_word(term, &known).into()),
    }
}

/// Prints the completions for a shell.
pub fn completions(shell: Shell, command: &mut Command) -> Ending {
    let mut script = Vec::new();
    clap_complete::generate(shell, command, "residuum", &mut script);
    ended(&String::from_utf8_lossy(&script), Ending::Done)
}

/// Prints the manual page: that of the program, and below it one for each call.
pub fn manual(command: Command) -> Ending {
    let mut page = Vec::new();
    let calls = command.clone();
    let rendered = clap_mangen::Man::new(command).render(&mut page);
    let rendered = rendered.and_then(|()| {
        let mut calls = calls.get_subcommands();
        calls.try_for_each(|call| {
            let man = clap_mangen::Man::new(call.clone().disable_help_flag(true));
            man.render_name_section(&mut page)?;
            man.render_options_section(&mut page)?;
            man.render_extra_section(&mut page)
        })
    });
    match rendered {
        Ok(()) => ended(&String::from_utf8_lossy(&page), Ending::Done),
        Err(error) => failed(&unwritable(error.to_string(), "print it again").into()),
    }
}
