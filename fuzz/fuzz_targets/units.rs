//! Bytes for the target `units`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| residuum_fuzz::check("units", bytes));
