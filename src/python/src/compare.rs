//! A scenario beside its variants.

use arrow_array::{Float64Array, StringArray};
use pyo3::prelude::*;
use setband::measures::{Figure, FigureUnit};
use setband::report::{self, chart};
use setband::study::{self, Difference, differences};

use crate::shown::{Chart, Page};
use crate::table::{Table, column, sparse};
use crate::watch::watched;
use crate::{error, loads, source};

/// A scenario beside its variants.
#[pyclass(frozen, module = "setband")]
#[derive(Debug)]
pub(crate) struct Comparison {
    comparison: study::Comparison,
}

/// Runs a scenario beside all variants of its file, under the same weather and random draws.
#[pyfunction]
#[pyo3(signature = (scenario, *, seed=None, files=None, progress=None))]
pub(crate) fn compare(
    scenario: &Bound<'_, PyAny>,
    seed: Option<u64>,
    files: Option<source::FileTexts>,
    progress: Option<Py<PyAny>>,
) -> PyResult<Comparison> {
    let py = scenario.py();
    let mut read = source::read(scenario, None, files)?;
    if let Some(seed) = seed {
        read = read.with_seed(seed);
    }
    if read.variants().next().is_none() {
        return Err(error::wrong_call(py, "the scenario has no variants to compare"));
    }
    let done = watched(py, progress, |watch| read.compare_while(&|part| watch.note_part(part)))?;
    match done.map_err(|halted| error::run_error(&halted))? {
        Some(comparison) => Ok(Comparison { comparison }),
        None => Err(error::run_error(&"the comparison was broken off")),
    }
}

#[pymethods]
impl Comparison {
    /// Everything, as compare.json has it.
    #[getter]
    fn summary<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        let text = report::comparison_json(&self.comparison);
        loads(py, &text.map_err(|fault| error::run_error(&fault))?)
    }

    /// A row a variant and figure: base, value, difference, percent.
    #[getter]
    fn table(&self) -> PyResult<Table> {
        let base = &self.comparison.base.finished.summary;
        let all: Vec<(&str, &'static Figure, Difference)> = self
            .comparison
            .variants
            .iter()
            .flat_map(|it| {
                let beside = differences(base, &it.finished.summary).into_iter();
                beside.map(|(figure, difference)| (it.name.as_str(), figure, difference))
            })
            .collect();
        let texts = |of: &dyn Fn(usize) -> &'static str| -> StringArray {
            StringArray::from_iter_values((0..all.len()).map(of))
        };
        let numbers = |of: fn(&Difference) -> Option<f64>| -> Float64Array {
            all.iter().map(|(.., difference)| of(difference)).collect()
        };
        let names = StringArray::from_iter_values(all.iter().map(|(name, ..)| name));
        Table::new(vec![
            column("variant", names),
            column("figure", texts(&|at| all[at].1.key)),
            column("unit", texts(&|at| unit(all[at].1.unit))),
            sparse("base", numbers(|it| it.base)),
            sparse("value", numbers(|it| it.value)),
            sparse("difference", numbers(Difference::absolute)),
            sparse("percent", numbers(Difference::percent)),
        ])
    }

    /// All on one time axis, a row each.
    #[getter]
    fn chart(&self, py: Python<'_>) -> PyResult<Chart> {
        self.svg(py).map(Chart::new)
    }

    /// The comparison, one page.
    #[getter]
    fn report(&self, py: Python<'_>) -> PyResult<Page> {
        let html = py.detach(|| report::comparison_html(&self.comparison));
        html.map(Page::new).map_err(|fault| error::run_error(&fault))
    }

    fn _repr_svg_(&self, py: Python<'_>) -> PyResult<String> {
        self.svg(py)
    }

    fn __repr__(&self) -> String {
        format!("<setband.Comparison with {} variants>", self.comparison.variants.len())
    }
}

impl Comparison {
    fn svg(&self, py: Python<'_>) -> PyResult<String> {
        let svg = py.detach(|| chart::multiples_svg(&self.comparison, chart::USUAL_WIDTH));
        svg.map_err(|fault| error::run_error(&fault))
    }
}

/// The unit of a figure; empty where it is a count.
const fn unit(unit: FigureUnit) -> &'static str {
    match unit {
        FigureUnit::Energy => "kWh",
        FigureUnit::Power => "kW",
        FigureUnit::Money => "currency",
        FigureUnit::Mass => "kg",
        FigureUnit::Hours => "h",
        FigureUnit::DegreeHours => "degree-hours",
        FigureUnit::Count => "",
        FigureUnit::Percent => "%",
    }
}
