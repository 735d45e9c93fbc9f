//! Name that many rows share: of a run, a titrant, a file.
//!
//! In: a text. Out: [`Name`], which costs nothing to copy; texts among which others are sought, [`Sorted`].
//! This module never changes a text.

use std::borrow::Borrow;
use std::cell::Cell;
use std::fmt;
use std::ops::Deref;
use std::sync::Arc;

/// A text that is kept once, however often it stands in a log; it compares and prints as its text does.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Name(Arc<str>);

impl Name {
    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Default for Name {
    fn default() -> Self {
        Name("".into())
    }
}

impl Deref for Name {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

impl Borrow<str> for Name {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl From<&str> for Name {
    fn from(text: &str) -> Self {
        Name(text.into())
    }
}

impl From<String> for Name {
    fn from(text: String) -> Self {
        Name(text.into())
    }
}

impl From<&String> for Name {
    fn from(text: &String) -> Self {
        Name(text.as_str().into())
    }
}

impl From<&Name> for Name {
    fn from(name: &Name) -> Self {
        name.clone()
    }
}

impl From<Name> for String {
    fn from(name: Name) -> Self {
        name.as_str().to_string()
    }
}

impl From<&Name> for String {
    fn from(name: &Name) -> Self {
        name.as_str().to_string()
    }
}

impl PartialEq<str> for Name {
    fn eq(&self, other: &str) -> bool {
        **self == *other
    }
}

impl PartialEq<&str> for Name {
    fn eq(&self, other: &&str) -> bool {
        **self == **other
    }
}

impl PartialEq<String> for Name {
    fn eq(&self, other: &String) -> bool {
        **self == **other
    }
}

impl PartialEq<Name> for String {
    fn eq(&self, other: &Name) -> bool {
        **self == **other
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self)
    }
}

impl fmt::Debug for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&**self, f)
    }
}

/// Texts in their order, each once.
#[derive(Debug)]
pub struct Sorted<'n> {
    texts: Vec<&'n str>,
    /// What was found last: many texts are asked for in their order, and several times each.
    last: Cell<usize>,
}

impl<'n> FromIterator<&'n str> for Sorted<'n> {
    fn from_iter<T: IntoIterator<Item = &'n str>>(texts: T) -> Self {
        let mut texts: Vec<&str> = texts.into_iter().collect();
        texts.sort_unstable();
        texts.dedup();
        let last = Cell::new(0);
        Sorted { texts, last }
    }
}

impl Sorted<'_> {
    /// Whether a text is one of them.
    pub fn contains(&self, text: &str) -> bool {
        let last = self.last.get();
        let is_near = |position: &usize| self.texts.get(*position) == Some(&text);
        let near = [last, last + 1].into_iter().find(is_near);
        let found = near.or_else(|| self.texts.binary_search(&text).ok());
        self.last.set(found.unwrap_or(last));
        found.is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_found_in_whatever_order_texts_are_asked_for() {
        let sorted: Sorted = ["c", "a", "b", "a"].into_iter().collect();
        for text in ["a", "a", "b", "c", "c", "a", "c", "b"] {
            assert!(sorted.contains(text), "{text}");
        }
        for text in ["", "ab", "d"] {
            assert!(!sorted.contains(text), "{text}");
        }
    }
}
