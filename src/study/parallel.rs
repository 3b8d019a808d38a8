//! The same work on several things at once, with results in the order of the things.

use std::num::NonZeroUsize;
use std::thread;

use rayon::ThreadPoolBuilder;
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

/// How many threads there are to use, where nobody says.
pub fn default_threads() -> NonZeroUsize {
    thread::available_parallelism().unwrap_or(NonZeroUsize::MIN)
}

/// No machine works on more at once, and starting threads takes time.
pub(super) const MOST_THREADS: usize = 1024;

/// Does `work` on every item, on at most so many threads. The results do not depend on how many.
pub(super) fn in_parallel<T: Sync, R: Send>(
    items: &[T],
    threads: NonZeroUsize,
    work: impl Fn(&T) -> R + Sync + Send,
) -> Vec<R> {
    let count = threads.get().min(items.len()).clamp(1, MOST_THREADS);
    match ThreadPoolBuilder::new().num_threads(count).build() {
        Ok(pool) => pool.install(|| items.par_iter().map(&work).collect()),
        // Where no threads can be had this one does the work.
        Err(_) => items.iter().map(work).collect(),
    }
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
