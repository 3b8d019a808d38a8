"""Standard effective temperature at the conditions of the validation table of ANSI/ASHRAE 55-2020,
Normative Appendix D, computed with pythermalcomfort 4.8.1 (MIT licence): `pip install
pythermalcomfort==4.8.1; python set_cases.py > set_cases.csv`. Columns: air and mean radiant
temperature C, air speed m/s, relative humidity %, met, clo, SET C.
"""
from pythermalcomfort.models import set_tmp
BASE = dict(tdb=25, tr=25, v=0.15, rh=50, met=1.0, clo=0.5)
CASES = [{}] + [dict(tdb=t) for t in (0, 10, 15, 20, 30, 40)] + [dict(rh=r) for r in (10, 90)] + [
    dict(v=v) for v in (0.1, 0.6, 1.1, 3.0)] + [dict(tr=t) for t in (0, 10, 40)] + [
    dict(clo=c) for c in (0.1, 1, 2, 4)] + [dict(met=m) for m in (0.8, 2, 4)]
print("air,mean_radiant,air_speed,humidity,met,clo,set")
for case in CASES:
    c = BASE | case
    found = set_tmp(**c, limit_inputs=False, round_output=False).set
    print(",".join(str(c[k]) for k in ("tdb", "tr", "v", "rh", "met", "clo")) + f",{float(found):.4f}")
