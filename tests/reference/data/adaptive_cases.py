"""Running means of the outdoor temperature and the adaptive bands at them, computed with
pythermalcomfort 4.8.1 (MIT licence): `pip install pythermalcomfort==4.8.1; python adaptive_cases.py >
adaptive_cases.csv`. A course of daily means, invented; of each day the running mean of the days before
it with the weight 0.8 of EN 16798-1:2019, the first day standing for 60 days before the course, and
where the standard is meant for it the limits of its categories I, II and III at that running mean; C,
to one decimal.
"""
from pythermalcomfort.environment import running_mean_outdoor_temperature
from pythermalcomfort.models import adaptive_en

DAYS = [11.0, 9.5, 13.0, 17.5, 21.0, 24.5, 26.0, 27.5, 29.0, 31.0, 33.0, 34.0, 34.0, 33.5, 33.0,
        28.0, 19.0, 12.0, 8.0, 5.0, 3.0, 2.0]
print("mean,running_mean,low_i,high_i,low_ii,high_ii,low_iii,high_iii")
for day, mean in enumerate(DAYS):
    before = DAYS[:day][::-1] + [DAYS[0]] * 60
    running = float(running_mean_outdoor_temperature(before, alpha=0.8))
    found = adaptive_en(tdb=22, tr=22, t_running_mean=running, v=0.1)
    limits = [getattr(found, f"tmp_cmf_cat_{it}_{end}") for it in ("i", "ii", "iii") for end in ("low", "up")]
    print(",".join(f"{float(it):.6g}" for it in [mean, running, *limits]))
