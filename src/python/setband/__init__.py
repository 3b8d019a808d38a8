"""Simulates setpoint control logic of multi-zone heat-pump systems.

A scenario is a path to its file, its text (anything with a line break), or a dict of the same
structure. What comes back are dicts, Arrow tables and charts.

>>> import setband
>>> run = setband.run('''
... period: {from: 2025-04-16}
... weather: {design_day: {high: 18, range: 11}}
... zones:
...   hall: {space: {floor: 60 m2}, unit: {heating: 4 kW}, controls: {heat: 20, cool: 26}}
... ''')
>>> run.figures["heating_kwh"] > 0
True
"""

from ._setband import (
    Chart,
    Comparison,
    Fit,
    Page,
    Replay,
    Run,
    RunError,
    ScenarioError,
    Sweep,
    Table,
    __version__,
    audit,
    check,
    compare,
    explain,
    fit,
    replay,
    review,
    run,
    schema,
    starter,
    sweep,
)

__all__ = [
    "Chart",
    "Comparison",
    "Fit",
    "Page",
    "Replay",
    "Run",
    "RunError",
    "ScenarioError",
    "Sweep",
    "Table",
    "__version__",
    "audit",
    "check",
    "compare",
    "explain",
    "fit",
    "replay",
    "review",
    "run",
    "schema",
    "starter",
    "sweep",
]
