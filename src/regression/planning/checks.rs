//! Do planned runs teach what they promise?
//!
//! In: small logs. Out: tests.
//! This module never takes an expected value from the code it checks.
