"""What lies between the points of a solubility table, worked out without residuum?

In: src/crystallisation/solubility.csv (the table, which is data) and a few invented tables of own points.
Out: tests/data/solubility_pchip.json: mass fractions between the points from scipy's PchipInterpolator, each piece
between two changes of the solid on its own, and the digest of the table that they were computed from.
This script never reads anything that residuum wrote.

Run it with the versions in requirements.txt after every change of the table:

    python tests/check-scripts/solubility_pchip.py
"""

import csv
import hashlib
import json
from pathlib import Path

import numpy as np
import scipy
from scipy.interpolate import PchipInterpolator

HERE = Path(__file__).resolve().parent
TABLE = HERE.parents[1] / "src" / "crystallisation" / "solubility.csv"
RESULT = HERE.parent / "data" / "solubility_pchip.json"

# Shares of each step at which the curve is compared.
SHARES = [0.03, 0.37, 0.77]

# Own points: temperature in degC, g of anhydrous salt on 100 g of water. Invented, to reach every branch: uneven
# steps, two points, three points, a flat step, a turn beside an end, an end slope that must be cut back.
OWN_POINTS = {
    "two points": [(0, 14.2), (20, 20.1)],
    "three points": [(0, 2.8), (20, 6.4), (60, 22.1)],
    "uneven steps": [(-5, 3.0), (0, 3.1), (18, 9.0), (19, 9.7), (60, 55.0), (95, 240.0)],
    "flat step": [(0, 10.0), (10, 20.0), (20, 20.0), (30, 30.0)],
    "turns": [(0, 41.0), (10, 47.0), (25, 58.0), (50, 75.0), (60, 72.0), (80, 66.0)],
    "end cut to zero": [(0, 10.0), (10, 11.0), (20, 60.0), (30, 61.0), (31, 90.0)],
    "end cut to three steps": [(0, 40.0), (20, 41.0), (21, 20.0), (40, 10.0), (41, 40.0), (70, 41.0)],
}


def between(points):
    """Mass fractions at the shares of each step, from points (temperature, mass fraction)."""
    temperatures, fractions = np.array(points, dtype=float).T
    places = np.concatenate([a + (b - a) * np.array(SHARES) for a, b in zip(temperatures, temperatures[1:])])
    curve = PchipInterpolator(temperatures, fractions, extrapolate=False)
    return [{"temperature": float(t), "mass_fraction": float(curve(t))} for t in places]


def table_pieces():
    """Pieces of each salt's curve, as lists of (temperature, mass fraction)."""
    with TABLE.open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    salts = {}
    for row in rows:
        pieces = salts.setdefault(row["formula"], [[]])
        pieces[-1].append((float(row["temperature_degC"]), float(row["mass_percent"]) / 100))
        if row["change_after"]:
            pieces.append([])
    return salts


def one_case_a_line(result):
    """JSON that stays short and shows what changed: each case of a list on a line of its own."""
    parts = []
    for key, value in result.items():
        text = json.dumps(value)
        if isinstance(value, list):
            text = "[\n" + ",\n".join(json.dumps(case) for case in value) + "\n]"
        parts.append(f"{json.dumps(key)}: {text}")
    return "{\n" + ",\n".join(parts) + "\n}"


def main():
    result = {
        "source": f"scipy {scipy.__version__}, interpolate.PchipInterpolator",
        "table_sha256": hashlib.sha256(TABLE.read_bytes()).hexdigest(),
        "table": [
            {"formula": salt, "between": [read for piece in pieces if len(piece) > 1 for read in between(piece)]}
            for salt, pieces in table_pieces().items()
        ],
        "own_points": [
            {
                "name": name,
                "points": [{"temperature": t, "per_100_g": s} for t, s in points],
                "between": between([(t, s / (100 + s)) for t, s in points]),
            }
            for name, points in OWN_POINTS.items()
        ],
    }
    RESULT.write_text(one_case_a_line(result) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
