//! Who works when: so many at the same time, in two lanes, and only so many wait.
//!
//! Every task begins in the quick lane. One that takes longer moves to the slow lane if there is room,
//! so that whoever asks for little is not kept waiting by those who ask for much; where there is no
//! room it goes on only as long as nobody waits.

use std::io;
use std::pin::pin;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::http::StatusCode;
use tokio::sync::{OwnedSemaphorePermit, Semaphore, oneshot};
use tokio::time::{Instant, timeout, timeout_at};

use super::tasks::{Reply, Task};
use super::trouble::Trouble;
use super::worker::{Worker, WorkerCommand};

/// A task that takes longer has no place in the quick lane.
const QUICK: Duration = Duration::from_millis(500);
/// How often a task looks whether it has to make room.
const LOOKS: Duration = Duration::from_millis(100);
/// How long a task may take in all.
const PATIENCE: Duration = Duration::from_secs(20);
/// How long anybody waits for a turn.
const LONGEST_WAIT: Duration = Duration::from_secs(15);
/// How many may wait for a turn.
const MOST_WAITING: usize = 100;

/// The two lanes, who waits, and the workers that have nothing to do.
#[derive(Debug)]
pub(super) struct Turns {
    quick: Arc<Semaphore>,
    slow: Arc<Semaphore>,
    waiting: AtomicUsize,
    idle: Mutex<Vec<Worker>>,
    command: WorkerCommand,
}

/// Somebody who waits; no longer when this is dropped.
struct Waiting<'t>(&'t AtomicUsize);

impl Drop for Waiting<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

impl Turns {
    /// Turns for a machine with so many processors.
    pub(super) fn new(processors: usize, command: WorkerCommand) -> Self {
        Self {
            quick: Arc::new(Semaphore::new(processors)),
            slow: Arc::new(Semaphore::new(processors)),
            waiting: AtomicUsize::new(0),
            idle: Mutex::default(),
            command,
        }
    }

    /// Has a task done in its turn. A task whose client has gone ends soon, and so does its turn.
    pub(super) async fn take(
        self: &Arc<Self>,
        task: Task,
        body: Vec<u8>,
    ) -> Result<Reply, Trouble> {
        let turn = self.wait().await?;
        let (tell, told) = oneshot::channel();
        let turns = Arc::clone(self);
        tokio::spawn(async move {
            let reply = turns.work(task, &body, turn, &tell).await;
            // Nobody may be there to hear it.
            drop(tell.send(reply));
        });
        told.await.unwrap_or_else(|_| Err(Trouble::form("the task was given up")))
    }

    async fn wait(&self) -> Result<OwnedSemaphorePermit, Trouble> {
        if self.waiting.fetch_add(1, Ordering::Relaxed) >= MOST_WAITING {
            drop(Waiting(&self.waiting));
            return Err(busy());
        }
        let _waiting = Waiting(&self.waiting);
        let turn = timeout(LONGEST_WAIT, Arc::clone(&self.quick).acquire_owned()).await;
        turn.ok().and_then(Result::ok).ok_or_else(busy)
    }

    /// Works, with a look now and then at who else wants to. What is broken off takes its worker
    /// with it.
    async fn work(
        &self,
        task: Task,
        body: &[u8],
        turn: OwnedSemaphorePermit,
        client: &oneshot::Sender<Result<Reply, Trouble>>,
    ) -> Result<Reply, Trouble> {
        let begun = Instant::now();
        let mut worker = self.worker()?;
        let reply = self.reply(worker.ask(task, body), turn, client).await?;
        // One that had much to do may hold much memory.
        if begun.elapsed() < QUICK {
            self.idle().push(worker);
        }
        Ok(reply)
    }

    async fn reply(
        &self,
        reply: impl Future<Output = io::Result<Reply>>,
        turn: OwnedSemaphorePermit,
        client: &oneshot::Sender<Result<Reply, Trouble>>,
    ) -> Result<Reply, Trouble> {
        let begun = Instant::now();
        let mut turn = Turn::Quick(turn);
        let mut reply = pin!(reply);
        let mut look = begun + QUICK;
        loop {
            if let Ok(reply) = timeout_at(look, &mut reply).await {
                return reply.map_err(|_| Trouble::form("the program ended while it worked on it"));
            }
            if client.is_closed() || begun.elapsed() >= PATIENCE {
                return Err(too_long());
            }
            if !self.may_go_on(&mut turn) {
                return Err(busy());
            }
            look = Instant::now() + LOOKS;
        }
    }

    /// Whether a task that is not quick may go on; it leaves the quick lane if it can.
    fn may_go_on(&self, turn: &mut Turn) -> bool {
        if matches!(turn, Turn::Slow(_)) {
            return true;
        }
        if let Ok(slow) = Arc::clone(&self.slow).try_acquire_owned() {
            *turn = Turn::Slow(slow);
            return true;
        }
        self.waiting.load(Ordering::Relaxed) == 0
    }

    fn worker(&self) -> Result<Worker, Trouble> {
        let idle = self.idle().pop();
        idle.map_or_else(|| Worker::start(&self.command).map_err(Trouble::form), Ok)
    }

    fn idle(&self) -> std::sync::MutexGuard<'_, Vec<Worker>> {
        self.idle.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The lane of a task.
enum Turn {
    Quick(#[expect(dead_code, reason = "held")] OwnedSemaphorePermit),
    Slow(#[expect(dead_code, reason = "held")] OwnedSemaphorePermit),
}

/// Others ask for too much at present.
pub(super) fn busy() -> Trouble {
    let message = "too much is asked for at the same time: try again in a moment";
    Trouble::Request(StatusCode::SERVICE_UNAVAILABLE, message.into())
}

fn too_long() -> Trouble {
    let message = "this takes too long for a page; shorten the period, lengthen the step, or use \
                   `setband run` on the downloaded scenario";
    Trouble::Request(StatusCode::GATEWAY_TIMEOUT, message.into())
}
