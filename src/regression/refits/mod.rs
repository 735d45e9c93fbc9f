//! The same model asked otherwise: with a term more, with runs left out, or with errors taken differently.
//!
//! In: a model as it was asked for, its fit and its runs. Out: [`FittedModel`](crate::regression::FittedModel)s that answer as any other.
//! This module never decides which of them is right; of a refit only sign and firmness are to be read.

mod chain;
mod changed;
mod connected;
mod covariance;
mod neighbours;
mod robust;

#[cfg(test)]
mod tests;

pub use changed::{Asking, asked_otherwise};
pub use connected::connected;
pub use neighbours::{MOST_CONNECTED, Neighbours, neighbours};
pub use robust::robust;
