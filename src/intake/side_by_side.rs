//! Work on several logs at once.
//!
//! In: what each piece of work needs. Out: what each gave, in their order.
//! This module never lets the number of threads change a result.

use std::thread;

/// Most threads at once; a campaign may have hundreds of files.
const THREADS: usize = 8;

/// Does the same work on each of several things, at once; the results stand in the order of the things.
pub(super) fn side_by_side<T: Send, R: Send>(
    things: Vec<T>,
    work: impl Fn(T) -> R + Sync,
) -> Vec<R> {
    if things.len() < 2 {
        return things.into_iter().map(work).collect();
    }
    let each = things.len().div_ceil(THREADS);
    let mut things = things.into_iter();
    let groups = std::iter::from_fn(|| {
        let group: Vec<T> = things.by_ref().take(each).collect();
        (!group.is_empty()).then_some(group)
    });
    let work = &work;
    thread::scope(|scope| {
        let of_group = |group: Vec<T>| group.into_iter().map(work).collect::<Vec<R>>();
        let threads = groups.map(|group| scope.spawn(move || of_group(group)));
        let threads: Vec<_> = threads.collect();
        let results = threads.into_iter().map(thread::ScopedJoinHandle::join);
        // A panic goes on where it would have without threads.
        results
            .flat_map(|result| result.unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
            .collect()
    })
}
