//! A picture of a report, and all of them by name.
//!
//! In: finished SVG texts. Out: [`Pictures`], from which sections take what they show.
//! This module never draws.

/// One picture.
#[derive(Debug, Clone)]
pub struct Picture {
    /// Name that sections know it by.
    pub name: String,
    /// File name; never holds a name from a log.
    pub file: String,
    /// The question it answers.
    pub question: String,
    /// What is drawn.
    pub caption: String,
    /// The SVG document.
    pub svg: String,
}

/// All pictures of a report.
#[derive(Debug, Clone, Default)]
pub struct Pictures(pub Vec<Picture>);

impl Pictures {
    /// The picture of that name.
    pub fn named(&self, name: &str) -> Option<&Picture> {
        self.0.iter().find(|picture| picture.name == name)
    }
}
