//! The browser's debugging protocol: calls with answers, and events that come in between.

use std::net::TcpStream;
use std::time::Duration;

use serde_json::{Value, json};
use tungstenite::{Message, WebSocket, client};

/// An answer that takes longer will not come.
const PATIENCE: Duration = Duration::from_secs(60);

/// A socket to the browser or to one of its pages.
pub(crate) struct Connection {
    socket: WebSocket<TcpStream>,
    last_call: u64,
    /// Events since they were last taken, in order.
    events: Vec<Value>,
}

impl Connection {
    pub(crate) fn open(port: u16, path: &str) -> Self {
        let stream = TcpStream::connect(("127.0.0.1", port)).expect("the browser listens");
        stream.set_read_timeout(Some(PATIENCE)).expect("a socket with a time limit");
        let address = format!("ws://127.0.0.1:{port}{path}");
        let (socket, _) = client(address, stream).expect("the browser answers");
        Self { socket, last_call: 0, events: Vec::new() }
    }

    /// Calls a method and gives its result.
    ///
    /// # Panics
    /// Where the browser reports an error.
    pub(crate) fn call(&mut self, method: &str, parameters: &Value) -> Value {
        let id = self.send(method, parameters);
        loop {
            let mut message = self.receive();
            if message["id"] == id {
                assert!(message["error"].is_null(), "{method}: {}", message["error"]);
                return message["result"].take();
            }
            self.events.push(message);
        }
    }

    /// Calls a method without waiting for its answer; gives the number of the call. A connection
    /// that is gone is none of the caller's worries: the next call that waits reports it.
    pub(crate) fn send(&mut self, method: &str, parameters: &Value) -> u64 {
        self.last_call += 1;
        let call = json!({"id": self.last_call, "method": method, "params": parameters});
        let _ = self.socket.send(Message::text(call.to_string()));
        self.last_call
    }

    /// Waits until an event of that name has come, which is taken out.
    pub(crate) fn wait_for_event(&mut self, method: &str) -> Value {
        loop {
            if let Some(place) = self.events.iter().position(|event| event["method"] == method) {
                return self.events.remove(place);
            }
            let message = self.receive();
            self.events.push(message);
        }
    }

    /// Takes the events so far, in order.
    pub(crate) fn take_events(&mut self) -> Vec<Value> {
        std::mem::take(&mut self.events)
    }

    fn receive(&mut self) -> Value {
        loop {
            let message = self.socket.read().expect("the browser answers in time");
            if let Message::Text(text) = message {
                return serde_json::from_str(&text).expect("JSON");
            }
        }
    }
}
