//! A zone's own keys from its log.

use std::collections::BTreeMap;

use arrow_array::{BooleanArray, Float64Array, StringArray, UInt64Array};
use pyo3::prelude::*;
use setband::study::fit::{Freed, Options, Parameter, ZoneFit};
use setband::time::Seconds;
use setband::{FitResults, report};

use crate::shown::{Chart, Page};
use crate::table::{Table, column, sparse, stamps};
use crate::watch::watched;
use crate::{error, loads, source};

/// Zones that were fitted to their log.
#[pyclass(frozen, module = "setband")]
#[derive(Debug)]
pub(crate) struct Fit {
    pub(crate) results: FitResults,
}

/// Fits a zone's own keys to the log that the scenario names.
#[pyfunction]
#[pyo3(signature = (scenario, *, zone=None, free=None, horizon=6, hold_out=None, draws=200,
    variant=None, files=None, progress=None))]
#[expect(clippy::too_many_arguments, reason = "they are the keywords of a call in Python")]
pub(crate) fn fit(
    scenario: &Bound<'_, PyAny>,
    zone: Option<&str>,
    free: Option<Vec<String>>,
    horizon: u32,
    hold_out: Option<u32>,
    draws: usize,
    variant: Option<&str>,
    files: Option<source::FileTexts>,
    progress: Option<Py<PyAny>>,
) -> PyResult<Fit> {
    let py = scenario.py();
    let read = source::read(scenario, variant, files)?;
    let freed = |name: &String| {
        Freed::of(name).ok_or_else(|| {
            let known: Vec<&str> = Freed::ALL.iter().map(|it| it.0).collect();
            let what = format!("`{name}` is nothing that can be fitted: {}", known.join(", "));
            error::wrong_call(py, &what)
        })
    };
    if !matches!(horizon, 1 | 6 | 24) {
        return Err(error::wrong_call(py, "horizon is 1, 6 or 24 hours"));
    }
    let options = Options {
        free: free.unwrap_or_default().iter().map(freed).collect::<PyResult<_>>()?,
        horizon,
        hold_out: hold_out.map(|hours| Seconds::hours(i64::from(hours))),
        draws,
        seed: read.model().seed,
    };
    let done = watched(py, progress, |watch| {
        let done = read.fit_while(zone, &options, &mut |done, of| watch.note(done, of));
        watch.note_end();
        done
    })?;
    match done.map_err(|fault| error::of_unanswered(py, &fault))? {
        Some(results) => Ok(Fit { results }),
        None => Err(error::run_error(&"the fit was broken off")),
    }
}

