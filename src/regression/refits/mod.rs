//! The same model asked otherwise: with a term more, with runs left out, or with errors taken differently.
//!
//! In: a model as it was asked for and its runs. Out: [`FittedModel`](crate::regression::FittedModel)s that answer as any other.
//! This module never decides which of them is right.

mod changed;

pub use changed::{Asking, asked_otherwise};
