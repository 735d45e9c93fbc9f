//! Bytes for the target `table`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| residuum_fuzz::check("table", bytes));
