//! What is known of the errors of the responses before any fit.
//!
//! In: sensitivities times standard uncertainties, by source and run. Out: [`Measurement`].
//! This module never estimates an error, and never knows where a source comes from.

use super::listed_names::quoted;
use crate::error::{Error, ErrorKind};

/// What is known of the errors of the responses before any fit; by default nothing.
///
/// `U_ij = Σ_s c_si c_sj + δ_ij u_i²`: sources `s` with the effects `c_si` on runs, and `u_i` what run `i` has for itself,
/// all at fitted values of the response.
/// # Assumes
/// Different sources are independent of one another, and one source has one error for all its runs.
/// # Source
/// JCGM 100:2008, 5.1.2 (sensitivities) and 5.2.2 (correlated inputs).
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Measurement {
    /// Errors that several runs share.
    pub shared: Vec<SharedError>,
    /// What each run has for itself, one a run; may be empty.
    pub own: Vec<OwnError>,
}

/// One error that several runs share, such as that of the assay of a lot or of a titrant.
#[derive(Debug, Clone, PartialEq)]
pub struct SharedError {
    /// Name of the source.
    pub name: String,
    /// What one standard uncertainty of the source does to each of its runs.
    pub effects: Vec<ErrorEffect>,
}

/// What one standard uncertainty of a source does to the response of one run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ErrorEffect {
    /// Position of the run.
    pub run: usize,
    /// Sensitivity times standard uncertainty, with its sign.
    pub size: ErrorSize,
}

/// The size of an effect of an error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ErrorSize {
    /// Per unit of the response, so that it is taken at the fitted value; never at the observed one.
    Relative(f64),
    /// In the unit of the response.
    Absolute(f64),
}

/// The error that a run has for itself alone: `u² = (relative · y)² + absolute²`, `y` the fitted response.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct OwnError {
    /// Root of the sum of squares of all relative parts, per unit of the response.
    pub relative: f64,
    /// Root of the sum of squares of all other parts, in the unit of the response.
    pub absolute: f64,
}

impl ErrorSize {
    /// The number, whatever it is per.
    pub(crate) fn number(self) -> f64 {
        match self {
            ErrorSize::Relative(number) | ErrorSize::Absolute(number) => number,
        }
    }
}

impl Measurement {
    /// What is known of the errors of some runs, given by their positions in ascending order.
    pub(crate) fn of_runs(&self, kept: &[usize]) -> Measurement {
        let shared = self.shared.iter().map(|source| {
            let effects = source.effects.iter().filter_map(|effect| {
                let run = kept.binary_search(&effect.run).ok()?;
                Some(ErrorEffect { run, ..*effect })
            });
            SharedError {
                name: source.name.clone(),
                effects: effects.collect(),
            }
        });
        let own = kept.iter().filter_map(|&run| self.own.get(run).copied());
        Measurement {
            shared: shared.filter(|source| !source.effects.is_empty()).collect(),
            own: own.collect(),
        }
    }

    /// Whether no error is known, or all are zero.
    pub(crate) fn is_nothing(&self) -> bool {
        let mut shared = self.shared.iter().flat_map(|source| &source.effects);
        shared.all(|effect| effect.size.number() == 0.0)
            && self.own.iter().all(|own| *own == OwnError::default())
    }

    /// What is wrong with it for this many runs.
    pub(crate) fn faults(&self, runs: usize) -> Vec<Error> {
        let mut faults = Vec::new();
        let mut fault = |kind, message: String| faults.push(Error::new(kind, message));
        let own = self.own.len();
        if own != 0 && own != runs {
            fault(
                ErrorKind::Missing,
                format!("{own} own errors are given for {runs} runs"),
            );
        }
        let usable = |size: f64| size.is_finite() && size >= 0.0;
        let unusable = |own: &OwnError| !usable(own.relative) || !usable(own.absolute);
        if let Some(run) = self.own.iter().position(unusable).map(|before| before + 1) {
            fault(
                ErrorKind::OutOfRange,
                format!("the own error of run {run} is no standard uncertainty"),
            );
        }
        for source in &self.shared {
            let name = quoted(&source.name);
            if source.effects.iter().any(|effect| effect.run >= runs) {
                fault(
                    ErrorKind::UnknownName,
                    format!("the shared error {name} is about a run that is not there"),
                );
            }
            let mut sizes = source.effects.iter().map(|effect| effect.size.number());
            if sizes.any(|size| !size.is_finite()) {
                fault(
                    ErrorKind::NotANumber,
                    format!("an effect of the shared error {name} is not a finite number"),
                );
            }
        }
        faults
    }
}
