//! Many settings under many draws.

use std::num::NonZeroUsize;
use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::atomic::Ordering;

use arrow_array::{ArrayRef, Float64Array, StringArray, UInt64Array};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList, PyMapping};
use setband::Scenario;
use setband::engine::Model;
use setband::measures::FIGURES;
use setband::report::{self, chart};
use setband::scenario::{Override, Rejected, ValueGrid};
use setband::study::default_threads;
use setband::study::sweep::{
    About, Axis, Goal, GoalFault, PlanFault, Results, Sampling, Sense, SweepAnswer, SweepPlan,
    SweepRun, run,
};

use crate::shown::Chart;
use crate::table::{Table, column, sparse};
use crate::watch::watched;
use crate::{error, loads, source};

/// Width of charts, px.
const CHART_WIDTH: u32 = 980;

/// Many settings under many draws.
#[pyclass(frozen, module = "setband")]
#[derive(Debug)]
pub(crate) struct Sweep {
    results: Results,
    goal: Goal,
}

/// Tries many settings under many draws and ranks them.
#[pyfunction]
#[pyo3(signature = (scenario, grid, *, vary=None, draws=1, latin=None, random=None, minimise=None,
    maximise=None, at_most=None, at_least=None, variant=None, seed=None, threads=None, files=None,
    progress=None))]
#[expect(clippy::too_many_arguments, reason = "they are the keywords of a call in Python")]
pub(crate) fn sweep(
    scenario: &Bound<'_, PyAny>,
    grid: &Bound<'_, PyMapping>,
    vary: Option<&Bound<'_, PyMapping>>,
    draws: usize,
    latin: Option<usize>,
    random: Option<usize>,
    minimise: Option<&str>,
    maximise: Option<&str>,
    at_most: Option<&Bound<'_, PyMapping>>,
    at_least: Option<&Bound<'_, PyMapping>>,
    variant: Option<&str>,
    seed: Option<u64>,
    threads: Option<NonZeroUsize>,
    files: Option<source::FileTexts>,
    progress: Option<Py<PyAny>>,
) -> PyResult<Sweep> {
    let py = scenario.py();
    let wrong = |words: &str| error::wrong_call(py, words);
    let read = source::read(scenario, variant, files)?;
    let sampling = match (random, latin) {
        (Some(_), Some(_)) => return Err(wrong("latin and random exclude each other")),
        (Some(count), None) => Sampling::Random(count),
        (None, Some(count)) => Sampling::Latin(count),
        (None, None) => Sampling::Grid,
    };
    let plan = SweepPlan {
        axes: axes(grid, read.model())?,
        sampling,
        varied: vary.map_or_else(|| Ok(Vec::new()), |vary| axes(vary, read.model()))?,
        draws,
        seed: seed.unwrap_or(read.model().seed),
    };
    plan.check().map_err(|fault| wrong(&plan_words(&fault)))?;
    let (figure, sense) = match (minimise, maximise) {
        (Some(_), Some(_)) => return Err(wrong("minimise and maximise exclude each other")),
        (Some(figure), None) => (figure, Sense::Minimise),
        (None, Some(figure)) => (figure, Sense::Maximise),
        (None, None) if read.model().tariff.is_some() => ("cost", Sense::Minimise),
        (None, None) => ("total_kwh", Sense::Minimise),
    };
    let goal = Goal::new(figure, sense, &bounds(at_most)?, &bounds(at_least)?);
    let goal = goal.map_err(|fault| wrong(&goal_words(&fault)))?;
    try_paths(py, &plan, &read)?;
    let results = carried_out(py, &plan, &read, threads, progress)?;
    let sweep = Sweep { results, goal };
    match sweep.answer_value().unfit().first() {
        Some((_, why)) if sweep.answer_value().ranking.settings.is_empty() => {
            Err(wrong(&format!("no setting can be run: {why}")))
        }
        _ => Ok(sweep),
    }
}

/// Runs all cases.
fn carried_out(
    py: Python<'_>,
    plan: &SweepPlan,
    read: &Scenario,
    threads: Option<NonZeroUsize>,
    progress: Option<Py<PyAny>>,
) -> PyResult<Results> {
    let template = read.template().map_err(|faults| error::of_faults(py, &faults))?;
    let results = Results::new(plan.clone(), About::of(read.model()));
    let settings = results.settings.clone();
    let results = Mutex::new(results);
    watched(py, progress, |watch| {
        watch.of.store(plan.cases(), Ordering::Relaxed);
        let study = SweepRun::new(plan, &template, &settings);
        let threads = threads.unwrap_or_else(default_threads);
        run(&study, &|_| true, threads, &watch.stop, &|case, outcome| {
            results.lock().unwrap_or_else(PoisonError::into_inner).put(case, outcome);
            watch.done.fetch_add(1, Ordering::Relaxed);
        });
    })?;
    Ok(results.into_inner().unwrap_or_else(PoisonError::into_inner))
}

/// Finds paths that lead nowhere before the first case.
fn try_paths(py: Python<'_>, plan: &SweepPlan, read: &Scenario) -> PyResult<()> {
    let template = read.template().map_err(|faults| error::of_faults(py, &faults))?;
    for axis in plan.axes.iter().chain(&plan.varied) {
        let Some(value) = axis.samples().into_iter().next() else { continue };
        let change = Override::new(&axis.path, &value).map_err(|it| error::wrong_call(py, &it))?;
        if let Err(fault @ Rejected::Path { .. }) = template.model(&[change]) {
            return Err(error::of_rejected(py, &fault));
        }
    }
    Ok(())
}

