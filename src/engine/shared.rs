//! A cache of what cases have in common, such as weather: the first case that needs a chunk of it
//! computes it, the others read it.

use std::sync::Arc;

use crate::memo::Memo;
use crate::time::Instant;

/// So many chunks are kept: more than a day of steps of a minute has, so that warm-up days find
/// theirs again.
const KEPT: usize = 8;

/// A cache of chunks, by what they begin with, shared by several cases and threads.
#[derive(Debug)]
pub(super) struct Shared<T>(Arc<Memo<Key, Arc<T>>>);

/// The first instant of a chunk, and whether people count in it.
pub(super) type Key = (Instant, bool);

impl<T> Clone for Shared<T> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<T> Shared<T> {
    /// An empty cache.
    pub(super) fn new() -> Self {
        Self(Arc::new(Memo::with_room_for(KEPT)))
    }
}

/// Replaces a chunk by the one that begins so: from the cache, or else computed (in place,
/// unless another case still uses it) and put into the cache.
pub(super) fn renew<T: Clone>(
    chunk: &mut Arc<T>,
    shared: Option<&Shared<T>>,
    from: Key,
    work_out: impl FnOnce(&mut T),
) {
    if let Some(found) = shared.and_then(|shared| shared.0.find(&from)) {
        *chunk = found;
        return;
    }
    work_out(Arc::make_mut(chunk));
    if let Some(shared) = shared {
        shared.0.put(from, Arc::clone(chunk));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_one_has_worked_out_the_others_take() {
        let shared = Shared::new();
        let (mut one, mut other) = (Arc::new(0), Arc::new(0));
        let at = |second| (Instant::new(second), false);
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
        renew(&mut alone, None, (Instant::START, false), |value| *value = 2);
        assert_eq!((*alone, Arc::as_ptr(&alone)), (2, place));
    }
}
