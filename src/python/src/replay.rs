//! The days of a log with other settings.

use std::num::NonZeroUsize;
use std::path::Path;

use arrow_array::{BooleanArray, Float64Array, StringArray};
use pyo3::prelude::*;
use setband::scenario::load_beside;
use setband::study::fit::draws::{DRAWS, Draws};
use setband::study::replay::{Estimate, Figures, RunCourse, Variant, ZoneFigures};
use setband::{AskedRequests, ReplayQuestion, ReplayResults, Scenario, report};

use crate::fit::Fit;
use crate::shown::{Chart, Page};
use crate::table::{Table, column, sparse, stamps};
use crate::watch::watched;
use crate::{error, loads, source};

/// The days of a log with other settings.
#[pyclass(frozen, module = "setband")]
#[derive(Debug)]
pub(crate) struct Replay {
    results: ReplayResults,
}

/// Runs the days of a log again: as logged, with the file's settings, and with its variants.
#[pyfunction]
#[pyo3(signature = (scenario, *, fitted=None, requests=None, variants=None, disturbance=true, draws=100,
    threads=None, files=None, progress=None))]
#[expect(clippy::too_many_arguments, reason = "they are the keywords of a call in Python")]
pub(crate) fn replay(
    scenario: &Bound<'_, PyAny>,
    fitted: Option<&Bound<'_, PyAny>>,
    requests: Option<&Bound<'_, PyAny>>,
    variants: Option<Vec<String>>,
    disturbance: bool,
    draws: usize,
    threads: Option<NonZeroUsize>,
    files: Option<source::FileTexts>,
    progress: Option<Py<PyAny>>,
) -> PyResult<Replay> {
    let py = scenario.py();
    let read = source::read(scenario, None, files)?;
    let (rooms, drawn) = match fitted {
        None => (None, beside(scenario)?),
        Some(fitted) => fitted_rooms(fitted)?,
    };
    let other = requests.map(of_whom).transpose()?;
    let mut question = ReplayQuestion {
        fitted: rooms.as_ref(),
        draws: drawn,
        most_draws: draws,
        requests: match &other {
            None | Some(Whose::Logged) => AskedRequests::Logged,
            Some(Whose::Own) => AskedRequests::Own,
            Some(Whose::Other(other)) => AskedRequests::Other(other),
        },
        variants: variants.iter().flatten().map(String::as_str).collect(),
        no_disturbance: !disturbance,
        ..ReplayQuestion::default()
    };
    question.threads = threads.unwrap_or(question.threads);
    let done = watched(py, progress, |watch| {
        let done = read.replay_while(&question, &|begun, of| watch.note(begun, of));
        watch.note_end();
        done
    })?;
    match done.map_err(|fault| error::of_unanswered(py, &fault))? {
        Some(results) => Ok(Replay { results }),
        None => Err(error::run_error(&"the replay was broken off")),
    }
}

/// Whose requests variants get.
enum Whose {
    Logged,
    Own,
    Other(Box<Scenario>),
}

fn of_whom(requests: &Bound<'_, PyAny>) -> PyResult<Whose> {
    match requests.extract::<&str>() {
        Ok("logged") => Ok(Whose::Logged),
        Ok("none") => Ok(Whose::Own),
        _ => source::read(requests, None, None).map(|it| Whose::Other(Box::new(it))),
    }
}

/// Rooms with their draws: of a fit, or of a scenario and the table beside its file.
fn fitted_rooms(fitted: &Bound<'_, PyAny>) -> PyResult<(Option<Scenario>, Option<Draws>)> {
    let py = fitted.py();
    if let Ok(fit) = fitted.cast::<Fit>() {
        let results = &fit.get().results;
        let rooms = results.scenario().map_err(|fault| error::of_unanswered(py, &fault))?;
        return Ok((Some(rooms), Some(results.draws())));
    }
    Ok((Some(source::read(fitted, None, None)?), beside(fitted)?))
}

