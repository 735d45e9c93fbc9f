//! Bytes for the target `table`.
#![no_main]

/// How workbooks and Parquet begin. The libraries that read them reserve as much room as a damaged file claims to need, which ends
/// the search: such tables are checked by seeds alone.
const OF_LIBRARIES: [&[u8]; 3] = [b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"PAR1"];

libfuzzer_sys::fuzz_target!(
    // A library that panics is caught where it is called; a panic that nobody catches ends the search all the same.
    init: drop(std::panic::take_hook()),
    |bytes: &[u8]| {
        let log = bytes.splitn(2, |byte| *byte == b'\n').nth(1);
        let log = log.unwrap_or_default();
        if !OF_LIBRARIES.iter().any(|begin| log.starts_with(begin)) {
            residuum_fuzz::check("table", bytes);
        }
    }
);
