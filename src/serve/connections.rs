//! Connections: so many, each with a limit on how long its requests take to come. Where all places are
//! taken, the one that has kept its place longest without asking for anything makes room.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use axum::Router;
use axum::extract::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::task::AbortHandle;
use tower::ServiceExt;

/// So many connections at the same time; systems commonly let a program have 256 or 1024 files.
const MOST: usize = 180;
/// How long the head of a request may take to come.
const HEAD_TIME: Duration = Duration::from_secs(5);
/// The longest head of a request, bytes; also what is read ahead of a body.
const LONGEST_HEAD: usize = 16 << 10;
/// How long to wait where the system gives no connections.
const REST: Duration = Duration::from_millis(50);

/// How many requests of a connection have come whole and wait for their answer.
#[derive(Clone, Debug, Default)]
pub(super) struct Engaged(Arc<AtomicUsize>);

/// A request that waits for its answer; no longer when this is dropped.
#[derive(Debug)]
pub(super) struct Answering(Engaged);

impl Engaged {
    pub(super) fn begin(&self) -> Answering {
        self.0.fetch_add(1, Ordering::Relaxed);
        Answering(self.clone())
    }

    fn is_any(&self) -> bool {
        self.0.load(Ordering::Relaxed) > 0
    }
}

impl Drop for Answering {
    fn drop(&mut self) {
        self.0.0.fetch_sub(1, Ordering::Relaxed);
    }
}

/// Open connections, the oldest first.
#[derive(Clone, Debug, Default)]
struct Open(Arc<Mutex<VecDeque<Connection>>>);

#[derive(Debug)]
struct Connection {
    number: u64,
    engaged: Engaged,
    task: AbortHandle,
}

impl Open {
    fn all(&self) -> MutexGuard<'_, VecDeque<Connection>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Makes sure that there is room for one more; false where nobody can be sent away.
    fn make_room(&self) -> bool {
        let mut all = self.all();
        if all.len() < MOST {
            return true;
        }
        let idle = all.iter().position(|it| !it.engaged.is_any());
        let sent = idle.and_then(|at| all.remove(at));
        sent.is_some_and(|connection| {
            connection.task.abort();
            true
        })
    }

    fn close(&self, number: u64) {
        self.all().retain(|connection| connection.number != number);
    }
}

/// Takes connections for ever.
pub(super) async fn serve(listener: TcpListener, router: Router) {
    let open = Open::default();
    for number in 0.. {
        let stream = loop {
            match listener.accept().await {
                Ok((stream, _)) => break stream,
                // Too many files, or a client that has gone already.
                Err(_) => tokio::time::sleep(REST).await,
            }
        };
        if !open.make_room() {
            continue;
        }
        let (engaged, router, own) = (Engaged::default(), router.clone(), open.clone());
        let mark = engaged.clone();
        // The list is held until the connection is in it, so that it cannot be over before.
        let mut all = open.all();
        let task = tokio::spawn(async move {
            answer(stream, router, mark).await;
            own.close(number);
        });
        all.push_back(Connection { number, engaged, task: task.abort_handle() });
    }
}

/// Answers the requests of one connection until it ends.
async fn answer(stream: TcpStream, router: Router, engaged: Engaged) {
    let router = router.map_request(move |mut request: Request<Incoming>| {
        request.extensions_mut().insert(engaged.clone());
        request.map(axum::body::Body::new)
    });
    let served = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_TIME)
        .max_buf_size(LONGEST_HEAD)
        .serve_connection(TokioIo::new(stream), TowerToHyperService::new(router));
    // A client that went away or spoke no HTTP gets no more than this.
    drop(served.await);
}
