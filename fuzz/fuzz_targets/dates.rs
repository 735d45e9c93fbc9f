//! Bytes for the target `dates`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| residuum_fuzz::check("dates", bytes));
