//! Many campaigns, round after round: the page of all of them, and what changed in each.
//!
//! In: one row a campaign, and what changed since the last round. Out: a page, a section, texts of one line.
//! This module never compares anything itself.

pub mod index_page;
pub mod section;
pub mod words;
