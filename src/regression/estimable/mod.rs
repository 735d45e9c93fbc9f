//! What the runs can tell, what they cannot, and which runs would.
//!
//! In: the basis of a design and its blocks. Out: [`Separation`], and [`NotSeparable`] and [`Refusal`] as typed reasons.
//! This module never drops a term in favour of another that it is tangled with.

mod hidden_blocks;
mod proposals;
mod reasons;
mod separation;
mod tangle;

pub(crate) use hidden_blocks::{Ghost, Ghosts};
pub use reasons::{AmountAt, NotSeparable, Proposal, Refusal, Tangled};
pub(crate) use separation::{Relation, Separation};
pub(crate) use tangle::Tangle;
