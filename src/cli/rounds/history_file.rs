//! The history of a campaign on disk.
//!
//! In: the output folder, the name of a campaign, a record. Out: its [`History`], one line longer when asked.
//! This module never changes a line that is whole.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use residuum::history::{History, Record, line};
use residuum::report::visible;

use super::KEPT;

/// Records of a campaign, in the folder of its name: no name of one campaign can be that of another's file.
const RECORDS: &str = "records.jsonl";

/// Last lines that were cut short.
const TORN: &str = "torn.txt";

/// The history of one campaign.
pub(super) struct HistoryFile {
    path: PathBuf,
    /// Its records.
    pub history: History,
}

/// Where histories lie.
fn folder(out: &Path) -> PathBuf {
    out.join(KEPT).join("history")
}

/// The file of a campaign.
pub(super) fn path_of(out: &Path, name: &str) -> PathBuf {
    folder(out).join(name).join(RECORDS)
}

/// Bytes of the history of a campaign; 0 where there is none.
pub(super) fn bytes(out: &Path, name: &str) -> u64 {
    fs::metadata(path_of(out, name)).map_or(0, |metadata| metadata.len())
}

/// The names of all campaigns that have a history.
pub(super) fn names(out: &Path) -> Vec<String> {
    let files = crate::cli::publish::files_in(&folder(out)).unwrap_or_default();
    files
        .iter()
        .filter_map(|file| file.strip_suffix(RECORDS)?.strip_suffix('/'))
        .map(str::to_string)
        .collect()
}

/// Whether the last record of a campaign is of these inputs; changes nothing.
pub(super) fn is_last(out: &Path, name: &str, inputs: &str) -> bool {
    let bytes = fs::read(path_of(out, name)).unwrap_or_default();
    let history = History::read(&bytes);
    let last = history.last();
    history.torn == 0 && last.is_some_and(|last| last.inputs.digest == inputs)
}

impl HistoryFile {
    /// Reads the history of a campaign. A last line that was cut short is put aside beside it and taken off.
    ///
    /// # Errors
    /// What reading and putting aside say.
    pub fn read(out: &Path, name: &str) -> io::Result<HistoryFile> {
        let path = path_of(out, name);
        let bytes = match fs::read(&path) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == io::ErrorKind::NotFound => Vec::new(),
            Err(error) => return Err(error),
        };
        let history = History::read(&bytes);
        if history.torn > 0 {
            let mut aside = File::options()
                .create(true)
                .append(true)
                .open(path.with_file_name(TORN))?;
            aside.write_all(&bytes[history.whole..])?;
            aside.sync_all()?;
            shorten(&path, history.whole)?;
        }
        Ok(HistoryFile { path, history })
    }

    /// Appends a record and waits until it is on disk.
    ///
    /// # Errors
    /// What writing says; the file is as long as before then, or its last line is told as torn next time.
    pub fn append(&self, record: &Record) -> io::Result<()> {
        if let Some(parent) = self.path.parent() {
            fs::create_dir_all(parent)?;
        }
        let mut file = File::options().create(true).append(true).open(&self.path)?;
        let written = file
            .write_all(visible(&line(record)).as_bytes())
            .and_then(|()| file.sync_all());
        if written.is_err() {
            let _ = self.take_back();
        }
        written
    }

    /// Takes off what was appended since the history was read; a history that began with it goes.
    ///
    /// # Errors
    /// What shortening says.
    pub fn take_back(&self) -> io::Result<()> {
        if self.history.whole == 0 {
            return fs::remove_file(&self.path);
        }
        shorten(&self.path, self.history.whole)
    }
}

fn shorten(path: &Path, bytes: usize) -> io::Result<()> {
    let file = File::options().write(true).open(path)?;
    file.set_len(bytes as u64)?;
    file.sync_all()
}
