//! What has been worked out before: a few results of a pure function, each by what it was worked out
//! from.
//!
//! ```
//! use setband::memo::Memo;
//!
//! let squares = Memo::with_room_for(2);
//! assert_eq!(squares.of(3, || 9), 9);
//! assert_eq!(squares.of(3, || unreachable!("it is known")), 9);
//! ```

use std::sync::{Mutex, MutexGuard, PoisonError};

/// The last results of a pure function, shared by threads. New ones take the places of old ones.
#[derive(Debug)]
pub struct Memo<K, V> {
    room: usize,
    ring: Mutex<Ring<K, V>>,
}

#[derive(Debug)]
struct Ring<K, V> {
    kept: Vec<(K, V)>,
    /// Where the next one goes.
    next: usize,
}

impl<K: PartialEq, V: Clone> Memo<K, V> {
    /// Nothing yet, with room for so many results.
    pub const fn with_room_for(room: usize) -> Self {
        Self { room, ring: Mutex::new(Ring { kept: Vec::new(), next: 0 }) }
    }

    /// What came of this, if it is kept.
    pub fn find(&self, from: &K) -> Option<V> {
        let ring = self.ring();
        ring.kept.iter().find(|(known, _)| known == from).map(|(_, value)| value.clone())
    }

    /// Keeps what came of this.
    pub fn put(&self, from: K, value: V) {
        let mut ring = self.ring();
        let next = ring.next;
        ring.next = (next + 1) % self.room.max(1);
        match ring.kept.get_mut(next) {
            Some(old) => *old = (from, value),
            None => ring.kept.push((from, value)),
        }
    }

    /// What comes of this, from before or worked out now. Threads that want the same at the same time
    /// may each work it out: nobody waits for another.
    pub fn of(&self, from: K, work_out: impl FnOnce() -> V) -> V {
        if let Some(known) = self.find(&from) {
            return known;
        }
        let value = work_out();
        self.put(from, value.clone());
        value
    }

    /// A thread that panicked has left nothing half done: whole results come and go.
    fn ring(&self) -> MutexGuard<'_, Ring<K, V>> {
        self.ring.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_oldest_make_room() {
        let memo = Memo::with_room_for(3);
        for number in 0..4 {
            assert_eq!(memo.of(number, || 10 * number), 10 * number);
        }
        assert_eq!([0, 1, 2, 3].map(|it| memo.find(&it)), [None, Some(10), Some(20), Some(30)]);
        memo.put(0, 7);
        assert_eq!([0, 1, 2, 3].map(|it| memo.find(&it)), [Some(7), None, Some(20), Some(30)]);
    }
}