#[pymethods]
impl Fit {
    /// Everything, as fit.json has it.
    #[getter]
    fn summary<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        let text = report::fit_json(&self.results.as_fitted());
        loads(py, &text.map_err(|fault| error::run_error(&fault))?)
    }

    /// Of each zone how well the model explains its log, as a sentence.
    #[getter]
    fn headlines(&self) -> BTreeMap<String, String> {
        let fitted = self.results.as_fitted();
        let of = |zone: &ZoneFit| (zone.id.clone(), fitted.headline(zone));
        self.results.zones().iter().map(of).collect()
    }

    /// A row a zone and number: value, interval of 95 %, what the file had, and of what the log does not
    /// tell why, and what would.
    #[getter]
    fn parameters(&self) -> PyResult<Table> {
        let all: Vec<(&str, &Parameter)> = self
            .results
            .zones()
            .iter()
            .flat_map(|zone| zone.parameters.iter().map(|it| (zone.id.as_str(), it)))
            .collect();
        let texts = |of: fn(&Parameter) -> &str| -> StringArray {
            StringArray::from_iter_values(all.iter().map(|(_, it)| of(it)))
        };
        let numbers = |of: fn(&Parameter) -> f64| -> Float64Array {
            all.iter().map(|(_, it)| Some(of(it))).collect()
        };
        let ends = |of: fn(&(f64, f64)) -> f64| -> Float64Array {
            all.iter().map(|(_, it)| it.interval.as_ref().map(of)).collect()
        };
        let untold = |of: fn(&setband::study::fit::Untold) -> &'static str| -> StringArray {
            all.iter().map(|(_, it)| it.untold.as_ref().map(of)).collect()
        };
        let told: Vec<bool> = all.iter().map(|(_, it)| it.is_identifiable()).collect();
        Table::new(vec![
            column("zone", StringArray::from_iter_values(all.iter().map(|(zone, _)| zone))),
            column("key", texts(|it| &it.key)),
            column("value", numbers(|it| it.value)),
            sparse("low", ends(|it| it.0)),
            sparse("high", ends(|it| it.1)),
            column("unit", texts(|it| &it.unit)),
            column("identifiable", BooleanArray::from(told)),
            column("before", numbers(|it| it.before)),
            column("path", texts(|it| &it.path)),
            column("what", texts(|it| &it.words)),
            sparse("why", untold(|it| it.why)),
            sparse("would_identify", untold(|it| it.would)),
        ])
    }

    /// A row a zone and step: what was measured, the model in runs that begin each day, and the heat
    /// that nothing explains.
    #[getter]
    fn steps(&self) -> PyResult<Table> {
        let unit = self.results.as_fitted().model.unit;
        let zones = self.results.zones();
        let rows =
            || zones.iter().flat_map(|zone| (0..zone.inputs.grid.count).map(move |at| (zone, at)));
        let reading = |(zone, at): (&ZoneFit, usize)| {
            zone.inputs.readings.shown.get(at).copied().flatten().map(|it| unit.from_celsius(it))
        };
        let model =
            |(zone, at): (&ZoneFit, usize)| zone.modelled.get(at).map(|it| unit.from_celsius(*it));
        let names = rows().map(|(zone, _)| zone.id.as_str());
        Table::new(vec![
            column("time", stamps(rows().map(|(zone, at)| zone.inputs.grid.at(at).get()))),
            column("zone", StringArray::from_iter_values(names)),
            sparse("measured", rows().map(reading).collect::<Float64Array>()),
            sparse("modelled", rows().map(model).collect::<Float64Array>()),
            sparse(
                "unexplained_w",
                rows()
                    .map(|(zone, at)| zone.unexplained.get(at).copied())
                    .collect::<Float64Array>(),
            ),
        ])
    }

    /// A row a draw: values by path, as the file would have them; `replay` takes them for its intervals.
    #[getter]
    fn draws(&self) -> PyResult<Table> {
        let draws = self.results.draws();
        let numbers = (1..=draws.rows.len()).map(|it| it as u64);
        let mut columns = vec![column("draw", UInt64Array::from_iter_values(numbers))];
        for (place, path) in draws.paths.iter().enumerate() {
            let values = draws.rows.iter().map(|row| row[place].as_str());
            columns.push(column(path, StringArray::from_iter_values(values)));
        }
        Table::new(columns)
    }

    /// The text of the scenario with what was fitted in its place, comments kept.
    #[getter]
    fn scenario(&self, py: Python<'_>) -> PyResult<String> {
        self.results.text().map_err(|fault| error::of_unanswered(py, &fault.into()))
    }

    /// What was measured beside the model, by zone.
    #[getter]
    fn charts(&self, py: Python<'_>) -> PyResult<BTreeMap<String, Chart>> {
        let of = |zone: &ZoneFit| Ok((zone.id.clone(), Chart::new(self.svg(py, zone)?)));
        self.results.zones().iter().map(of).collect()
    }

    /// How sure each number is, by zone; without those that have none.
    #[getter]
    fn profiles(&self, py: Python<'_>) -> PyResult<BTreeMap<String, Chart>> {
        let mut all = BTreeMap::new();
        for zone in self.results.zones() {
            let svg = py.detach(|| self.results.profiles(zone));
            if let Some(svg) = svg.map_err(|fault| error::run_error(&fault))? {
                all.insert(zone.id.clone(), Chart::new(svg));
            }
        }
        Ok(all)
    }

    /// The fit, one page.
    #[getter]
    fn report(&self, py: Python<'_>) -> PyResult<Page> {
        let html = py.detach(|| self.results.page());
        html.map(Page::new).map_err(|fault| error::run_error(&fault))
    }

    fn _repr_svg_(&self, py: Python<'_>) -> PyResult<String> {
        self.svg(py, &self.results.zones()[0])
    }

    fn __repr__(&self) -> String {
        let zones: Vec<&str> = self.results.zones().iter().map(|it| it.id.as_str()).collect();
        format!("<setband.Fit of {}>", zones.join(", "))
    }
}

impl Fit {
    fn svg(&self, py: Python<'_>, zone: &ZoneFit) -> PyResult<String> {
        let svg = py.detach(|| self.results.chart(zone));
        svg.map_err(|fault| error::run_error(&fault))
    }
}
