//! Why a request gets no day: a message for the page, and the status that fits.

use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};

use crate::engine::{Halt, Model};
use crate::scenario::{EditFault, Fault, Faults};

/// Why a request gets no day.
#[derive(Clone, Debug)]
pub(super) enum Trouble {
    /// It comes from somewhere else.
    Foreign(&'static str),
    /// It is not what this server takes.
    Request(StatusCode, String),
    /// The scenario with its changes has faults.
    Faults(Faults),
    /// A change has no place in the text.
    Edit(EditFault),
    /// A result could not be turned into its form; this is a fault of the program.
    Form(String),
}

impl Trouble {
    /// A request that is wrong in itself.
    pub(super) fn bad(message: impl Into<String>) -> Self {
        Self::Request(StatusCode::BAD_REQUEST, message.into())
    }

    /// A run that ended before its time.
    pub(super) fn of_halt(halt: Option<Halt>, model: &Model) -> Result<(), Self> {
        let Some(halt) = halt else { return Ok(()) };
        let (what, help) = halt.in_words(model);
        Err(Self::bad(format!("{what}; {help}")))
    }

    /// A fault of the program.
    pub(super) fn form(error: impl std::fmt::Display) -> Self {
        Self::Form(format!("the answer could not be made: {error}; please report this"))
    }

    /// Its status and its body.
    pub(super) fn parts(&self) -> (StatusCode, Value) {
        match self {
            Self::Foreign(why) => (StatusCode::FORBIDDEN, json!({ "message": why })),
            Self::Request(status, message) => (*status, json!({ "message": message })),
            Self::Faults(faults) => {
                let list: Vec<Value> = faults.as_slice().iter().map(fault).collect();
                let status = StatusCode::UNPROCESSABLE_ENTITY;
                (status, json!({ "faults": list, "count": faults.count() }))
            }
            Self::Edit(fault) => {
                let one = json!({ "path": fault.path, "message": fault.message, "remedy": "" });
                (StatusCode::UNPROCESSABLE_ENTITY, json!({ "faults": [one], "count": 1 }))
            }
            Self::Form(message) => {
                (StatusCode::INTERNAL_SERVER_ERROR, json!({ "message": message }))
            }
        }
    }
}

/// What a message says before what it found in a file beside the scenario.
const OF_THE_FILE: &str = " of the weather file: ";

/// A fault as the page shows it. Lines of files that are no scenarios are not quoted: who can ask for
/// a day is not to read by it whatever lies beside the scenario.
fn fault(fault: &Fault) -> Value {
    let message = match fault.message.split_once(OF_THE_FILE) {
        Some((place, _)) => {
            format!("{place}{OF_THE_FILE}something is wrong there, see `setband weather`")
        }
        None => fault.message.clone(),
    };
    json!({
        "path": fault.path,
        "line": fault.line,
        "message": message,
        "remedy": fault.remedy,
    })
}

impl IntoResponse for Trouble {
    fn into_response(self) -> Response {
        let (status, body) = self.parts();
        (status, Json(body)).into_response()
    }
}

impl From<Faults> for Trouble {
    fn from(faults: Faults) -> Self {
        Self::Faults(faults)
    }
}

impl From<EditFault> for Trouble {
    fn from(fault: EditFault) -> Self {
        Self::Edit(fault)
    }
}
