//! A cache of what cases have in common, such as weather: the first case that needs a chunk of it
//! computes it, the others read it.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use crate::time::Instant;

/// So many chunks are kept: more than a day of steps of a minute has, so that warm-up days find
/// theirs again.
const KEPT: usize = 8;

/// A cache of chunks, by their first instants, shared by several cases and threads.
#[derive(Debug)]
pub(super) struct Shared<T>(Arc<Mutex<Ring<T>>>);

#[derive(Debug)]
struct Ring<T> {
    kept: Vec<(Instant, Arc<T>)>,
    /// Where the next one goes.
    next: usize,
}

impl<T> Clone for Shared<T> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<T> Shared<T> {
    /// An empty cache.
    pub(super) fn new() -> Self {
        Self(Arc::new(Mutex::new(Ring { kept: Vec::with_capacity(KEPT), next: 0 })))
    }

    fn find(&self, from: Instant) -> Option<Arc<T>> {
        let ring = self.ring();
        let found = ring.kept.iter().find(|(at, _)| *at == from);
        found.map(|(_, chunk)| Arc::clone(chunk))
    }

    fn put(&self, from: Instant, chunk: Arc<T>) {
        let mut ring = self.ring();
        let next = ring.next;
        ring.next = (next + 1) % KEPT;
        match ring.kept.get_mut(next) {
            Some(old) => *old = (from, chunk),
            None => ring.kept.push((from, chunk)),
        }
    }

    /// A thread that panicked has left nothing half done: whole chunks come and go.
    fn ring(&self) -> MutexGuard<'_, Ring<T>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Replaces a chunk by the one that begins at an instant: from the cache, or else computed (in place,
/// unless another case still uses it) and put into the cache.
pub(super) fn renew<T: Clone>(
    chunk: &mut Arc<T>,
    shared: Option<&Shared<T>>,
    from: Instant,
    work_out: impl FnOnce(&mut T),
) {
    if let Some(found) = shared.and_then(|shared| shared.find(from)) {
        *chunk = found;
        return;
    }
    work_out(Arc::make_mut(chunk));
    if let Some(shared) = shared {
        shared.put(from, Arc::clone(chunk));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_one_has_worked_out_the_others_take() {
        let shared = Shared::new();
        let (mut one, mut other) = (Arc::new(0), Arc::new(0));
        let at = |second| Instant::new(second);
        renew(&mut one, Some(&shared), at(0), |value| *value = 7);
        renew(&mut other, Some(&shared), at(0), |_| unreachable!("it is there"));
        assert!(Arc::ptr_eq(&one, &other) && *other == 7);
        // What the other still uses stays as it is.
        renew(&mut one, Some(&shared), at(64), |value| *value += 1);
        assert_eq!((*one, *other), (8, 7));
        for chunk in (2_i64..).take(KEPT) {
            renew(&mut one, Some(&shared), at(64 * chunk), |value| *value = chunk);
        }
        let mut again = false;
        renew(&mut other, Some(&shared), at(0), |_| again = true);
        assert!(again, "old chunks make room");
    }

    #[test]
    fn alone_it_is_worked_out_in_place() {
        let mut alone = Arc::new(1);
        let place = Arc::as_ptr(&alone);
        renew(&mut alone, None, Instant::START, |value| *value = 2);
        assert_eq!((*alone, Arc::as_ptr(&alone)), (2, place));
    }
}
