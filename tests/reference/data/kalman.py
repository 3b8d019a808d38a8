"""Log-likelihood and smoothed states of a zone's model by a general-purpose library.

Wrote `kalman.json` with statsmodels 0.15.0 (https://www.statsmodels.org, BSD-3-Clause), class
`statespace.mlemodel.MLEModel`:

    python -m venv env; env/bin/pip install statsmodels; env/bin/python kalman.py > kalman.json
"""
import json

import numpy as np
from statsmodels.tsa.statespace.mlemodel import MLEModel

transition = np.array([[0.93, 0.055, 0.0008], [0.006, 0.9915, 0.000004], [0.0, 0.0, 0.97]])
per_watt = np.array([[0.0008, 0.000028], [0.000004, 0.00005], [0.0, 0.0]])
heat_in_step, slow, reading_sd = 60.0, 150.0, 0.05
start_sd = np.array([1.0, 3.0, slow])

count = 60
plant = np.array([2500.0 if k % 12 < 5 else 0.0 for k in range(count)])
flows = np.stack([plant + 120.0, np.full(count, 900.0)])
readings = np.array([20.3 + 0.9 * np.sin(k / 7.0) + 0.3 * np.cos(1.3 * k) for k in range(count)])
readings = np.round(readings, 2)
start = np.array([readings[0], readings[0], 0.0])
readings[[5, 6, 23, 40, 41, 42]] = np.nan

model = MLEModel(readings, k_states=3)
model["design"] = np.array([[1.0, 0.0, 0.0]])
model["transition"] = transition
model["selection"] = np.eye(3)
heat = heat_in_step**2 * np.outer(per_watt[:, 0], per_watt[:, 0])
heat[2, 2] += slow**2 * (1 - 0.97**2)
model["state_cov"] = heat
model["obs_cov"] = np.array([[reading_sd**2]])
model["state_intercept"] = per_watt @ flows
model.initialize_known(start, np.diag(start_sd**2))
result = model.ssm.smooth()
print(json.dumps({
    "transition": transition.tolist(), "per_watt": per_watt.tolist(),
    "heat_in_step": heat_in_step, "slow": slow, "reading_sd": reading_sd,
    "start_sd": start_sd[:2].tolist(),
    "flows": flows.T.tolist(),
    "readings": [None if np.isnan(x) else x for x in readings],
    "log_likelihood": float(result.llf_obs.sum()),
    "smoothed": result.smoothed_state.T.tolist(),
}))