/// Paths with their values: texts as on the command line, lists as lists.
fn axes(of: &Bound<'_, PyMapping>, base: &Model) -> PyResult<Vec<Axis>> {
    let py = of.py();
    let mut axes = Vec::new();
    for item in of.items()?.iter() {
        let (path, values): (String, Bound<'_, PyAny>) = item.extract()?;
        let values = match values.extract::<String>() {
            Ok(text) => text,
            Err(_) => listed(&values)?,
        };
        let axis = Axis::parse(&format!("{path}={values}")).map_err(|none| {
            error::wrong_call(py, &format!("{path}: {}; {}", none.what, none.help))
        })?;
        let is_stepped = values.contains("..") && !values.starts_with('[');
        axes.push(axis.on(ValueGrid::of(&path, base), is_stepped));
    }
    Ok(axes)
}

fn listed(values: &Bound<'_, PyAny>) -> PyResult<String> {
    let mut texts = Vec::new();
    for value in values.try_iter()? {
        texts.push(source::written(&value?)?);
    }
    Ok(format!("[{}]", texts.join(", ")))
}

/// Bounds as `FIGURE=NUMBER`.
fn bounds(of: Option<&Bound<'_, PyMapping>>) -> PyResult<Vec<String>> {
    let Some(of) = of else { return Ok(Vec::new()) };
    let mut all = Vec::new();
    for item in of.items()?.iter() {
        let (figure, limit): (String, f64) = item.extract()?;
        all.push(format!("{figure}={limit}"));
    }
    Ok(all)
}

fn plan_words(fault: &PlanFault) -> String {
    match fault {
        PlanFault::NoDraws => "no draws are asked for".into(),
        PlanFault::NoSamples => "no samples are asked for".into(),
        PlanFault::Twice(path) => format!("the path `{path}` is given twice"),
        PlanFault::Seed => "the seed is no path of a sweep: each draw has one of its own".into(),
        PlanFault::NoStep(path) => format!(
            "the range of `{path}` has no step: write one as in `0..4:0.5`, or sample with latin"
        ),
        PlanFault::TooMany(cases) => format!("these are {cases:.0} cases, more than can be kept"),
    }
}

fn goal_words(fault: &GoalFault) -> String {
    match fault {
        GoalFault::UnknownFigure(name) => {
            let known: Vec<&str> = FIGURES.iter().map(|figure| figure.key).collect();
            format!("there is no figure `{name}`; known are {}", known.join(", "))
        }
        GoalFault::NoBound(text) => format!("`{text}` is no bound"),
    }
}

impl Sweep {
    fn answer_value(&self) -> SweepAnswer<'_> {
        SweepAnswer::new(&self.results, &self.goal)
    }

    fn svg(&self, py: Python<'_>) -> PyResult<String> {
        let svg = py.detach(|| chart::tradeoff_svg(&self.answer_value(), CHART_WIDTH));
        svg.map_err(|fault| error::run_error(&fault))?
            .ok_or_else(|| error::run_error(&"one setting has no trade-off to show"))
    }
}

#[pymethods]
impl Sweep {
    /// The answer as a sentence.
    #[getter]
    fn answer(&self) -> String {
        report::sweep_answer(&self.answer_value())
    }

    /// Everything, as sweep.json has it.
    #[getter]
    fn summary<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        let text = report::sweep_json(&self.answer_value());
        loads(py, &text.map_err(|fault| error::run_error(&fault))?)
    }

    /// The values of the best setting that keeps the bounds, by path; none where none does.
    #[getter]
    fn best<'py>(&self, py: Python<'py>) -> PyResult<Option<Bound<'py, PyDict>>> {
        let answer = self.answer_value();
        let Some(best) = answer.ranking.best() else { return Ok(None) };
        let values = PyDict::new(py);
        let chosen = &self.results.settings[best.setting];
        for (axis, value) in self.results.plan.axes.iter().zip(chosen) {
            values.set_item(&axis.path, value)?;
        }
        Ok(Some(values))
    }

    /// A row a case: setting, draw, the setting's values and all figures; empty where it could not
    /// be run.
    #[getter]
    fn cases(&self) -> PyResult<Table> {
        let plan = &self.results.plan;
        let all: Vec<(usize, usize)> = (0..plan.cases()).map(|case| plan.split(case)).collect();
        let count = |of: fn(&(usize, usize)) -> usize| -> ArrayRef {
            let values = all.iter().map(|it| of(it) as u64);
            std::sync::Arc::new(UInt64Array::from_iter_values(values))
        };
        let mut columns = vec![
            ("setting".to_owned(), count(|it| it.0), false),
            ("draw".to_owned(), count(|it| it.1), false),
        ];
        for (place, axis) in plan.axes.iter().enumerate() {
            let values = all.iter().map(|(setting, _)| &*self.results.settings[*setting][place]);
            columns.push(column(&axis.path, StringArray::from_iter_values(values)));
        }
        for (place, figure) in FIGURES.iter().enumerate() {
            let value = |case: usize| self.results.outcome(case)?.figure(place);
            let values: Float64Array = (0..plan.cases()).map(value).collect();
            columns.push(sparse(figure.key, values));
        }
        Table::new(columns)
    }

    /// The settings that could not be run, each with the reason.
    #[getter]
    fn unfit<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        let answer = self.answer_value();
        let unfit = answer.unfit();
        let of = |setting: usize| self.results.settings[setting].clone();
        PyList::new(py, unfit.into_iter().map(|(setting, why)| (of(setting), why.to_owned())))
    }

    /// The trade-off between energy, discomfort and changeovers.
    #[getter]
    fn chart(&self, py: Python<'_>) -> PyResult<Chart> {
        self.svg(py).map(Chart::new)
    }

    fn _repr_svg_(&self, py: Python<'_>) -> PyResult<String> {
        self.svg(py)
    }

    fn __repr__(&self) -> String {
        format!("<setband.Sweep of {} cases>", self.results.plan.cases())
    }
}
