//! What a log and a specification say about the settings, as dicts.

use pyo3::prelude::*;
use setband::Unanswered;
use setband::report::{self, Audited};

use crate::{error, loads, source};

/// What in a log contradicts the settings, what is worth a look, and what it cannot say.
#[pyfunction]
#[pyo3(signature = (scenario, *, variant=None, files=None))]
pub(crate) fn audit<'py>(
    scenario: &Bound<'py, PyAny>,
    variant: Option<&str>,
    files: Option<source::FileTexts>,
) -> PyResult<Bound<'py, PyAny>> {
    let py = scenario.py();
    let read = source::read(scenario, variant, files)?;
    let text = py.detach(|| {
        let (site, audit) = (read.site_log()?, read.audit()?);
        Ok::<_, Unanswered>(report::audit_json(&Audited {
            model: read.model(),
            site,
            audit: &audit,
        }))
    });
    let text = text.map_err(|fault| error::of_unanswered(py, &fault))?;
    loads(py, &text.map_err(|fault| error::run_error(&fault))?)
}

/// What a specification asks under `require`: what holds, what fails, what cannot be shown.
#[pyfunction]
#[pyo3(signature = (scenario, *, files=None))]
pub(crate) fn review<'py>(
    scenario: &Bound<'py, PyAny>,
    files: Option<source::FileTexts>,
) -> PyResult<Bound<'py, PyAny>> {
    let py = scenario.py();
    let read = source::read(scenario, None, files)?;
    let text = py.detach(|| report::review_json(&read.review()));
    loads(py, &text.map_err(|fault| error::run_error(&fault))?)
}
