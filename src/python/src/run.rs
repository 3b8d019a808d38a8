//! One run.

use arrow_array::types::Int32Type;
use arrow_array::{
    BooleanArray, DictionaryArray, Float64Array, StringArray, TimestampMillisecondArray,
};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyMapping};
use setband::control::{Direction, Outcome};
use setband::engine::StepRow;
use setband::measures::FIGURES;
use setband::time::Instant;
use setband::{RunResults, report};

use crate::shown::{Chart, Page};
use crate::table::{Table, column, sparse, stamps};
use crate::watch::watched;
use crate::{error, loads, source};

/// A finished run.
#[pyclass(frozen, module = "setband")]
#[derive(Debug)]
pub(crate) struct Run {
    results: RunResults,
}

/// Simulates a scenario.
#[pyfunction]
#[pyo3(signature = (scenario, *, variant=None, changes=None, seed=None, files=None, progress=None))]
pub(crate) fn run(
    scenario: &Bound<'_, PyAny>,
    variant: Option<&str>,
    changes: Option<&Bound<'_, PyMapping>>,
    seed: Option<u64>,
    files: Option<source::FileTexts>,
    progress: Option<Py<PyAny>>,
) -> PyResult<Run> {
    let py = scenario.py();
    let mut read = source::changed(source::read(scenario, variant, files)?, changes)?;
    if let Some(seed) = seed {
        read = read.with_seed(seed);
    }
    let done = watched(py, progress, |watch| read.run_while(&mut |part| watch.note_part(part)))?;
    match done.map_err(|halted| error::run_error(&halted))? {
        Some(results) => Ok(Run { results }),
        None => Err(error::run_error(&"the run was broken off")),
    }
}

#[pymethods]
impl Run {
    /// What the study is called.
    #[getter]
    fn title(&self) -> &str {
        &self.results.summary().title
    }

    /// Everything, as summary.json has it.
    #[getter]
    fn summary<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        let text = report::summary_json(self.results.summary());
        loads(py, &text.map_err(|fault| error::run_error(&fault))?)
    }

    /// The figures of the whole run, by key.
    #[getter]
    fn figures<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let figures = PyDict::new(py);
        for figure in FIGURES {
            figures.set_item(figure.key, figure.of(self.results.summary()))?;
        }
        Ok(figures)
    }

    /// What each zone did, by its name in the file.
    #[getter]
    fn zones<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        self.summary(py)?.get_item("zones")
    }

    /// A row a zone and step; a row an hour where there are more than half a million.
    #[getter]
    fn steps(&self, py: Python<'_>) -> PyResult<Table> {
        py.detach(|| steps(&self.results))
    }

    /// A row a request or event, with its reason in words.
    #[getter]
    fn ledger(&self, py: Python<'_>) -> PyResult<Table> {
        py.detach(|| ledger(&self.results))
    }

    /// The chart of the run.
    #[getter]
    fn chart(&self, py: Python<'_>) -> PyResult<Chart> {
        let svg = py.detach(|| self.results.chart());
        svg.map(Chart::new).map_err(|fault| error::run_error(&fault))
    }

    /// The report, one page.
    #[getter]
    fn report(&self, py: Python<'_>) -> PyResult<Page> {
        let html = py.detach(|| self.results.page());
        html.map(Page::new).map_err(|fault| error::run_error(&fault))
    }

    fn _repr_svg_(&self, py: Python<'_>) -> PyResult<String> {
        let svg = py.detach(|| self.results.chart());
        svg.map_err(|fault| error::run_error(&fault))
    }

    fn __repr__(&self) -> String {
        let kwh = self.results.figure("total_kwh").unwrap_or_default();
        format!("<setband.Run {:?}: {kwh:.2} kWh>", self.title())
    }
}

/// Instants as times, local standard time.
fn times(results: &RunResults, at: impl Iterator<Item = Instant>) -> TimestampMillisecondArray {
    let start = results.date_time(Instant::START);
    let seconds = start.duration_since(jiff_epoch()).as_secs();
    stamps(at.map(|at| seconds + at.get()))
}

/// Midnight of 1 January 1970.
const fn jiff_epoch() -> jiff::civil::DateTime {
    jiff::civil::date(1970, 1, 1).at(0, 0, 0, 0)
}

fn words<'a>(of: impl Iterator<Item = &'a str>) -> DictionaryArray<Int32Type> {
    of.collect()
}

fn steps(results: &RunResults) -> PyResult<Table> {
    let rows = results.steps();
    let zones: Vec<&str> = results.model().zones.iter().map(|zone| zone.id.as_str()).collect();
    let numbers = |name: &str, of: fn(&StepRow) -> f64| {
        column(name, Float64Array::from_iter_values(rows.iter().map(of)))
    };
    let direction = |of: fn(&StepRow) -> Option<Direction>| {
        words(rows.iter().map(move |row| of(row).map_or("none", Direction::name)))
    };
    let starved: Vec<bool> = rows.iter().map(|row| row.starved).collect();
    let occupied: Vec<bool> = rows.iter().map(|row| row.occupied).collect();
    let mut columns = vec![
        column("time", times(results, rows.iter().map(|row| row.at))),
        column("zone", words(rows.iter().map(|row| zones[row.zone.get()]))),
        numbers("outdoor", |row| row.outdoor),
        numbers("temperature", |row| row.temperature),
        numbers("mass_temperature", |row| row.mass_temperature),
        numbers("operative", |row| row.operative),
        numbers("sensed", |row| row.sensed),
        numbers("heat", |row| row.heat),
        numbers("cool", |row| row.cool),
        column("mode", words(rows.iter().map(|row| row.mode.name()))),
        column("power", words(rows.iter().map(|row| row.power.name()))),
        column("occupied", BooleanArray::from(occupied)),
        column("direction", words(rows.iter().map(|row| row.direction.name()))),
        column("call", direction(|row| row.call)),
        column("served", direction(|row| row.served)),
        column("starved", BooleanArray::from(starved)),
        numbers("heat_w", |row| row.heat_w),
        numbers("electric_w", |row| row.electric_w),
    ];
    if results.model().humidity.is_followed() {
        let humidity: Vec<Option<f64>> = rows.iter().map(|row| row.humidity).collect();
        columns.push(sparse("relative_humidity", Float64Array::from(humidity)));
    }
    Table::new(columns)
}

fn ledger(results: &RunResults) -> PyResult<Table> {
    let lines: Vec<_> = results.ledger().collect();
    let outcome: Vec<Option<&str>> =
        lines.iter().map(|line| line.outcome.map(Outcome::name)).collect();
    let texts = |of: &dyn Fn(usize) -> String| -> StringArray {
        StringArray::from_iter_values((0..lines.len()).map(of))
    };
    Table::new(vec![
        column("time", times(results, lines.iter().map(|line| line.at))),
        column("zone", texts(&|at| lines[at].zone.to_owned())),
        column("by", texts(&|at| lines[at].by.to_owned())),
        column("request", texts(&|at| lines[at].request.clone())),
        sparse("outcome", StringArray::from(outcome)),
        column("reason", texts(&|at| lines[at].reason.clone())),
    ])
}
