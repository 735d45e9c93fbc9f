//! Faults and figures of whatever was read.
//!
//! In: faults, and values as they are shown for developers. Out: nothing, or a panic.
//! This module never reads an input.

use std::fmt::Debug;

use residuum::error::Error;

/// Bytes that a message and its hint may have beyond a few repetitions of what they tell of.
const ROOM: usize = 4_000;

/// Asks that a fault says what is wrong and what to do, no longer than needed, at a line that the file has.
pub fn fault(fault: &Error, file: &str, bytes: usize, lines: Option<usize>) {
    let hint = fault.advice().unwrap_or_default();
    assert!(!fault.message().trim().is_empty(), "no message: {fault:?}");
    assert!(!hint.trim().is_empty(), "no hint: {fault:?}");
    assert!(fault.file().is_some(), "no file: {fault:?}");
    let length = fault.message().len() + hint.len();
    assert!(
        length <= 4 * bytes + ROOM,
        "{length} bytes are said of {bytes}"
    );
    if let (Some(line), Some(lines), true) = (fault.line(), lines, fault.file() == Some(file)) {
        assert!(
            (1..=lines).contains(&line),
            "no line {line} of {lines}: {fault:?}"
        );
    }
}

/// Asks that a hint about one short text is there and short.
pub fn hint(hint: &str, most: usize) {
    assert!(!hint.trim().is_empty(), "an empty hint");
    assert!(hint.len() <= most, "a hint of {} bytes: {hint}", hint.len());
}

/// Lines of a text, as far as line breaks of any system can make them.
pub fn lines(bytes: &[u8]) -> usize {
    1 + bytes
        .iter()
        .filter(|byte| matches!(byte, b'\n' | b'\r'))
        .count()
}

/// Asks that no figure of a value is infinite or none at all; what stands between quotes is no figure.
pub fn finite(value: &impl Debug) -> String {
    let shown = format!("{value:?}");
    let mut quote = None;
    let mut word = String::new();
    let mut letters = shown.chars();
    while let Some(letter) = letters.next() {
        match quote {
            Some(_) if letter == '\\' => {
                letters.next();
            }
            Some(open) if letter == open => quote = None,
            Some(_) => {}
            None if letter == '"' || letter == '\'' => quote = Some(letter),
            None if letter.is_alphanumeric() || letter == '_' => {
                word.push(letter);
                continue;
            }
            None => {}
        }
        assert!(word != "NaN" && word != "inf", "not finite: {shown}");
        word.clear();
    }
    shown
}
