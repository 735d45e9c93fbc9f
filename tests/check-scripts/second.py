"""What the runs of an invented campaign give of a second element, and what that adds to the gain of residue, worked out without residuum.

In: tests/data/second/, invented logs of copper and nickel out of sludge; the atomic weights in tests/data.
Out: tests/data/second.json: theory, product, yield and what the residue took out of the nickel of each run with their standard
uncertainties, propagated by the package `uncertainties`; what the nickel salt brings per gram of feed, fitted by restricted
likelihood with lots as a random block (dense matrices of `measured_fit.py`), at the middle ratio charged.
This script never reads anything that residuum wrote.

    python tests/check-scripts/second.py
"""

import json
import tomllib

import numpy as np
import pandas as pd
from uncertainties import ufloat

from bluestone_statsmodels import DATA, atoms
from bluestone_uncertainties import atomic_weights
from measured_fit import Restricted, indicators, small_sample

FOLDER = DATA / "second"


def read(name):
    return pd.read_csv(FOLDER / name).rename(columns=lambda heading: heading.split(" / ")[0])


def solved(problem, start):
    """Variances from run to run and between lots; lots do not differ where the score of theirs is negative at zero."""
    alone = Restricted(problem.x, problem.y, problem.parts[:1], problem.known)
    bound = np.append(alone.solve([start]), 0.0)
    return bound if problem.scores(bound)[1] < 0.0 else problem.solve([start, start])


def main():
    plan = tomllib.loads((FOLDER / "campaign.toml").read_text(encoding="utf-8"))
    second = plan["second"]["Ni"]
    weights = atomic_weights()
    # A fraction may be stated in %.
    stated = {
        name: float(text.split()[0]) / (100.0 if text.endswith("%") else 1.0)
        for name, text in plan["uncertainty"].items()
    }

    def molar_mass(formula):
        return sum(count * weights[symbol] for symbol, count in atoms(formula).items())

    per_feed = molar_mass(second["product"]) / molar_mass("Ni")
    lots = read("lots.csv").set_index("lot") / [1.0, 1.0, 100.0, 100.0]
    lots = {lot: ufloat(row["Ni_assay"], row["u_Ni_assay"]) for lot, row in lots.iterrows()}
    residues = read("residues.csv").set_index("run")
    left = {
        run: (ufloat(row["mass"], stated["residue_mass"]), ufloat(row["Ni_assay"], stated["residue_assay"]))
        for run, row in residues.iterrows()
    }
    runs = read("runs.csv")
    result = []
    brought = []
    for row in runs.itertuples():
        feed = ufloat(row.feed_mass, stated["feed_mass"])
        theory = per_feed * feed * lots[row.lot]
        if row.residue_mass > 0:
            theory = theory + per_feed * ufloat(row.residue_mass, stated["residue_mass"]) * left[row.residue_from][1]
        purity = ufloat(float(row.Ni_purity.split()[0]) / 100.0, stated["purity"])
        product = ufloat(row.Ni_mass, stated["crop_mass"]) * purity
        mass, assay = left[row.run]
        figures = {
            "theory": theory,
            "product": product,
            "yield": product / theory,
            "residue": per_feed * mass * assay / theory,
            "unaccounted": 1 - product / theory - per_feed * mass * assay / theory,
        }
        result.append(
            {"run": row.run} | {name: {"value": of.nominal_value, "u": of.std_dev} for name, of in figures.items()}
        )
        brought.append(product.nominal_value * float(second["price"].split()[0]) / 1000.0 / row.feed_mass)
    ratio = (runs["residue_mass"] / runs["feed_mass"]).to_numpy()
    charged = float(np.median(ratio[ratio > 0]))
    cold = (runs["acid"] == "cold").to_numpy(float)
    response = np.array(brought)
    groups = indicators(list(runs["lot"]))
    columns = np.column_stack([np.ones(len(runs)), ratio, cold])
    parts = [np.eye(len(runs)), groups @ groups.T]
    problem = Restricted(columns, response, parts, np.zeros((len(runs), len(runs))))
    variances = solved(problem, response.var() / 4.0)
    coefficients, *_ = small_sample(problem, variances, {})
    written = {
        "source": "invented logs in tests/data/second",
        "how_obtained": "tests/check-scripts/second.py with numpy, pandas and uncertainties",
        "runs": result,
        "ratio": charged,
        # The gain is that of a run of the mean feed.
        "extra": charged * float(coefficients[1]) * float(runs["feed_mass"].mean()),
        "brought": sum(of["product"]["value"] for of in result) * float(second["price"].split()[0]) / 1000.0,
    }
    (DATA / "second.json").write_text(json.dumps(written, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
