//! Bytes for the target `campaign`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| residuum_fuzz::check("campaign", bytes));
