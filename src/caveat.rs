//! A doubt that travels with a result.
//!
//! In: what was seen, with the number that triggered it. Out: [`Caveat`].
//! This module never decides what is doubtful, and never formats for a page.

/// A doubt: what was seen, with the number that triggered it, and what to do about it.
///
/// The texts are plain sentences and may hold names from logs; whoever prints them escapes them whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caveat {
    /// What sort of doubt it is, a short fixed term such as `closure above 1`.
    pub kind: &'static str,
    /// What it touches.
    pub about: About,
    /// What was seen, with its number.
    pub seen: String,
    /// What to do about it.
    pub advice: String,
}

/// What a doubt touches.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum About {
    /// The campaign as a whole.
    Campaign,
    /// One lot of feed.
    Lot(String),
    /// One titrant.
    Titrant(String),
    /// One run.
    Run(String),
    /// The model of one response.
    Model(String),
}

impl std::fmt::Display for About {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            About::Campaign => write!(f, "campaign"),
            About::Lot(lot) => write!(f, "lot {lot}"),
            About::Titrant(titrant) => write!(f, "titrant {titrant}"),
            About::Run(run) => write!(f, "run {run}"),
            About::Model(response) => write!(f, "model of {response}"),
        }
    }
}
