//! Work on a list by all cores, and two things at once.
//!
//! In: items, a number of threads, what to do with one item. Out: the results in the order of the items.
//! This module never lets the order of the work, or the number of threads, show in the results.

use std::sync::Mutex;
use std::thread;

/// Both at once: neither knows the other, so that a second core need not wait.
pub fn beside<One: Send, Other>(
    one: impl FnOnce() -> One + Send,
    other: impl FnOnce() -> Other,
) -> (One, Other) {
    thread::scope(|scope| {
        let one = scope.spawn(one);
        let other = other();
        match one.join() {
            Ok(one) => (one, other),
            Err(panic) => std::panic::resume_unwind(panic),
        }
    })
}

/// Does every item on all cores.
pub fn on_all_cores<T: Send, R: Send>(items: Vec<T>, work: impl Fn(T) -> R + Sync) -> Vec<R> {
    let threads = thread::available_parallelism().map_or(1, usize::from);
    each(items, threads, work)
}

/// Does every item, each thread taking the next one that is left.
pub fn each<T: Send, R: Send>(
    items: Vec<T>,
    threads: usize,
    work: impl Fn(T) -> R + Sync,
) -> Vec<R> {
    let threads = threads.min(items.len());
    if threads < 2 {
        return items.into_iter().map(work).collect();
    }
    let left = Mutex::new(items.into_iter().enumerate());
    let next = || left.lock().ok()?.next();
    let one_thread = || {
        let mut done = Vec::new();
        while let Some((position, item)) = next() {
            done.push((position, work(item)));
        }
        done
    };
    let mut results: Vec<(usize, R)> = thread::scope(|scope| {
        let threads: Vec<_> = (0..threads).map(|_| scope.spawn(one_thread)).collect();
        let threads = threads.into_iter();
        // A panic goes on where it would have without threads.
        let done = threads.map(|thread| thread.join());
        done.flat_map(|done| done.unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
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
            assert_eq!(each(items.clone(), threads, |item| item * item), expected);
        }
        assert!(each(Vec::new(), 4, |item: usize| item).is_empty());
    }
}
