//! Processes that work out answers, so that each computation can be ended at any time, whatever it is
//! at, and its memory is free again.
//!
//! A worker is the program itself. It reads tasks from standard input and writes replies to standard
//! output, one after the other: a line of JSON that says what it is and how long, then that many
//! bytes.

use std::ffi::OsString;
use std::io::{self, BufRead, BufReader as Blocking, Read, Write};
use std::path::PathBuf;
use std::process::Stdio;

use axum::http::StatusCode;
use serde::{Deserialize, Serialize};
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::process::{Child, ChildStdin, ChildStdout, Command};

use super::Served;
use super::tasks::{self, Reply, Task};

/// How the program is started as a worker.
#[derive(Clone, Debug)]
pub struct WorkerCommand {
    /// The program.
    pub program: PathBuf,
    /// Its arguments.
    pub arguments: Vec<OsString>,
}

/// The line before a task.
#[derive(Debug, Serialize, Deserialize)]
struct Asked {
    task: Task,
    bytes: usize,
}

/// The line before a reply.
#[derive(Debug, Serialize, Deserialize)]
struct Answered {
    status: u16,
    kind: String,
    bytes: usize,
}

/// A running worker; ends when it is dropped.
#[derive(Debug)]
pub(super) struct Worker {
    _process: Child,
    to: ChildStdin,
    from: BufReader<ChildStdout>,
}

impl Worker {
    pub(super) fn start(command: &WorkerCommand) -> io::Result<Self> {
        let mut process = Command::new(&command.program)
            .args(&command.arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .kill_on_drop(true)
            .spawn()?;
        let gone = || io::Error::from(io::ErrorKind::BrokenPipe);
        let to = process.stdin.take().ok_or_else(gone)?;
        let from = BufReader::new(process.stdout.take().ok_or_else(gone)?);
        Ok(Self { _process: process, to, from })
    }

    /// Has a task done. A worker that failed is of no use any more.
    pub(super) async fn ask(&mut self, task: Task, body: &[u8]) -> io::Result<Reply> {
        let mut head = serde_json::to_vec(&Asked { task, bytes: body.len() })?;
        head.push(b'\n');
        self.to.write_all(&head).await?;
        self.to.write_all(body).await?;
        self.to.flush().await?;
        let mut line = String::new();
        self.from.read_line(&mut line).await?;
        let Answered { status, kind, bytes } = serde_json::from_str(&line)?;
        let mut content = vec![0; bytes];
        self.from.read_exact(&mut content).await?;
        let status = StatusCode::from_u16(status).map_err(io::Error::other)?;
        Ok(Reply { status, kind, content })
    }
}

/// Does tasks as they come, until there are no more.
///
/// # Errors
/// The server is gone.
pub fn work(site: &Served, input: impl Read, mut output: impl Write) -> io::Result<()> {
    let mut input = Blocking::new(input);
    let mut line = String::new();
    while input.read_line(&mut line)? > 0 {
        let Asked { task, bytes } = serde_json::from_str(&line)?;
        let mut body = vec![0; bytes];
        input.read_exact(&mut body)?;
        let Reply { status, kind, content } = tasks::answer(site, task, &body);
        let head = Answered { status: status.as_u16(), kind, bytes: content.len() };
        serde_json::to_writer(&mut output, &head)?;
        output.write_all(b"\n")?;
        output.write_all(&content)?;
        output.flush()?;
        line.clear();
    }
    Ok(())
}