/// The draws beside a scenario's file, where it has one.
fn beside(scenario: &Bound<'_, PyAny>) -> PyResult<Option<Draws>> {
    let py = scenario.py();
    let Some(path) = source::path(scenario) else { return Ok(None) };
    let found = |path: &Path| load_beside(path, DRAWS);
    let Some(text) = found(&path).map_err(|faults| error::of_faults(py, &faults))? else {
        return Ok(None);
    };
    Draws::read(&text).map(Some).map_err(|no| {
        let what = format!("{DRAWS}, line {}: {}; {}", no.line, no.what, no.help);
        error::wrong_call(py, &what)
    })
}

#[pymethods]
impl Replay {
    /// How far the run as logged lies from what was measured, as a sentence.
    #[getter]
    fn answer(&self) -> String {
        self.results.as_replayed().answer()
    }

    /// Everything, as replay.json has it.
    #[getter]
    fn summary<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        let text = report::replay_json(&self.results.as_replayed());
        loads(py, &text.map_err(|fault| error::run_error(&fault))?)
    }

    /// A row a run, zone and figure: the value, and of variants the difference to the run as logged with
    /// the interval that holds 95 of 100 draws.
    #[getter]
    fn table(&self) -> PyResult<Table> {
        let found = self.results.found();
        let mut rows = Rows::default();
        rows.figures(&self.results, "measured", &found.measured, None);
        rows.figures(&self.results, "as_logged", &found.as_logged.figures, None);
        for variant in &found.variants {
            rows.figures(&self.results, &variant.name, &variant.figures, Some(variant));
        }
        rows.table()
    }

    /// A row a run, zone and step: temperature at its start as the sensor reads it, setpoints in force,
    /// whether the unit runs; the run `measured` is the log.
    #[getter]
    fn steps(&self) -> PyResult<Table> {
        let mut all = Courses::default();
        let found = self.results.found();
        for (place, zone) in self.results.model().zones.iter().enumerate() {
            let own = &found.record.zones[place];
            for at in 0..found.record.grid.count {
                all.names.push(("measured".to_owned(), zone.id.clone()));
                all.times.push(found.record.grid.at(at).get());
                all.temperature.push(own.temperature[at]);
                all.heat.push(own.heat[at]);
                all.cool.push(own.cool[at]);
                all.running.push(own.running[at]);
            }
        }
        for (name, course) in self.runs() {
            for (zone, own) in self.results.model().zones.iter().zip(&course.zones) {
                for at in 0..own.sensed.len() {
                    all.names.push((name.to_owned(), zone.id.clone()));
                    all.times.push(found.record.grid.at(at).get());
                    all.temperature.push(Some(own.sensed[at]));
                    all.heat.push(Some(own.setpoints[at][0]));
                    all.cool.push(Some(own.setpoints[at][1]));
                    all.running.push(Some(own.running[at]));
                }
            }
        }
        all.table()
    }

    /// A row a run and step: the mean electric power of all zones over it; the run `measured` is the log.
    #[getter]
    fn electricity(&self) -> PyResult<Table> {
        let record = &self.results.found().record;
        let mut all: Vec<(&str, usize, Option<f64>)> =
            record.electric.iter().enumerate().map(|(at, it)| ("measured", at, *it)).collect();
        for (name, course) in self.runs() {
            let own = course.electric.iter().enumerate();
            all.extend(own.map(|(at, watts)| (name, at, Some(*watts))));
        }
        Table::new(vec![
            column("time", stamps(all.iter().map(|it| record.grid.at(it.1).get()))),
            column("run", StringArray::from_iter_values(all.iter().map(|it| it.0))),
            sparse("watts", all.iter().map(|it| it.2).collect::<Float64Array>()),
        ])
    }

    /// All runs on one time axis beside what was measured.
    #[getter]
    fn chart(&self, py: Python<'_>) -> PyResult<Chart> {
        self.svg(py).map(Chart::new)
    }

    /// The replay, one page.
    #[getter]
    fn report(&self, py: Python<'_>) -> PyResult<Page> {
        let html = py.detach(|| self.results.page());
        html.map(Page::new).map_err(|fault| error::run_error(&fault))
    }

    fn _repr_svg_(&self, py: Python<'_>) -> PyResult<String> {
        self.svg(py)
    }

    fn __repr__(&self) -> String {
        let variants = self.results.found().variants.len();
        format!("<setband.Replay of {}, {variants} variants>", self.results.as_replayed().span())
    }
}

