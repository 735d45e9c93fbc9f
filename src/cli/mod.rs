//! The command line: what the user asked for, and the exit code.
//!
//! In: arguments. Out: an exit code: 0 done, 1 done with faults or doubts that were asked about, 2 not done.
//! This module never computes a result.

mod against;
mod append;
mod calls;
mod check;
mod environment;
mod faults;
mod foresee;
mod help;
mod load;
mod named_files;
mod next;
mod ordinary_file;
mod progress;
mod publish;
mod rounds;
mod source;
mod start;
mod tell;
mod together;
mod width;
mod work;

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, Command, CommandFactory, FromArgMatches, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;
use residuum::error::Faults;
use residuum::pipeline::CrossCheck;
use residuum::report::{Form, Width};

use load::{Loaded, Outside, load};

/// Yields, models and decisions from the CSV logs of a campaign of preparative runs.
#[derive(Debug, Parser)]
#[command(version, about, disable_help_subcommand = true)]
struct Arguments {
    #[command(subcommand)]
    call: Call,
}

#[derive(Debug, Subcommand)]
enum Call {
    /// Write a commented campaign folder to fill in.
    #[command(after_help = help::START)]
    Start {
        /// Folder to write; it must not hold a campaign yet.
        dir: PathBuf,
        /// Set it up like one of the demo campaigns.
        #[arg(long)]
        like: Option<Like>,
        /// Draft the campaign file from existing files: CSV, workbooks, Parquet; those outside DIR are copied into it.
        #[arg(long, value_name = "FILE", num_args = 1.., conflicts_with = "like")]
        from: Vec<PathBuf>,
    },
    /// Read everything and report every fault.
    #[command(after_help = help::CHECK)]
    Check {
        #[command(flatten)]
        common: Common,
        /// Print how purity and yield of this run come about, as equations with numbers and units.
        #[arg(long, value_name = "RUN")]
        chain: Option<String>,
        /// Print what was understood of each column of each log: its meaning, unit, gaps and values.
        #[arg(long, conflicts_with = "chain")]
        columns: bool,
    },
    /// Put every run on one footing: yields, purity, balance, uncertainty.
    #[command(after_help = help::YIELDS)]
    Yields {
        #[command(flatten)]
        common: Common,
        /// Simulate each yield beside propagating its uncertainty, and compare.
        #[arg(long)]
        cross_check: bool,
    },
    /// Fit the models of each response.
    #[command(after_help = help::FIT)]
    Fit {
        #[command(flatten)]
        common: Common,
        /// Print what to expect over this factor instead, everything else at the reference mix.
        #[arg(long, value_name = "NAME")]
        against: Option<String>,
        /// Draw that into this SVG file, which must not be there yet; name the response where there are several.
        #[arg(long, value_name = "FILE", requires = "against")]
        picture: Option<PathBuf>,
    },
    /// Compare the recovery routes: yield, purity, cost, labour, and the chance that each is best.
    #[command(after_help = help::ROUTES)]
    Routes(Common),
    /// Say whether feeding the residue forward pays, and where that flips.
    #[command(after_help = help::RECYCLE)]
    Recycle(Common),
    /// Find the best settings inside the limits and the purity specification.
    #[command(after_help = help::SETTINGS)]
    Settings(Common),
    /// Plan the runs to make next: those that teach most for what is open.
    #[command(after_help = help::NEXT)]
    Next(next::NextOptions),
    /// Foresee what was never run: a crop, a route, a wash in portions.
    #[command(after_help = help::FORESEE)]
    Foresee(foresee::ForeseeOptions),
    /// Fit one model to several campaigns, and say which effects hold in all of them.
    #[command(after_help = help::TOGETHER)]
    Together(together::TogetherOptions),
    /// Chart yield, purity and titrant, and flag what drifts.
    #[command(after_help = help::DRIFT)]
    Drift(Common),
    /// Write the whole report: Markdown, charts, tables, JSON.
    #[command(after_help = help::REPORT)]
    Report {
        #[command(flatten)]
        common: Common,
        #[command(flatten)]
        besides: Besides,
    },
    /// Say what a word of a report or of this help means here.
    #[command(after_help = help::EXPLAIN)]
    Explain {
        /// The word, such as `reference mix`.
        #[arg(required = true, num_args = 1..)]
        term: Vec<String>,
    },
    /// Print the JSON Schema of the campaign file or of `result.json`, for editors and programs.
    #[command(after_help = help::SCHEMA)]
    Schema {
        /// Of which file.
        of: SchemaOf,
    },
    /// Print a script that lets a shell complete calls and options.
    #[command(after_help = help::COMPLETIONS)]
    Completions {
        /// The shell.
        shell: Shell,
    },
    /// Print the manual page.
    #[command(after_help = help::MANUAL)]
    Manual,
    /// Bring the reports of all campaigns below a folder up to date; made for schedulers.
    #[command(after_help = help::ROUNDS)]
    Rounds(rounds::RoundsOptions),
}

/// What a schema is of.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum SchemaOf {
    /// The campaign file.
    Campaign,
    /// `result.json`, and what calls print with `--json`.
    Result,
}

/// A demo campaign to set a new one up like.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Like {
    /// Separate logs of lots, crops, titres and residues.
    Bluestone,
    /// One flat table with your own headings.
    Iodate,
}

