//! A scenario from what Python has: a path, a text, a dict.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use pyo3::prelude::*;
use pyo3::types::{PyDict, PyMapping};
use setband::Scenario;
use setband::scenario::{Files, load_text};

use crate::error;

/// Texts of files that a scenario names, by name.
pub(crate) type FileTexts = BTreeMap<String, String>;

/// Reads a scenario, or one of its variants.
pub(crate) fn read(
    source: &Bound<'_, PyAny>,
    variant: Option<&str>,
    files: Option<FileTexts>,
) -> PyResult<Scenario> {
    let py = source.py();
    let in_memory = files.unwrap_or_default();
    let with_memory =
        |files: Files| in_memory.iter().fold(files, |files, (name, text)| files.with(name, text));
    let (text, name, files) = if let Ok(mapping) = source.cast::<PyMapping>() {
        (of_mapping(mapping)?, "scenario".to_owned(), Files::none())
    } else if let Some(path) = path(source) {
        of_path(py, &path)?
    } else {
        (source.extract::<String>()?, "scenario".to_owned(), Files::none())
    };
    let scenario = Scenario::parse_with(&text, &name, with_memory(files))
        .map_err(|faults| error::of_faults(py, &faults))?;
    match variant {
        None => Ok(scenario),
        Some(name) => scenario.variant(name).map_err(|fault| error::of_variant(py, &fault)),
    }
}

/// The path, where the source is one.
pub(crate) fn path(source: &Bound<'_, PyAny>) -> Option<PathBuf> {
    match source.extract::<String>() {
        Ok(text) if text.contains('\n') => None,
        _ => source.extract::<PathBuf>().ok(),
    }
}

fn of_path(py: Python<'_>, path: &Path) -> PyResult<(String, String, Files)> {
    let text = load_text(path).map_err(|faults| error::of_faults(py, &faults))?;
    let folder = path.parent().unwrap_or(Path::new(""));
    Ok((text, path.display().to_string(), Files::of_folder(folder)))
}

/// A dict as JSON, which is YAML as well: a line for each key, so that faults have places.
fn of_mapping(mapping: &Bound<'_, PyMapping>) -> PyResult<String> {
    let py = mapping.py();
    let options = PyDict::new(py);
    options.set_item("indent", 1)?;
    options.set_item("ensure_ascii", false)?;
    // Dates and the like say themselves.
    options.set_item("default", py.get_type::<pyo3::types::PyString>())?;
    let plain = py.import("builtins")?.call_method1("dict", (mapping,))?;
    py.import("json")?.call_method("dumps", (plain,), Some(&options))?.extract()
}

/// Changes of values by path, each as a file would write it.
pub(crate) fn changed(
    mut scenario: Scenario,
    changes: Option<&Bound<'_, PyMapping>>,
) -> PyResult<Scenario> {
    let Some(changes) = changes else { return Ok(scenario) };
    let py = changes.py();
    for item in changes.items()?.iter() {
        let (path, value): (String, Bound<'_, PyAny>) = item.extract()?;
        let value = written(&value)?;
        scenario = scenario.with(&path, &value).map_err(|fault| error::of_rejected(py, &fault))?;
    }
    Ok(scenario)
}

/// A value as a file would write it: texts as they are, all else as JSON.
pub(crate) fn written(value: &Bound<'_, PyAny>) -> PyResult<String> {
    if let Ok(text) = value.extract::<String>() {
        return Ok(text);
    }
    value.py().import("json")?.call_method1("dumps", (value,))?.extract()
}
