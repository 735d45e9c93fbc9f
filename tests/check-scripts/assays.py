"""What would repeating the assay of a lot leave of the error of an effect?

In: the atomic weights in tests/data and the invented campaign below. Out: tests/data/assays.json: the effect, its standard error
with known variances, the share of each assay in its variance, and the standard error with each assay once and twice more; and
the campaign itself. All with dense matrices of runs by runs: restricted likelihood by bisection, errors at fitted values.
This script never reads anything that residuum wrote.

    python tests/check-scripts/assays.py
"""

import csv
import json
import math
from pathlib import Path

import numpy as np

DATA = Path(__file__).resolve().parents[1] / "data"

CAMPAIGN = """[campaign]
title = "Two ways of heating over three lots"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"
lots = "lots.csv"

[factors.heating]
kind = "choice"
baseline = "muffle"

[model]
responses = ["yield"]
effects = ["heating"]
blocks = []

[uncertainty]
feed_mass = "0.1 g"
crop_mass = "0.4 g"
purity = "0.003"
"""
LOTS = {"A": (0.861, 0.004), "B": (0.842, 0.011), "C": (0.874, 0.006)}
# Run, lot, heating, feed in g, crop in g, purity.
RUNS = [
    ("H-01", "A", "muffle", 80.1, 148.9, 0.981),
    ("H-02", "A", "muffle", 79.6, 151.3, 0.968),
    ("H-03", "B", "hob", 80.4, 144.5, 0.972),
    ("H-04", "B", "hob", 80.0, 139.7, 0.975),
    ("H-05", "A", "muffle", 79.9, 146.8, 0.979),
    ("H-06", "C", "muffle", 80.2, 152.8, 0.973),
    ("H-07", "B", "hob", 80.3, 142.5, 0.987),
    ("H-08", "A", "muffle", 80.0, 152.8, 0.979),
    ("H-09", "C", "hob", 79.8, 146.6, 0.982),
    ("H-10", "B", "hob", 80.1, 146.2, 0.976),
    ("H-11", "A", "muffle", 79.7, 149.4, 0.964),
    ("H-12", "B", "hob", 80.2, 143.1, 0.978),
]


def weights():
    with open(DATA / "atomic_weights_2021.csv", encoding="utf-8") as table:
        rows = csv.DictReader(table)
        return {r["symbol"]: (float(r["abridged_standard_atomic_weight"]), float(r["uncertainty"]) / math.sqrt(3)) for r in rows}


W = weights()
PRODUCT = {"Cu": 1, "S": 1, "O": 9, "H": 10}
FEED = {"Cu": 1, "O": 1}
mass = lambda formula: sum(n * W[e][0] for e, n in formula.items())
Q = mass(PRODUCT) / mass(FEED)
# Relative errors of the theory, one for each element.
OF_ELEMENTS = [W[e][1] * (n / mass(PRODUCT) - FEED.get(e, 0) / mass(FEED)) for e, n in PRODUCT.items()]

feed = np.array([run[3] for run in RUNS])
crop = np.array([run[4] for run in RUNS])
purity = np.array([run[5] for run in RUNS])
assay = np.array([LOTS[run[1]][0] for run in RUNS])
y = crop * purity / (Q * assay * feed)
X = np.column_stack([np.ones(len(RUNS)), [float(run[2] == "hob") for run in RUNS]])


def known(at, parts={}):
    """Covariance of the measurement at these values, the error of some lots at a part of what it is."""
    relative = (0.1 / feed) ** 2 + (0.003 / purity) ** 2
    fixed = 0.4 * purity / (Q * assay * feed)
    covariance = np.diag(relative * at**2 + fixed**2)
    for lot, (value, u) in LOTS.items():
        effect = np.array([float(run[1] == lot) for run in RUNS]) * at * u / value * parts.get(lot, 1.0)
        covariance += np.outer(effect, effect)
    for error in OF_ELEMENTS:
        covariance += np.outer(at * error, at * error)
    return covariance


def solved(v):
    inverse = np.linalg.inv(v)
    phi = np.linalg.inv(X.T @ inverse @ X)
    return phi, phi @ X.T @ inverse, inverse - inverse @ X @ phi @ X.T @ inverse


def score(variance, u):
    _, _, p = solved(u + variance * np.eye(len(y)))
    py = p @ y
    return py @ py - np.trace(p)


def reml(u):
    low, high = 1e-12, 1e-2
    assert score(low, u) > 0 > score(high, u), "the variance from run to run lies between"
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if score(middle, u) > 0 else (low, middle)
    return (low + high) / 2


fitted = X @ np.linalg.lstsq(X, y, rcond=None)[0]
for _ in range(200):
    u = known(fitted)
    variance = reml(u)
    _, gain, _ = solved(u + variance * np.eye(len(y)))
    fitted = X @ gain @ y

effect = gain[1] @ y


def error(parts):
    phi, *_ = solved(known(fitted, parts) + variance * np.eye(len(y)))
    return math.sqrt(phi[1, 1])


now = error({})
out = {"campaign": CAMPAIGN, "value": effect, "error": now, "run_to_run": math.sqrt(variance), "assays": []}
for lot, (value, u_of_lot) in LOTS.items():
    touched = np.array([float(run[1] == lot) for run in RUNS])
    share = (gain[1] @ (touched * y * u_of_lot / value)) ** 2 / now**2
    left = [error({lot: math.sqrt(part)}) / now for part in (1 / 2, 1 / 3)]
    out["assays"].append({"assay": f"assay of lot {lot}", "share": share, "left": left})
out["logs"] = {
    "runs.csv": "run,lot,heating,feed_mass,crop1_mass,purity\n" + "".join(",".join(map(str, run)) + "\n" for run in RUNS),
    "lots.csv": "lot,assay,u_assay\n" + "".join(f"{lot},{a},{u}\n" for lot, (a, u) in LOTS.items()),
}
with open(DATA / "assays.json", "w", encoding="utf-8") as file:
    json.dump(out, file, indent=1, ensure_ascii=False)
    file.write("\n")
