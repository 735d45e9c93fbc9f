//! residuum: from a campaign's CSV logs to a decision somebody can defend.
//!
//! In: a campaign file and its logs as text and bytes. Out: results, reports and charts as values.
//! This library never prints, exits, writes a file, reads the clock or the environment, or draws an unseeded random number.
//!
//! From the bytes of a log to a report:
//!
//! ```
//! use residuum::campaign::{FileText, LogKind};
//! use residuum::intake::LogFile;
//! use residuum::{pipeline, report};
//!
//! let campaign = FileText {
//!     file: "campaign.toml".into(),
//!     text: r#"
//!         [campaign]
//!         title = "Alum from foil"
//!
//!         [logs]
//!         runs = "runs.csv"
//!
//!         [responses]
//!         crystals = { unit = "g" }
//!
//!         [factors.bath]
//!         kind = "choice"
//!         baseline = "ice"
//!
//!         [model]
//!         responses = ["crystals"]
//!         effects = ["bath"]
//!     "#
//!     .into(),
//! };
//! let runs = "run,bath,crystals\nA1,ice,41.2\nA2,air,37.9\nA3,ice,40.6\nA4,air,38.3\nA5,ice,41.0\nA6,air,37.5\n";
//! let log = LogFile {
//!     kind: LogKind::Runs,
//!     file: "runs.csv".into(),
//!     part: None,
//!     bytes: runs.into(),
//! };
//! let files = pipeline::from_logs(campaign, &[log], 1, report::report)?;
//! let page = files.iter().find(|file| file.path == "report.md").expect("every report has its page");
//! let text = String::from_utf8_lossy(&page.bytes);
//! assert!(text.contains("Air \u{2212}3.03 \u{b1} "), "{text}");
//! # Ok::<(), residuum::error::Faults>(())
//! ```

pub mod answers;
pub mod at_once;
pub mod campaign;
pub mod caveat;
pub mod charts;
pub mod chemistry;
pub mod crystallisation;
pub mod decide;
pub mod distributions;
pub mod drift;
pub mod entries;
pub mod error;
pub mod foresee;
pub mod history;
pub mod intake;
pub mod measured;
pub mod name;
pub mod pipeline;
pub mod regression;
pub mod report;
pub mod result;
pub mod runs;
pub mod seeded;
pub mod sheets;
pub mod together;
pub mod units;
