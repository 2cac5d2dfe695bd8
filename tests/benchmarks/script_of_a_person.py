"""The script that a person would write instead: pandas reads a table, scipy's curve_fit fits each turn.

Run by bench_sweep on the samples of a recording; prints the coefficients of every turn as JSON.
"""

import json
import sys

import numpy as np
import pandas as pd
from scipy.optimize import curve_fit

HIGHEST = 15


def curve(phi: np.ndarray, mean: float, *coefficients: float) -> np.ndarray:
    value = np.full(len(phi), mean)
    for k in range(HIGHEST):
        value += coefficients[2 * k] * np.cos((k + 1) * phi) + coefficients[2 * k + 1] * np.sin((k + 1) * phi)
    return value


table = pd.read_csv(sys.argv[1], comment="#")
if "new" in table:
    table = table[table["new"] == 1]
# Ground that was trodden twice counts once, but for a ten-thousandth of a turn of trembling.
turned_deg = 360.0 * table["turn"] + table["angle_deg"]
table = table[turned_deg >= turned_deg.cummax() - 0.036]
turns = []
for number, turn in table.groupby("turn"):
    phi, reading = np.radians(turn["angle_deg"].to_numpy()), turn["reading_mm"].to_numpy()
    if len(turn) < 100:
        continue
    fitted, _ = curve_fit(curve, phi, reading, p0=np.zeros(1 + 2 * HIGHEST))
    turns.append({"turn": int(number), "coefficients_mm": list(fitted), "tir_raw_mm": float(np.ptp(reading))})
json.dump(turns, sys.stdout)
