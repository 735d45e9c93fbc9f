//! Work on a list by all cores.
//!
//! In: items, a number of threads, what to do with one item. Out: the results in the order of the items.
//! This module never lets the order of the work show in the results.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// Does every item, each thread taking the next one that is left.
pub(super) fn each<T: Sync, R: Send>(
    items: &[T],
    threads: usize,
    work: impl Fn(&T) -> R + Sync,
) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let one_thread = || {
        let mut done = Vec::new();
        loop {
            let position = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(position) else {
                return done;
            };
            done.push((position, work(item)));
        }
    };
    let mut results: Vec<(usize, R)> = thread::scope(|scope| {
        let threads: Vec<_> = (0..threads.clamp(1, items.len().max(1)))
            .map(|_| scope.spawn(one_thread))
            .collect();
        threads
            .into_iter()
            .flat_map(|thread| match thread.join() {
                Ok(done) => done,
                Err(panic) => std::panic::resume_unwind(panic),
            })
            .collect()
    });
    results.sort_by_key(|(position, _)| *position);
    results.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_come_in_the_order_of_the_items_on_any_number_of_threads() {
        let items: Vec<usize> = (0..100).collect();
        let expected: Vec<usize> = items.iter().map(|item| item * item).collect();
        for threads in [0, 1, 2, 7, 200] {
            assert_eq!(each(&items, threads, |item| item * item), expected);
        }
        assert!(each(&[], 4, |item: &usize| *item).is_empty());
    }
}
