//! Files so damaged that the library which reads them gives up in the middle.
//!
//! In: a reading by a library. Out: what it read, or a fault of the file.
//! This module never stands around code that reads text: what is wrong there is ours.

use std::panic::{AssertUnwindSafe, catch_unwind};

use super::content::unreadable;
use crate::error::Error;

/// What a library reads of a file; one that panics, as on a workbook that was cut off, is a fault of that file. Nothing of the
/// reading is used afterwards.
pub(super) fn unless_damaged<T>(
    file: &str,
    read: impl FnOnce() -> Result<T, Error>,
) -> Result<T, Error> {
    catch_unwind(AssertUnwindSafe(read)).unwrap_or_else(|_| {
        let what = format!("`{file}` is damaged");
        let hint = "open it in the program that wrote it and save it again, or save the log as CSV";
        Err(unreadable(file, what, hint))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_library_that_gives_up_is_a_fault_of_the_file() {
        let read = |at: usize| unless_damaged("book.xls", || Ok([1, 2, 3][at]));
        assert_eq!(read(2), Ok(3));
        let fault = read(3).unwrap_err();
        assert_eq!(fault.message(), "`book.xls` is damaged");
        assert_eq!(fault.file(), Some("book.xls"));
    }
}
