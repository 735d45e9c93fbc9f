"""What does statsmodels say about the consensus of several estimates?

In: nine results of one interlaboratory evaluation (Kacker, R. N., Metrologia 41 (2004) 132-136, as the tests of statsmodels hold
them, with the printed standard deviation between laboratories), and two invented sets of assays. Out: tests/data/consensus.json.
This script never reads anything that residuum wrote.

Run it with the versions in requirements.txt:

    python tests/check-scripts/consensus.py
"""

import json
from pathlib import Path

import numpy as np
from scipy import optimize
from statsmodels.stats.meta_analysis import combine_effects

DATA = Path(__file__).resolve().parents[1] / "data"

SETS = {
    "kacker": (
        [61.00, 61.40, 62.21, 62.30, 62.34, 62.60, 62.70, 62.84, 65.90],
        np.sqrt([0.2025, 1.2100, 0.0900, 0.2025, 0.3844, 0.5625, 0.0676, 0.0225, 1.8225]).tolist(),
    ),
    # Assays of one lot by own titration, a supplier and a laboratory: apart, and together.
    "apart": ([0.812, 0.835, 0.797], [0.004, 0.006, 0.003]),
    "together": ([0.812, 0.815, 0.8105], [0.004, 0.006, 0.003]),
}


def paule_mandel(effects, variances):
    """The variance between, to the last digit: the library stops its iteration at 1e-5."""
    def left(between):
        weights = 1 / (variances + between)
        mean = weights @ effects / weights.sum()
        return weights @ (effects - mean) ** 2 - (len(effects) - 1)

    if left(0.0) <= 0:
        return 0.0
    return optimize.brentq(left, 0.0, 100 * np.var(effects), xtol=1e-18, rtol=1e-15)


def one(values, u):
    effects, variances = np.array(values), np.array(u) ** 2
    dl = combine_effects(effects, variances, method_re="chi2", use_t=True)
    pm = combine_effects(effects, variances, method_re="iterated", use_t=True, atol=1e-14, maxiter=1000)
    between = paule_mandel(effects, variances)
    assert abs(max(pm.tau2, 0) - between) <= 1e-8 * max(between, 1e-6), (pm.tau2, between)
    exact = {
        "value": pm.mean_effect_re,
        "u": pm.sd_eff_w_re,
        # Without a variance between, the factor of Hartung and Knapp may fall below 1; residuum never takes it below.
        "u_hartung_knapp": pm.sd_eff_w_re_hksj,
        "half_width": float((pm.conf_int()[1][1] - pm.conf_int()[1][0]) / 2),
    }
    return {
        "values": values,
        "u": u,
        "q": dl.q,
        "der_simonian_laird": max(dl.tau2, 0),
        "paule_mandel": max(pm.tau2, 0),
        "consensus": exact,
    }


result = {name: one(*of) for name, of in SETS.items()}
# Printed in table 1 of the source, first row.
result["kacker"]["printed_paule_mandel_sd"] = "0.8399"
(DATA / "consensus.json").write_text(json.dumps(result, indent=1) + "\n")
