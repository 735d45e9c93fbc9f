//! Text of the campaign file, with the lines of its values and the faults found so far.
//!
//! In: byte positions. Out: [`Source`], which notes faults on their lines, and [`At`], a value with its place.
//! This module never parses anything.

use std::cell::RefCell;

use crate::error::{Error, ErrorKind, Place};

/// The file that is being read and the faults found so far.
pub(super) struct Source<'a> {
    pub file: &'a str,
    pub text: &'a str,
    pub faults: RefCell<Vec<Error>>,
    /// Paths of tables with a fault in them.
    pub faulty: RefCell<Vec<String>>,
}

impl Source<'_> {
    /// Line of a byte position, counted from 1.
    pub fn line(&self, position: usize) -> usize {
        let end = position.min(self.text.len());
        let before = &self.text.as_bytes()[..end];
        1 + before.iter().filter(|b| **b == b'\n').count()
    }

    /// How many faults were noted so far.
    pub fn count(&self) -> usize {
        self.faults.borrow().len()
    }

    /// All faults, in the order of their lines.
    pub fn in_order(self) -> Vec<Error> {
        let mut faults = self.faults.into_inner();
        faults.sort_by_key(Error::line);
        faults
    }

    /// Notes a fault of the campaign file at a byte position.
    pub fn fault(&self, position: usize, what: impl Into<String>, hint: impl Into<String>) {
        self.fault_on(self.line(position), what, hint);
    }

    /// The same on a line.
    pub fn fault_on(&self, line: usize, what: impl Into<String>, hint: impl Into<String>) {
        let place = Place::new(self.file, line);
        let message = format!("{}, in {place}", what.into());
        let fault = place.fault(ErrorKind::Campaign, message, hint);
        self.faults.borrow_mut().push(fault);
    }
}

/// A value with the place it stands at.
#[derive(Debug, Clone)]
pub(super) struct At<T> {
    pub value: T,
    pub position: usize,
}

/// The bare values.
pub(super) fn values<T>(found: Vec<At<T>>) -> Vec<T> {
    found.into_iter().map(|found| found.value).collect()
}
