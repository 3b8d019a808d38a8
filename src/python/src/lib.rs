//! The Python module `setband`: scenarios in, dicts, Arrow tables and charts out.

mod compare;
mod error;
mod fit;
mod replay;
mod run;
mod shown;
mod site;
mod source;
mod sweep;
mod table;
mod watch;

use pyo3::prelude::*;
use setband::scenario::{schema as json_schema, starter as starter_text};
use setband::study::EnergyCode;
use setband::units::TemperatureUnit;
use setband::{reference, report};

/// A Python value of JSON text.
pub(crate) fn loads<'py>(py: Python<'py>, text: &str) -> PyResult<Bound<'py, PyAny>> {
    py.import("json")?.call_method1("loads", (text,))
}

/// Findings about the settings, without a simulation.
#[pyfunction]
#[pyo3(signature = (scenario, *, variant=None, code=None, files=None))]
fn check<'py>(
    py: Python<'py>,
    scenario: &Bound<'py, PyAny>,
    variant: Option<&str>,
    code: Option<&str>,
    files: Option<source::FileTexts>,
) -> PyResult<Bound<'py, PyAny>> {
    let code = match code {
        None => None,
        Some("ashrae90.1") => Some(EnergyCode::Ashrae901),
        Some("iecc") => Some(EnergyCode::Iecc),
        Some("title24") => Some(EnergyCode::Title24),
        Some(other) => {
            let what = format!("`{other}` is no energy code: ashrae90.1, iecc or title24");
            return Err(error::wrong_call(py, &what));
        }
    };
    let scenario = source::read(scenario, variant, files)?;
    let found = scenario.check(code);
    let text = report::findings_json(&found).map_err(|fault| error::run_error(&fault))?;
    loads(py, &text)?.get_item("findings")
}

/// What a word means: a key, a code, an outcome, an event, a figure, a term.
#[pyfunction]
fn explain<'py>(py: Python<'py>, word: &str) -> PyResult<Bound<'py, PyAny>> {
    let found = reference::look_up(word);
    if found.entries.is_empty() {
        let near = found.near.join(", ");
        let what = format!("`{word}` is no word of setband; the nearest are {near}");
        return Err(error::wrong_call(py, &what));
    }
    let text = report::reference_json(&found.entries).map_err(|fault| error::run_error(&fault))?;
    loads(py, &text)?.get_item("entries")
}

/// The text of a commented scenario to begin with, in C or F.
#[pyfunction]
#[pyo3(signature = (unit="C"))]
fn starter(py: Python<'_>, unit: &str) -> PyResult<&'static str> {
    match unit {
        "C" | "c" => Ok(starter_text(TemperatureUnit::Celsius)),
        "F" | "f" => Ok(starter_text(TemperatureUnit::Fahrenheit)),
        _ => Err(error::wrong_call(py, "the unit is C or F")),
    }
}

/// The JSON Schema of the scenario file.
#[pyfunction]
fn schema(py: Python<'_>) -> PyResult<Bound<'_, PyAny>> {
    loads(py, &json_schema().to_string())
}

/// Simulates setpoint control logic of multi-zone heat-pump systems.
#[pymodule]
fn _setband(module: &Bound<'_, PyModule>) -> PyResult<()> {
    let py = module.py();
    module.add("__version__", env!("CARGO_PKG_VERSION"))?;
    module.add("ScenarioError", py.get_type::<error::ScenarioError>())?;
    module.add("RunError", py.get_type::<error::RunError>())?;
    module.add_class::<shown::Chart>()?;
    module.add_class::<shown::Page>()?;
    module.add_class::<table::Table>()?;
    module.add_class::<run::Run>()?;
    module.add_class::<compare::Comparison>()?;
    module.add_class::<sweep::Sweep>()?;
    module.add_class::<fit::Fit>()?;
    module.add_class::<replay::Replay>()?;
    module.add_function(wrap_pyfunction!(run::run, module)?)?;
    module.add_function(wrap_pyfunction!(compare::compare, module)?)?;
    module.add_function(wrap_pyfunction!(sweep::sweep, module)?)?;
    module.add_function(wrap_pyfunction!(fit::fit, module)?)?;
    module.add_function(wrap_pyfunction!(replay::replay, module)?)?;
    module.add_function(wrap_pyfunction!(site::audit, module)?)?;
    module.add_function(wrap_pyfunction!(site::review, module)?)?;
    module.add_function(wrap_pyfunction!(check, module)?)?;
    module.add_function(wrap_pyfunction!(explain, module)?)?;
    module.add_function(wrap_pyfunction!(starter, module)?)?;
    module.add_function(wrap_pyfunction!(schema, module)?)?;
    Ok(())
}
