//! What would 64 runs from annealing scale to bluestone log, if the true effects were known?
//!
//! In: a seed. Out: the files of the campaign folder as text, and the true effects.
//! This module never touches a file and never reads a result of the analysis.
//!
//! # Mechanism
//! The settings of the runs are fixed (`plan.rs`); the seed draws everything that chance decides.
//! Of the copper charged into a run, fresh and in residue, four shares add up to one:
//!
//! ```text
//! crops   = constant + heating + b₁·x + b₂·x² + route + (slope + slope of the route)·r + scatter
//! residue = 0.11 − heating − (b₁·x + b₂·x² − the same at 85 %) − slope·r − scatter / 2
//! loss    = uniform from 0.01 to 0.02, measured by nobody
//! liquor  = what is left
//! ```
//!
//! `x` is the oxidant excess [%], `r` the residue charged per fresh feed [g/g], both from the masses and assays
//! as logged; scatter is normal with standard deviation 0.018. The effects stand in `mechanism.rs` and in
//! `truth.json`. Oxidant helps up to 85 % excess. Residue is refractory (negative slope), and what is fed
//! forward spoils the boil-down more than the other routes. Purity is linear in the same terms with
//! scatter 0.0027, cut at 2.5 standard deviations so that no crop is purer than pure.
//!
//! No lot has an effect of its own except D, and D was only ever heated in the kiln: the two cannot be told
//! apart, so neither stands in `truth.json`. Each lot also carries the error of its logged assay.
//!
//! Everything else follows from the copper by chemistry: masses, liquor, residue and titres are what a bench
//! with the errors stated in `campaign.toml` would log.
//!
//! # Planted flaws
//! The second crop of `B-023` was never titrated; `B-041` boiled over and is set aside; the residue of
//! `B-054` is typed with the point one place too far right. Neither residue of the last two runs is charged
//! again. The assay of lot E is a supplier's claim without uncertainty.

#[path = "bluestone/batch.rs"]
mod batch;
#[path = "bluestone/bench.rs"]
mod bench;
#[path = "draws.rs"]
pub mod draws;
#[path = "bluestone/furnace.rs"]
mod furnace;
#[path = "bluestone/logs.rs"]
mod logs;
#[path = "bluestone/lots.rs"]
mod lots;
#[path = "bluestone/mechanism.rs"]
pub mod mechanism;
#[path = "bluestone/plan.rs"]
mod plan;
#[path = "bluestone/recovery.rs"]
mod recovery;
#[path = "bluestone/shelf.rs"]
mod shelf;
#[path = "table.rs"]
pub mod table;

use draws::Draws;
pub use mechanism::truth;
use table::GeneratedFile;

/// Stream of what all runs share: lot assays, titrants, the burette. Run `n` draws from stream `n`.
const SHARED_STREAM: u64 = 0;
/// Furnace readings draw from streams of their own: run number plus this.
const FURNACE_STREAMS: u64 = 1000;

/// All files of the campaign folder, for one draw of chance.
pub fn files(seed: u64) -> Vec<GeneratedFile> {
    let mut shared = Draws::stream(seed, SHARED_STREAM);
    let lots = lots::draw(&mut shared);
    let bench = bench::Bench::draw(&mut shared);
    let mut shelf = shelf::Shelf::default();
    let mut batches = Vec::new();
    for planned in plan::runs() {
        let mut draws = Draws::stream(seed, planned.number);
        let lot = lots::find(&lots, planned.lot);
        let batch = batch::make(&planned, lot, &mut shelf, &bench, &mut draws);
        shelf.put(&batch);
        batches.push(batch);
    }
    let mut files = vec![
        GeneratedFile::new("campaign.toml", include_str!("../bluestone/campaign.toml")),
        GeneratedFile::new("runs.csv", logs::runs(&batches)),
        GeneratedFile::new("lots.csv", logs::lots(&lots)),
        GeneratedFile::new("crops.csv", logs::crops(&batches)),
        GeneratedFile::new("titres.csv", logs::titres(&batches)),
        GeneratedFile::new("titrants.csv", bench.titrants_log()),
        GeneratedFile::new("residues.csv", logs::residues(&batches)),
        GeneratedFile::new("truth.json", truth().to_json()),
    ];
    for planned in plan::runs() {
        let mut draws = Draws::stream(seed, FURNACE_STREAMS + planned.number);
        let readings = furnace::readings(planned.heating, &mut draws);
        files.push(GeneratedFile::new(
            format!("furnace/{}.csv", planned.name),
            readings,
        ));
    }
    files
}