impl Replay {
    fn svg(&self, py: Python<'_>) -> PyResult<String> {
        let svg = py.detach(|| self.results.chart());
        svg.map_err(|fault| error::run_error(&fault))
    }

    fn runs(&self) -> impl Iterator<Item = (&str, &RunCourse)> {
        let found = self.results.found();
        let variants = found.variants.iter().map(|it| (it.name.as_str(), &it.course.run));
        std::iter::once(("as_logged", &found.as_logged.course.run)).chain(variants)
    }
}

/// Steps of runs, as columns.
#[derive(Default)]
struct Courses {
    names: Vec<(String, String)>,
    times: Vec<i64>,
    temperature: Vec<Option<f64>>,
    heat: Vec<Option<f64>>,
    cool: Vec<Option<f64>>,
    running: Vec<Option<bool>>,
}

impl Courses {
    fn table(self) -> PyResult<Table> {
        let run = StringArray::from_iter_values(self.names.iter().map(|it| &it.0));
        let zone = StringArray::from_iter_values(self.names.iter().map(|it| &it.1));
        Table::new(vec![
            column("time", stamps(self.times.into_iter())),
            column("run", run),
            column("zone", zone),
            sparse("temperature", Float64Array::from(self.temperature)),
            sparse("heat", Float64Array::from(self.heat)),
            sparse("cool", Float64Array::from(self.cool)),
            sparse("running", BooleanArray::from(self.running)),
        ])
    }
}

/// Figures of runs, a row each.
#[derive(Default)]
struct Rows {
    run: Vec<String>,
    zone: Vec<Option<String>>,
    figure: Vec<&'static str>,
    value: Vec<Option<f64>>,
    difference: Vec<Option<Estimate>>,
}

impl Rows {
    fn figures(
        &mut self,
        results: &ReplayResults,
        run: &str,
        figures: &Figures,
        variant: Option<&Variant>,
    ) {
        let whole = variant.map(|it| it.difference.electricity_kwh);
        self.row((run, None), "electricity_kwh", figures.electricity_kwh, whole);
        for (place, zone) in results.model().zones.iter().enumerate() {
            let own: &ZoneFigures = &figures.zones[place];
            let less = variant.map(|it| it.difference.zones[place]);
            let at = (run, Some(zone.id.as_str()));
            self.row(at, "starts", own.starts.map(f64::from), less.map(|it| it.starts));
            self.row(at, "running_hours", own.running_hours, less.map(|it| it.running_hours));
            let Some(air) = &own.temperature else { continue };
            self.row(at, "mean", Some(air.mean), less.map(|it| it.mean));
            self.row(at, "lowest", Some(air.lowest), None);
            self.row(at, "highest", Some(air.highest), None);
            self.row(at, "hours_below", Some(air.hours_below), less.map(|it| it.hours_below));
            self.row(at, "hours_above", Some(air.hours_above), less.map(|it| it.hours_above));
        }
    }

    fn row(
        &mut self,
        (run, zone): (&str, Option<&str>),
        figure: &'static str,
        value: Option<f64>,
        difference: Option<Estimate>,
    ) {
        self.run.push(run.to_owned());
        self.zone.push(zone.map(str::to_owned));
        self.figure.push(figure);
        self.value.push(value);
        self.difference.push(difference);
    }

    fn table(self) -> PyResult<Table> {
        let of = |value: fn(&Estimate) -> Option<f64>| -> Float64Array {
            self.difference.iter().map(|it| it.as_ref().and_then(value)).collect()
        };
        Table::new(vec![
            column("run", StringArray::from(self.run)),
            sparse("zone", StringArray::from(self.zone)),
            column("figure", StringArray::from(self.figure)),
            sparse("value", Float64Array::from(self.value)),
            sparse("difference", of(|it| Some(it.value).filter(|it| it.is_finite()))),
            sparse("low", of(|it| it.interval.map(|it| it.0))),
            sparse("high", of(|it| it.interval.map(|it| it.1))),
        ])
    }
}
