//! Names put into a sentence: quoted, and in lists.
//!
//! In: names of terms, factors and levels. Out: lists with `and` or `or`, and names between backticks.
//! This module never escapes a name; whoever prints the sentence does.

/// `a`, `a and b`, `a, b and c`.
pub(crate) fn all_of(names: &[String]) -> String {
    joined(names, "and")
}

/// `a`, `a or b`, `a, b or c`.
pub(crate) fn one_of(names: &[String]) -> String {
    joined(names, "or")
}

/// A name between backticks.
pub(crate) fn quoted(name: &str) -> String {
    format!("`{name}`")
}

fn joined(names: &[String], last: &str) -> String {
    match names {
        [] => String::new(),
        [only] => only.clone(),
        [before @ .., end] => format!("{} {last} {end}", before.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_ends_with_its_joining_word() {
        let names = ["A", "B", "C"].map(String::from);
        assert_eq!(all_of(&names), "A, B and C");
        assert_eq!(one_of(&names[..2]), "A or B");
        assert_eq!(all_of(&names[..1]), "A");
        assert_eq!(all_of(&[]), "");
    }
}
