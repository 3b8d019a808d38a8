"""Simulates setpoint control logic of multi-zone heat-pump systems."""

from collections.abc import Callable, Mapping, Sequence
from os import PathLike
from typing import Any

__version__: str

Source = str | PathLike[str] | Mapping[str, Any]
Progress = bool | Callable[[int, int], object] | None

class ScenarioError(ValueError):
    """A scenario, a variant, a path or a value that is wrong."""

    faults: list[dict[str, Any]]
    """Each with code, line, column, path, message and remedy; empty where the call is wrong."""

class RunError(RuntimeError):
    """A run that ended before its time: temperatures that no building has, or a full ledger."""

class Chart:
    """A chart as SVG; a notebook shows it."""

    @property
    def svg(self) -> str: ...
    def save(self, path: str | PathLike[str]) -> None: ...
    def _repr_svg_(self) -> str: ...

class Page:
    """A page of HTML that needs no other file; a notebook shows it in a frame."""

    @property
    def html(self) -> str: ...
    def save(self, path: str | PathLike[str]) -> None: ...
    def _repr_html_(self) -> str: ...

class Table:
    """Columns in Arrow's memory layout, handed over without a copy (PyCapsule interface)."""

    @property
    def column_names(self) -> list[str]: ...
    @property
    def num_rows(self) -> int: ...
    def __len__(self) -> int: ...
    def __arrow_c_stream__(self, requested_schema: object | None = None) -> object: ...
    def __arrow_c_schema__(self) -> object: ...
    def to_pyarrow(self) -> Any: ...
    def to_pandas(self, *, arrow: bool = False) -> Any:
        """A `pandas.DataFrame`; with `arrow=True` its columns stay in Arrow's layout, without a copy."""
    def to_polars(self) -> Any: ...

class Run:
    """A finished run."""

    @property
    def title(self) -> str: ...
    @property
    def summary(self) -> dict[str, Any]:
        """Everything, as summary.json has it."""
    @property
    def figures(self) -> dict[str, float | None]:
        """The figures of the whole run, by key; `setband explain KEY` says what they are."""
    @property
    def zones(self) -> dict[str, dict[str, Any]]:
        """What each zone did, by its name in the file."""
    @property
    def steps(self) -> Table:
        """A row a zone and step; a row an hour where there are more than half a million."""
    @property
    def ledger(self) -> Table:
        """A row a request or event, with its reason in words."""
    @property
    def chart(self) -> Chart: ...
    @property
    def report(self) -> Page: ...
    def _repr_svg_(self) -> str: ...

class Comparison:
    """A scenario beside its variants."""

    @property
    def summary(self) -> dict[str, Any]:
        """Everything, as compare.json has it."""
    @property
    def table(self) -> Table:
        """A row a variant and figure: base, value, difference, percent."""
    @property
    def chart(self) -> Chart: ...
    @property
    def report(self) -> Page: ...
    def _repr_svg_(self) -> str: ...

class Sweep:
    """Many settings under many draws."""

    @property
    def answer(self) -> str: ...
    @property
    def summary(self) -> dict[str, Any]:
        """Everything, as sweep.json has it."""
    @property
    def best(self) -> dict[str, Any] | None:
        """The values of the best setting that keeps the bounds."""
    @property
    def cases(self) -> Table:
        """A row a case: setting, draw, the setting's values and all figures."""
    @property
    def unfit(self) -> list[tuple[list[str], str]]:
        """The settings that could not be run, each with the reason."""
    @property
    def chart(self) -> Chart: ...
    def _repr_svg_(self) -> str: ...

class Fit:
    """Zones that were fitted to their log."""

    @property
    def summary(self) -> dict[str, Any]:
        """Everything, as fit.json has it."""
    @property
    def headlines(self) -> dict[str, str]:
        """Of each zone how well the model explains its log."""
    @property
    def parameters(self) -> Table:
        """A row a zone and number: value, interval, what the file had; why the log does not tell it."""
    @property
    def steps(self) -> Table:
        """A row a zone and step: measured, modelled, the heat that nothing explains."""
    @property
    def draws(self) -> Table:
        """A row a draw: values by path, as the file would have them."""
    @property
    def scenario(self) -> str:
        """The text of the scenario with what was fitted in its place."""
    @property
    def charts(self) -> dict[str, Chart]: ...
    @property
    def profiles(self) -> dict[str, Chart]: ...
    @property
    def report(self) -> Page: ...
    def _repr_svg_(self) -> str: ...

