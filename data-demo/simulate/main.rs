//! What do the two demo campaigns hold? This program writes them anew, always the same bytes.
//!
//! In: nothing but the seed below. Out: every file of `data-demo/bluestone` and `data-demo/iodate`.
//! This module never draws a number itself.

// The program that writes invented data stops where it cannot go on.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr,
    clippy::unwrap_used
)]

mod bluestone;
mod iodate;

use std::error::Error;
use std::fs;
use std::path::Path;

use bluestone::table::GeneratedFile;

/// The seed of the committed campaigns. It was fixed before any result was seen.
const SEED: u64 = 1;

fn main() -> Result<(), Box<dyn Error>> {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo");
    write_all(&demo.join("bluestone"), &bluestone::files(SEED))?;
    write_all(&demo.join("iodate"), &iodate::files(SEED))?;
    Ok(())
}

fn write_all(folder: &Path, files: &[GeneratedFile]) -> Result<(), Box<dyn Error>> {
    for file in files {
        let path = folder.join(&file.path);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent)?;
        }
        fs::write(&path, &file.text).map_err(|fault| format!("{}: {fault}", path.display()))?;
    }
    eprintln!("{} files in {}", files.len(), folder.display());
    Ok(())
}
