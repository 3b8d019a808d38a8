"""Standard effective temperature at the conditions of the validation table of ANSI/ASHRAE 55-2020,
Normative Appendix D, computed with pythermalcomfort 4.8.1 (MIT licence): `pip install
pythermalcomfort==4.8.1; python set_cases.py > set_cases.csv`. Columns: air and mean radiant
temperature C, air speed m/s, relative humidity %, met, clo, and three temperatures C: `set` as that
program has it; `set_listed` with what its own notes or the standard's listing have instead (0.72 of
the body's surface radiates, with no emissivity besides; 60 minutes and not 59; 69.9 kg; skin that can
be no wetter sweats `w_max / 0.94`); `set_calm` with that and without the convection by one's own
movement in the actual room, as pythermalcomfort 1.3.2 and older listings have it.
"""
import inspect
import math
import sys

from pythermalcomfort.models import set_tmp, two_nodes_gagge
from pythermalcomfort.utilities import Postures

MODULE = sys.modules[two_nodes_gagge.__module__]
SOURCE = inspect.getsource(MODULE._gagge_two_nodes_optimized.py_func)
LISTED = [
    ("* 0.95 * sbc", "* sbc"),
    ("** 3.0 * 0.73", "** 3.0 * 0.72"),
    ("n_simulation = 1\n", "n_simulation = 0\n"),
    ("body_weight = 70 ", "body_weight = 69.9 "),
    ("p_rsw = (w_max - 0.06) / 0.94", "p_rsw = w_max / 0.94"),
]
# Its first place is that of the actual room.
CALM = [("h_cc = max(h_cc, h_c_met)", "pass")]


def changed(changes):
    text = SOURCE.replace("@jit(nopython=True, cache=True)\n", "")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    scope = {**vars(MODULE), "Postures": Postures, "math": math}
    exec(text, scope)
    return scope["_gagge_two_nodes_optimized"]


def by(function, tdb, tr, v, rh, met, clo):
    vapour = rh / 100 * math.exp(18.6686 - 4030.183 / (tdb + 235.0))
    standing = Postures.standing.value
    return function(tdb, tr, v, met, clo, vapour, 0.0, 1.8258, 101325.0, standing)[0]


BASE = dict(tdb=25, tr=25, v=0.15, rh=50, met=1.0, clo=0.5)
CASES = [{}] + [dict(tdb=t) for t in (0, 10, 15, 20, 30, 40)] + [dict(rh=r) for r in (10, 90)] + [
    dict(v=v) for v in (0.1, 0.6, 1.1, 3.0)] + [dict(tr=t) for t in (0, 10, 40)] + [
    dict(clo=c) for c in (0.1, 1, 2, 4)] + [dict(met=m) for m in (0.8, 2, 4)]
listed, calm = changed(LISTED), changed(LISTED + CALM)
print("air,mean_radiant,air_speed,humidity,met,clo,set,set_listed,set_calm")
for case in CASES:
    c = BASE | case
    found = set_tmp(**c, limit_inputs=False, round_output=False).set
    values = [float(found), by(listed, **c), by(calm, **c)]
    print(",".join([str(c[k]) for k in ("tdb", "tr", "v", "rh", "met", "clo")] + [f"{it:.4f}" for it in values]))
