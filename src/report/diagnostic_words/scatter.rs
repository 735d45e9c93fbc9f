//! What does the scatter of the residuals say, by itself and beside repeats?
//!
//! In: nothing, for no name and no number stands in these sentences. Out: the sentences.
//! This module never looks at a residual.

pub(super) const TERM_MISSING: &str = "the runs lie further from the model than repeats lie from one another: a curved or joint effect is missing, or repeats were made too close together to show all scatter";
pub(super) const NO_TERM_MISSING: &str =
    "the runs lie no further from the model than repeats from one another: no missing term shows";

pub(super) const NOT_NORMAL: &str = "the residuals do not look normal: a few runs far off, or a scatter that is not the same everywhere; chances near the level deserve little trust";
pub(super) const LOOKS_NORMAL: &str = "the residuals look normal as far as so many runs can tell";

pub(super) const SPREAD_CHANGES: &str = "the scatter changes with the settings: intervals are too narrow where it is large and too wide where it is small";
pub(super) const SPREAD_EVEN: &str = "the scatter looks the same at all settings";
