"""What do numpy, scipy and statsmodels say about one model of several campaigns?

In: npk, a published field experiment in six blocks (tests/data/factorial_in_blocks.csv), the blocks taken as campaigns, and an
invented set of four campaigns with lots, drawn here with a fixed seed. Out: tests/data/together.json: effects and
variances by restricted likelihood, worked out here by scoring until nothing moves (dense matrices); MixedLM of statsmodels has to
say the same to 8 digits, or the script stops.
This script never reads anything that residuum wrote.

Run it with the versions in requirements.txt:

    python tests/check-scripts/together.py
"""

import csv
import json
import warnings
from pathlib import Path

import numpy as np
import pandas as pd
import statsmodels.formula.api as smf
from scipy.optimize import root
from statsmodels.regression.mixed_linear_model import MixedLMParams

DATA = Path(__file__).resolve().parents[1] / "data"

# How far the library may be off, relative.
LIBRARY = 1e-8


def indicator(labels):
    levels = sorted(set(labels))
    return np.array([[float(label == level) for level in levels] for label in labels])


def reml(y, X, blocks):
    """Restricted likelihood with y ~ N(X b, s0 I + sum s_k Z_k Z_k'), by Fisher scoring on the variances."""
    n = len(y)
    parts = [np.eye(n)] + [Z @ Z.T for Z in blocks]
    s = np.full(len(parts), np.var(y) / len(parts))
    for _ in range(500):
        V = sum(v * part for v, part in zip(s, parts))
        Vi = np.linalg.inv(V)
        C = np.linalg.inv(X.T @ Vi @ X)
        P = Vi - Vi @ X @ C @ X.T @ Vi
        Py = P @ y
        score = np.array([-0.5 * np.trace(P @ A) + 0.5 * Py @ A @ Py for A in parts])
        information = np.array([[0.5 * np.trace(P @ A @ P @ B) for B in parts] for A in parts])
        step = np.linalg.solve(information, score)
        while np.any(s + step <= 0):
            step /= 2
        s = s + step
        if np.max(np.abs(step) / s) < 1e-14:
            break
    V = sum(v * part for v, part in zip(s, parts))
    Vi = np.linalg.inv(V)
    C = np.linalg.inv(X.T @ Vi @ X)
    return C @ X.T @ Vi @ y, s


def agree(what, ours, theirs):
    apart = np.max(np.abs(np.asarray(ours) - np.asarray(theirs)) / np.abs(np.asarray(ours)))
    print(f"{what}: {apart:.1e}")
    assert apart < LIBRARY, (what, apart)
    return float(apart)


def library(model):
    """Effects, scale and variances by MixedLM: its optimiser, then the root of its own score function.

    The optimiser stops about 1e-5 from the best variances, where the likelihood is flat to its last digits; the score is not.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fit = model.fit(reml=True, method=["bfgs", "nm", "bfgs"], gtol=1e-10, maxiter=5000)
        start = fit.params_object.get_packed(use_sqrt=True, has_fe=False)
        found = root(model.score, start, tol=1e-14, method="hybr")
        assert np.max(np.abs(found.fun)) < 1e-9, found
        best = MixedLMParams.from_packed(found.x, model.k_fe, model.k_re, True, has_fe=False)
        effects, _ = model.get_fe_params(best.cov_re, best.vcomp)
        scale = model.get_scale(effects, best.cov_re, best.vcomp)
    return effects, [scale, scale * best.cov_re[0, 0], *(scale * best.vcomp)]


def npk():
    rows = list(csv.DictReader(open(DATA / "factorial_in_blocks.csv")))
    frame = pd.DataFrame(rows).astype({"N": float, "P": float, "K": float, "yield": float})
    frame = frame.rename(columns={"yield": "y"})
    y = frame.y.to_numpy()
    N, P, K = (frame[name].to_numpy() for name in "NPK")
    X = np.column_stack([np.ones(len(y)), N, P, K, N * K])
    names = ["constant", "N", "P", "K", "N with K"]
    b, s = reml(y, X, [indicator(frame.block)])
    effects, variances = library(smf.mixedlm("y ~ N + P + K + N:K", frame, groups=frame.block))
    off = max(agree("npk effects", b, effects), agree("npk variances", s, variances))
    return {
        "terms": dict(zip(names, b)),
        "sd": {"run to run": s[0] ** 0.5, "campaign": s[1] ** 0.5},
        "library_agrees": off < LIBRARY,
    }


def invented():
    """Four campaigns with two or three lots each, on one scatter."""
    random = np.random.default_rng(20261201)
    rows = []
    for campaign, (runs, lots) in enumerate([(11, 2), (14, 3), (12, 3), (15, 3)]):
        middle = 70 + 2.5 * random.standard_normal()
        of_lots = 1.2 * random.standard_normal(lots)
        for run in range(runs):
            lot = int(random.integers(lots))
            heating = ["muffle", "hob", "kiln"][int(random.integers(3))]
            excess = float(random.integers(10, 121))
            y = middle + of_lots[lot] + {"muffle": 0, "hob": -3, "kiln": 1}[heating]
            y += 0.04 * excess + 1.1 * random.standard_normal()
            rows.append([f"C{campaign + 1}", f"L{lot + 1}", heating, excess, round(float(y), 2)])
    frame = pd.DataFrame(rows, columns=["campaign", "lot", "heating", "excess", "y"])
    y = frame.y.to_numpy()
    hob, kiln = ((frame.heating == level).astype(float) for level in ["hob", "kiln"])
    X = np.column_stack([np.ones(len(y)), hob, kiln, frame.excess])
    names = ["constant", "heating: hob", "heating: kiln", "excess"]
    within = frame.campaign + frame.lot
    b, s = reml(y, X, [indicator(frame.campaign), indicator(within)])
    effects, variances = library(
        smf.mixedlm(
            "y ~ C(heating, Treatment('muffle')) + excess",
            frame,
            groups=frame.campaign,
            re_formula="1",
            vc_formula={"lot": "0 + C(lot)"},
        )
    )
    off = max(agree("invented effects", b, effects), agree("invented variances", s, variances))
    return {
        "rows": rows,
        "terms": dict(zip(names, b)),
        "sd": {"run to run": s[0] ** 0.5, "campaign": s[1] ** 0.5, "lot": s[2] ** 0.5},
        "library_agrees": off < LIBRARY,
    }


result = {
    "source": "npk: Yates, F., The Design and Analysis of Factorial Experiments, 1937; the other set is invented",
    "how_obtained": "restricted likelihood by scoring with numpy; MixedLM of statsmodels, its score solved for zero, agrees to 1e-8 on every effect and variance",
    "npk": npk(),
    "invented": invented(),
}
(DATA / "together.json").write_text(json.dumps(result, indent=1) + "\n")
