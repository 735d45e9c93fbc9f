#![allow(dead_code)]
#[path = "it/in_memory.rs"]
mod in_memory;
#[path = "it/support.rs"]
mod support;
#[path = "it/verdicts/mod.rs"]
mod verdicts;