/// What every call on a campaign takes.
#[derive(Debug, Args)]
struct Common {
    /// Campaign folder, or the campaign file itself.
    campaign: PathBuf,
    /// Folder that reports are written into.
    #[arg(long, default_value = "reports", value_name = "DIR")]
    out: PathBuf,
    /// Print the result as one JSON object, and nothing else, on stdout.
    #[arg(long)]
    json: bool,
    /// Say nothing on stderr but errors.
    #[arg(long)]
    quiet: bool,
    /// Model this response only.
    #[arg(long, value_name = "NAME")]
    response: Option<String>,
    /// Seed of whatever is simulated.
    #[arg(long, default_value_t = 1, value_name = "N")]
    seed: u64,
    /// Exit with 1 if there is any doubt or any run was left out.
    #[arg(long)]
    strict: bool,
    /// Read logs that the campaign file names outside of its folder.
    #[arg(long)]
    allow_outside: bool,
}

/// What a report is written as besides Markdown and CSV.
#[derive(Debug, Args)]
struct Besides {
    /// Write it also as one page of HTML that needs no other file.
    #[arg(long)]
    page: bool,
    /// Write each table also as Parquet.
    #[arg(long, value_enum, value_name = "FORM")]
    tables: Option<TableForm>,
}

/// A form of tables besides CSV.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum TableForm {
    /// Typed columns, for engines that query many campaigns at once.
    Parquet,
}

impl Besides {
    fn form(&self) -> Form {
        Form {
            page: self.page,
            parquet: self.tables.is_some(),
        }
    }
}

impl Common {
    /// Loads the campaign of the call.
    fn load(&self) -> Result<Loaded, Faults> {
        load(&self.campaign, Outside::of(self.allow_outside))
    }
}

/// How a call ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Ending {
    /// Done.
    Done,
    /// Done, but there is something that the user asked to be told about.
    Flagged,
    /// Could not be done; nothing was written.
    Failed,
}

impl Ending {
    /// Done, with something to be told about or without.
    fn flagged(is_flagged: bool) -> Self {
        if is_flagged {
            Ending::Flagged
        } else {
            Ending::Done
        }
    }
}

/// Runs the call and gives its exit code.
pub fn run() -> ExitCode {
    let ending = match (environment::without_foreign_variables(), asked()) {
        (Err(error), _) => tell::failed(&faults::not_started_again(&error).into()),
        (Ok(()), Ok(arguments)) => done(arguments.call),
        (Ok(()), Err(other)) => said_instead(&other),
    };
    ExitCode::from(match ending {
        Ending::Done => 0,
        Ending::Flagged => 1,
        Ending::Failed => 2,
    })
}

/// The calls; a help shows an option only where it acts, and takes it everywhere, so that scripts need not know.
fn command() -> Command {
    let idle = [
        (
            "out",
            &[
                "check", "yields", "fit", "routes", "recycle", "settings", "next", "foresee",
                "drift",
            ][..],
        ),
        ("response", &["yields", "foresee"][..]),
    ];
    idle.into_iter()
        .flat_map(|(option, calls)| calls.iter().map(move |call| (option, call)))
        .fold(Arguments::command(), |command, (option, call)| {
            command.mut_subcommand(call, |of| of.mut_arg(option, |option| option.hide(true)))
        })
}

/// What was asked for; help is as wide as the terminal and unbounded in a pipe.
fn asked() -> Result<Arguments, clap::Error> {
    let columns = match width::of_stdout() {
        Width::Columns(columns) => columns,
        Width::Unbounded => usize::MAX,
    };
    let command = command().term_width(columns);
    Arguments::from_arg_matches(&command.try_get_matches()?)
}

/// Help and version go to stdout, faulty arguments to stderr.
fn said_instead(other: &clap::Error) -> Ending {
    if other.use_stderr() {
        tell::wrong_arguments(other);
        return Ending::Failed;
    }
    let written = other.print().and_then(|()| std::io::stdout().flush());
    match tell::forgiving(written) {
        Ok(()) => Ending::Done,
        Err(error) => tell::failed(&error.into()),
    }
}

fn done(call: Call) -> Ending {
    match call {
        Call::Start { dir, like, from } => start::start(&dir, like, &from),
        Call::Check {
            common,
            chain,
            columns,
        } => check::check(&common, chain.as_deref(), columns),
        Call::Yields {
            common,
            cross_check,
        } => calls::yields(&common, cross_check.then_some(CrossCheck::Every)),
        Call::Fit {
            common,
            against: Some(factor),
            picture,
        } => against::against(&common, &factor, picture.as_deref()),
        Call::Fit { common, .. } => calls::fit(&common),
        Call::Routes(common) => calls::routes(&common),
        Call::Recycle(common) => calls::recycle(&common),
        Call::Settings(common) => calls::settings(&common),
        Call::Next(options) => next::next(&options),
        Call::Foresee(options) => foresee::foreseen(&options),
        Call::Together(options) => together::of_all(&options),
        Call::Drift(common) => calls::drift(&common),
        Call::Report { common, besides } => calls::report(&common, besides.form()),
        Call::Rounds(options) => rounds::rounds(options),
        Call::Explain { term } => help::explain(&term.join(" ")),
        Call::Schema { of } => help::schema(of),
        Call::Completions { shell } => help::completions(shell, &mut command()),
        Call::Manual => help::manual(command()),
    }
}
