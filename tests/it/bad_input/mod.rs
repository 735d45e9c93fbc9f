//! Does bad input end in a message that says what is wrong, where, and what to do, and in nothing worse?
//!
//! A file for each promise:
//! - `stops_campaign.rs`, `stops_asked_for.rs`, `stops_logs.rs`: faults that stop the work, exit code 2, nothing
//!   written: of the campaign file, of what it asks for, of the logs.
//! - `left_out.rs`: faults that leave a run out, each listed with its reason.
//! - `entries.rs`: gaps, doubled entries and figures that nothing can be divided by.
//! - `doubts.rs`: doubts that travel with a result while the run stays in.
//! - `together.rs`: all faults of all files in one go, and what is left when no run is.
//! - `words.rs`: words for nothing, what nobody sees, rows over rows and reasons that are none.
//! - `numbers.rs`: thousands, limits, guesses and ± in cells; currencies beside prices.
//! - `dates.rs`: dates in another order, and the key that states it.
//! - `units.rs`: two units for one column, and shares of lots in each form.
//! - `aliquots.rs`, `liquors.rs`: aliquots as volumes of a flask, and what strengths of liquors are of.
//! - `unknown_names.rs`: names and figures of the campaign file that nothing knows or nothing can have.
//! - `shapes.rs`: encodings, quotes, separators, rows that do not fit their heading.
//! - `figures.rs`: figures that no arithmetic survives.
//! - `output.rs`: folders that can't be written or must not be.
//! - `money.rs`, `prices.rs`, `loops.rs`: questions about money, routes and settings that lack something, or stand at an end.
//! - `streams.rs`: pipes that are closed, devices that are full.
//! - `hostile_names.rs`, `hostile_calls.rs`: names that would do harm where they are shown, in files and in every call.
//! - `named_logs.rs`: logs that a pattern drops, that are no files, or too long; variables that a library reads.
//! - `limits_of_files.rs`: cells, columns, lines and lists beyond all measure; paths, links, pipes and devices outside of the folder.
//! - `whose_report.rs`: reports of two campaigns in one place, logs that change meanwhile, output that nobody takes.
//! - `unpriced_loop.rs`: loops of residue without prices or room, on the campaign of `money_bench.rs`.
//! - `alike.rs`: one campaign written in several ways.
//!
//! `bench.rs` holds a sound campaign and the ways to spoil it, `priced.rs` another one that can answer about money, `promises.rs` what the program owes for each class, and
//! `reading.rs` reads tables and pictures without trust.
//! This module never holds a test itself.

mod alike;
mod aliquots;
mod bench;
mod dates;
mod doubts;
mod entries;
mod figures;
mod hostile_calls;
mod hostile_names;
mod left_out;
mod limits_of_files;
mod liquors;
mod loops;
mod money;
mod money_bench;
mod named_logs;
mod numbers;
mod output;
mod priced;
mod prices;
mod promises;
mod reading;
mod shapes;
mod stops_asked_for;
mod stops_campaign;
mod stops_logs;
mod streams;
mod together;
mod units;
mod unknown_names;
mod unpriced_loop;
mod whose_report;
mod words;

pub use output::files_below;
pub use reading::cells;
