//! Bytes for the target `formula`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| residuum_fuzz::check("formula", bytes));
