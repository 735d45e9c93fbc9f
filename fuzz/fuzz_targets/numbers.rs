//! Bytes for the target `numbers`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| residuum_fuzz::check("numbers", bytes));
