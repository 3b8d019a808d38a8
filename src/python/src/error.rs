//! Faults as Python's exceptions.

use std::fmt::Display;

use pyo3::create_exception;
use pyo3::exceptions::{PyRuntimeError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};
use setband::scenario::{Fault, Faults, Rejected};
use setband::{NoVariant, Unanswered};

create_exception!(
    setband,
    ScenarioError,
    PyValueError,
    "A scenario, a variant, a path or a value that is wrong. `faults` lists what is wrong in a file: \
     dicts with code, line, column, path, message and remedy."
);
create_exception!(
    setband,
    RunError,
    PyRuntimeError,
    "A run that ended before its time: temperatures that no building has, or a full ledger."
);

/// A scenario error with a list of faults.
fn with_faults(py: Python<'_>, words: &str, faults: &[Fault]) -> PyErr {
    let error = ScenarioError::new_err(words.to_owned());
    let list = PyList::empty(py);
    for fault in faults {
        let dict = PyDict::new(py);
        let set = dict
            .set_item("code", fault.code)
            .and_then(|()| dict.set_item("line", fault.line))
            .and_then(|()| dict.set_item("column", fault.column))
            .and_then(|()| dict.set_item("path", &fault.path))
            .and_then(|()| dict.set_item("message", &fault.message))
            .and_then(|()| dict.set_item("remedy", &fault.remedy))
            .and_then(|()| list.append(dict));
        if let Err(failed) = set {
            return failed;
        }
    }
    match error.value(py).setattr("faults", list) {
        Ok(()) => error,
        Err(failed) => failed,
    }
}

/// What is wrong with a file.
pub(crate) fn of_faults(py: Python<'_>, faults: &Faults) -> PyErr {
    with_faults(py, &faults.to_string(), faults.as_slice())
}

/// A variant that cannot be had.
pub(crate) fn of_variant(py: Python<'_>, fault: &NoVariant) -> PyErr {
    match fault {
        NoVariant::Faulty(faults) => of_faults(py, faults),
        NoVariant::Unknown { .. } => wrong_call(py, &fault.to_string()),
    }
}

/// A path or a value that does not fit.
pub(crate) fn of_rejected(py: Python<'_>, fault: &Rejected) -> PyErr {
    match fault {
        Rejected::Faults(faults) => of_faults(py, faults),
        Rejected::Path { path, message, remedy } => {
            wrong_call(py, &format!("{path}: {message}; {remedy}"))
        }
    }
}

/// A question about a building with a log that has no answer.
pub(crate) fn of_unanswered(py: Python<'_>, fault: &Unanswered) -> PyErr {
    match fault {
        Unanswered::Faults(faults) => of_faults(py, faults),
        Unanswered::Rejected(rejected) => of_rejected(py, rejected),
        Unanswered::NoVariant(no) => of_variant(py, no),
        other => wrong_call(py, &other.to_string()),
    }
}

/// A call that is wrong.
pub(crate) fn wrong_call(py: Python<'_>, words: &str) -> PyErr {
    with_faults(py, words, &[])
}

/// A run that came to nothing.
pub(crate) fn run_error(words: &dyn Display) -> PyErr {
    RunError::new_err(words.to_string())
}