class Replay:
    """The days of a log with other settings."""

    @property
    def answer(self) -> str: ...
    @property
    def summary(self) -> dict[str, Any]:
        """Everything, as replay.json has it."""
    @property
    def table(self) -> Table:
        """A row a run, zone and figure: value; of variants the difference with its interval."""
    @property
    def steps(self) -> Table:
        """A row a run, zone and step: temperature, setpoints, running; the run `measured` is the log."""
    @property
    def electricity(self) -> Table:
        """A row a run and step: mean electric power of all zones, W."""
    @property
    def chart(self) -> Chart: ...
    @property
    def report(self) -> Page: ...
    def _repr_svg_(self) -> str: ...

def run(
    scenario: Source,
    *,
    variant: str | None = None,
    changes: Mapping[str, object] | None = None,
    seed: int | None = None,
    files: Mapping[str, str] | None = None,
    progress: Progress = None,
) -> Run:
    """Simulates a scenario.

    `changes` sets paths as a variant would: `{"zones.*.controls.heat": 21}`. `files` are texts of
    files that the scenario names, by name; a scenario from a path finds those beside it as well.
    """

def compare(
    scenario: Source,
    *,
    seed: int | None = None,
    files: Mapping[str, str] | None = None,
    progress: Progress = None,
) -> Comparison:
    """Runs a scenario beside all variants of its file, under the same weather and random draws."""

def check(
    scenario: Source,
    *,
    variant: str | None = None,
    code: str | None = None,
    files: Mapping[str, str] | None = None,
) -> list[dict[str, Any]]:
    """Findings about the settings, without a simulation. `code`: ashrae90.1, iecc or title24."""

def sweep(
    scenario: Source,
    grid: Mapping[str, str | Sequence[object]],
    *,
    vary: Mapping[str, str] | None = None,
    draws: int = 1,
    latin: int | None = None,
    random: int | None = None,
    minimise: str | None = None,
    maximise: str | None = None,
    at_most: Mapping[str, float] | None = None,
    at_least: Mapping[str, float] | None = None,
    variant: str | None = None,
    seed: int | None = None,
    threads: int | None = None,
    files: Mapping[str, str] | None = None,
    progress: Progress = None,
) -> Sweep:
    """Tries many settings under many draws and ranks them.

    Values are a range with a step (`"0..4:0.5"`) or a list; those of `vary` may be
    `"normal(0, 0.3)"`.
    """

def fit(
    scenario: Source,
    *,
    zone: str | None = None,
    free: Sequence[str] | None = None,
    horizon: int = 6,
    hold_out: int | None = None,
    draws: int = 200,
    variant: str | None = None,
    files: Mapping[str, str] | None = None,
    progress: Progress = None,
) -> Fit:
    """Fits a zone's own keys to the log that the scenario names; all zones of the log without `zone`.

    `free`: loss, air, mass, coupling, gains, sun, stages, power, thresholds, lag; all that the log can
    tell without it. `horizon` (1, 6 or 24 h): free runs that are held against persistence.
    `hold_out`: hours at the end; a fifth of the log without it. Ctrl-C ends it after the zone that is
    being fitted.
    """

def replay(
    scenario: Source,
    *,
    fitted: Fit | Source | None = None,
    requests: Source | None = None,
    variants: Sequence[str] | None = None,
    disturbance: bool = True,
    draws: int = 100,
    threads: int | None = None,
    files: Mapping[str, str] | None = None,
    progress: Progress = None,
) -> Replay:
    """Runs the days of the scenario's log again: as logged, with the file's settings, with variants.

    `fitted`: a fit, or a fitted scenario, whose rooms and units are taken; of a path `draws.csv` beside
    it gives the intervals. `requests`: "logged" (what was moved at site), "none" (the file's own), or
    another scenario whose log's setpoints, mode and power are followed. `disturbance`: whether the heat
    that the model does not explain is held fixed. Ctrl-C ends it after the draws that are running.
    """

def audit(
    scenario: Source,
    *,
    variant: str | None = None,
    files: Mapping[str, str] | None = None,
) -> dict[str, Any]:
    """What in the scenario's log contradicts the settings, as audit.json has it."""

def review(
    scenario: Source,
    *,
    files: Mapping[str, str] | None = None,
) -> dict[str, Any]:
    """What the scenario asks under `require`: what holds, what fails, what cannot be shown."""

def explain(word: str) -> list[dict[str, Any]]:
    """What a word means: a key, a code, an outcome, an event, a figure, a term."""

def starter(unit: str = "C") -> str:
    """The text of a commented scenario to begin with."""

def schema() -> dict[str, Any]:
    """The JSON Schema of the scenario file."""
