//! Bytes for the target `table`.
#![no_main]

// A library that panics on a damaged file is caught where it is called; a panic that nobody catches still ends the search.
libfuzzer_sys::fuzz_target!(
    init: drop(std::panic::take_hook()),
    |bytes: &[u8]| {
        if !residuum_fuzz::is_for_a_library(bytes) {
            residuum_fuzz::check("table", bytes);
        }
    }
);
