//! Faults that stop a file from running, in the shape of findings.

use super::{Finding, Severity};
use crate::scenario::Faults;

/// The faults of a file that does not read, with the remedy that reading it gives.
pub fn explain_faults(faults: &Faults) -> Vec<Finding> {
    let finding = |fault: &crate::scenario::Fault| Finding {
        code: fault.code,
        severity: Severity::Error,
        line: fault.line,
        column: fault.column,
        path: fault.path.clone(),
        message: fault.message.clone(),
        remedy: fault.remedy.clone(),
        source: source(fault.code).into(),
    };
    faults.as_slice().iter().map(finding).collect()
}

/// The rule that a fault breaks; the form of the file where it is no rule of control.
fn source(code: &str) -> &'static str {
    match code {
        "off-step" | "setpoint-step" => "control rule 1",
        "infeasible" | "start-outside" | "start-too-close" => "control rule 2",
        "mode-lacking" | "mode-locked" => "control rule 5",
        "controllers" | "primary-controller" | "unknown-controller" => "control rule 7",
        "technician-only" => "control rule 8",
        "outdoor-units" => "control rule 10",
        _ => "the form of scenario files: `setband schema`",
    }
}
