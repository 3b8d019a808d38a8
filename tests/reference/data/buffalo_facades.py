"""Sums of sun and sky onto the faces of a building, by month, below the sky of Perez and others 1990.

Made with pvlib 0.16.1, pandas 3.1.1 and numpy 2.4.6 (Python 3) from buffalo.epw:

    pip install pvlib==0.16.1
    gunzip -c ../../data/buffalo_epw.gz > buffalo.epw
    python buffalo_facades.py buffalo.epw > buffalo_facades.csv

Each row of the file is about the hour that ends at its stamp. The sun of an hour stands where it
does in the middle of that part of the hour in which it is up (the usual way with hourly files).
Columns: kWh/m2; `iso_` is the isotropic sky in place of Perez's. Ground reflectance 0.2.
"""
import sys
import numpy as np
import pandas as pd
import pvlib

FACES = {"horizontal": (0, 0), "north": (90, 0), "east": (90, 90), "south": (90, 180), "west": (90, 270)}

lines = open(sys.argv[1]).read().splitlines()
place = lines[0].split(",")
latitude, longitude, offset = float(place[6]), float(place[7]), float(place[8])
rows = [line.split(",") for line in lines[8:]]
ends = pd.DatetimeIndex(
    [pd.Timestamp(2023, int(r[1]), int(r[2])) + pd.Timedelta(hours=int(r[3])) for r in rows]
)
ghi, dni, dhi = (np.array([float(r[c]) for r in rows]) for c in (13, 14, 15))
# Twelve instants an hour tell which part of it the sun is up in.
parts = np.arange(2.5, 60, 5)
up = np.zeros((len(ends), len(parts)))
for k, minute in enumerate(parts):
    at = (ends - pd.Timedelta(hours=1) + pd.Timedelta(minutes=float(minute))).tz_localize("UTC") - pd.Timedelta(hours=offset)
    up[:, k] = pvlib.solarposition.spa_python(at, latitude, longitude)["elevation"].to_numpy() > 0
middle = np.where(up.sum(axis=1) > 0, (up * parts).sum(axis=1) / np.maximum(up.sum(axis=1), 1), 30.0)
at = (ends - pd.Timedelta(hours=1) + pd.to_timedelta(middle, unit="min")).tz_localize("UTC") - pd.Timedelta(hours=offset)
sun = pvlib.solarposition.spa_python(at, latitude, longitude)
extra = pvlib.irradiance.get_extra_radiation(at)
mass = pvlib.atmosphere.get_relative_airmass(sun["apparent_zenith"].clip(upper=90))
month = np.array([(e - pd.Timedelta(hours=1)).month for e in ends])
out = {}
for face, (tilt, azimuth) in FACES.items():
    for model, name in (("perez", face), ("isotropic", "iso_" + face)):
        total = pvlib.irradiance.get_total_irradiance(
            tilt, azimuth, sun["apparent_zenith"], sun["azimuth"], dni, ghi, dhi,
            dni_extra=extra, airmass=mass, albedo=0.2, model=model,
        )["poa_global"].fillna(0).to_numpy()
        out[name] = [total[month == m].sum() / 1000 for m in range(1, 13)]
frame = pd.DataFrame(out, index=pd.Index(range(1, 13), name="month"))
frame.round(4).to_csv(sys.stdout)
