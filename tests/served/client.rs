//! The plainest client for the server: bytes over a socket.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use serde_json::Value;

use super::served::Served;

/// A loaded machine may take this long to answer.
const PATIENCE: Duration = Duration::from_secs(60);

/// An answer: its status, its head and its body.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: String,
}

impl Answer {
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|_| panic!("no JSON: {}", self.body))
    }
}

impl Served {
    /// `127.0.0.1:PORT`
    pub(crate) fn host(&self) -> &str {
        let address = self.address.trim_start_matches("http://");
        address.split('/').next().unwrap_or(address)
    }

    /// `/TOKEN`
    pub(crate) fn token(&self) -> &str {
        let address = self.address.trim_start_matches("http://").trim_end_matches('/');
        address.find('/').map_or("", |at| &address[at..])
    }

    /// Sends bytes as they are and reads what comes back.
    pub(crate) fn send(&self, bytes: &[u8]) -> Answer {
        let mut stream = TcpStream::connect(self.host()).expect("the server listens");
        stream.set_read_timeout(Some(PATIENCE)).expect("a socket with a time limit");
        // A server that has read enough may close early: its answer still comes.
        let _ = stream.write_all(bytes);
        let mut text = Vec::new();
        let _ = stream.read_to_end(&mut text);
        let text = String::from_utf8_lossy(&text).into_owned();
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
        let status = head.split(' ').nth(1).and_then(|it| it.parse().ok()).unwrap_or(0);
        Answer { status, head: head.to_lowercase(), body: body.to_owned() }
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        let (host, token) = (self.host(), self.token());
        self.send(
            format!("GET {token}{path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")
                .as_bytes(),
        )
    }

    pub(crate) fn post(&self, path: &str, body: &Value) -> Answer {
        self.post_with(path, &body.to_string(), "")
    }

    /// Posts a body with more lines in the head, each ended.
    pub(crate) fn post_with(&self, path: &str, body: &str, more: &str) -> Answer {
        let (host, token, length) = (self.host(), self.token(), body.len());
        let kind = if more.to_lowercase().contains("content-type") {
            ""
        } else {
            "Content-Type: application/json\r\n"
        };
        let head = format!(
            "POST {token}{path} HTTP/1.1\r\nHost: {host}\r\n{kind}Content-Length: {length}\r\n\
             Connection: close\r\n{more}\r\n"
        );
        self.send([head.as_bytes(), body.as_bytes()].concat().as_slice())
    }

    /// What the page is given to begin with.
    pub(crate) fn source(&self) -> Value {
        self.get("/api/source").json()
    }
}
