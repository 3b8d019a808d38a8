//! The same work on several things at once, with results in the order of the things.

use std::num::NonZeroUsize;
use std::sync::Mutex;
use std::thread;

/// How many threads there are to use, where nobody says.
pub fn default_threads() -> NonZeroUsize {
    thread::available_parallelism().unwrap_or(NonZeroUsize::MIN)
}

/// Does `work` on every item, on at most so many threads. The results do not depend on how many.
pub(super) fn in_parallel<T: Sync, R: Send>(
    items: &[T],
    threads: NonZeroUsize,
    work: impl Fn(&T) -> R + Sync,
) -> Vec<R> {
    let waiting = Mutex::new(items.iter().enumerate());
    let take = || waiting.lock().ok().and_then(|mut waiting| waiting.next());
    let worker = || {
        let mut done = Vec::new();
        while let Some((place, item)) = take() {
            done.push((place, work(item)));
        }
        done
    };
    let mut all: Vec<(usize, R)> = thread::scope(|scope| {
        let count = threads.get().min(items.len()).saturating_sub(1);
        let helpers: Vec<_> = (0..count).map(|_| scope.spawn(worker)).collect();
        let mut all = worker();
        for helper in helpers {
            match helper.join() {
                Ok(done) => all.extend(done),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        all
    });
    all.sort_by_key(|(place, _)| *place);
    all.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_keep_the_order_of_their_items() {
        let items: Vec<u64> = (0..100).collect();
        for threads in [1, 3, 200] {
            let threads = NonZeroUsize::new(threads).expect("not zero");
            let squares = in_parallel(&items, threads, |item| item * item);
            assert!(squares.iter().zip(&items).all(|(square, item)| *square == item * item));
            assert_eq!(squares.len(), items.len());
        }
        assert_eq!(in_parallel(&[0_u64; 0], NonZeroUsize::MIN, |item| *item), [0_u64; 0]);
    }
}
