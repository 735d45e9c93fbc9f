"""How many runs pass until a control chart flags, worked out without residuum?

In: settings of the charts, and run lengths of published tables as recalled from memory.
Out: tests/data/run_lengths.json: mean run lengths from integral equations, solved on Gauss-Legendre nodes, beside the
published figures; and the chance at a run of each rule on neighbouring runs.
This script never reads anything that residuum wrote, and stops if a published figure does not agree.

Run it with the versions in requirements.txt:

    python tests/check-scripts/run_lengths.py
"""

import json
from itertools import permutations, product
from math import factorial, sqrt
from pathlib import Path

import numpy as np
import scipy
from scipy.stats import norm

RESULT = Path(__file__).resolve().parent.parent / "data" / "run_lengths.json"

# Nodes of the integral equations; doubling them moves no result by more than 1e-9 of it.
NODES = 160

# Weight, limits, then shift in standard deviations and printed mean run length. Lucas and Saccucci 1990, as printed in
# Montgomery, Introduction to Statistical Quality Control, table "Average run lengths for several EWMA control schemes".
SHIFTS = [0, 0.25, 0.5, 0.75, 1, 1.5, 2, 2.5, 3, 4]
EWMA = [
    (0.40, 3.054, "500 224 71.2 28.4 14.3 5.9 3.5 2.5 2.0 1.4".split()),
    (0.25, 2.998, "500 170 48.2 20.1 11.1 5.5 3.6 2.7 2.3 1.7".split()),
    (0.20, 2.962, "500 150 41.8 18.2 10.5 5.5 3.7 2.9 2.4 1.9".split()),
    (0.10, 2.814, "500 106 31.3 15.9 10.3 6.1 4.4 3.4 2.9 2.2".split()),
    (0.05, 2.615, "500 84.1 28.8 16.4 11.4 7.1 5.2 4.2 3.5 2.7".split()),
]
# Two-sided cumulative sums, reference 0.5. Same book, table for h = 4 and h = 5; ISO 7870-4 has the same schemes.
CUSUM = [
    (0.5, 4.0, "168 74.2 26.6 13.3 8.38 4.75 3.34 2.62 2.19 1.71".split()),
    (0.5, 5.0, "465 139 38.0 17.0 10.4 5.75 4.01 3.11 2.57 2.01".split()),
]
# The usual settings of `[drift]`, for which nothing is printed: limits that follow the exact width.
EXACT = [(0.3, 3.0), (0.2, 2.962), (0.1, 2.814)]

X, W = np.polynomial.legendre.leggauss(NODES)


def ewma_steady(lam, limits, shift):
    """Mean run lengths from each node between steady limits, and the nodes with their weights."""
    half = limits * sqrt(lam / (2 - lam))
    nodes, weights = half * X, half * W
    kernel = norm.pdf((nodes[None, :] - (1 - lam) * nodes[:, None]) / lam - shift) / lam
    lengths = np.linalg.solve(np.eye(NODES) - kernel * weights[None, :], np.ones(NODES))
    first = norm.pdf(nodes / lam - shift) / lam
    return 1 + np.sum(first * weights * lengths), nodes, weights, lengths


def ewma_exact(lam, limits, shift):
    """Mean run length where the limits have the width of the statistic at each run."""
    steady = limits * sqrt(lam / (2 - lam))
    total, run = 1.0, 1
    nodes = steady * sqrt(1 - (1 - lam) ** 2) * X
    density = norm.pdf(nodes / lam - shift) / lam
    weights = steady * sqrt(1 - (1 - lam) ** 2) * W
    while (1 - lam) ** (2 * run) > 1e-15:
        total += np.sum(density * weights)
        run += 1
        half = steady * sqrt(1 - (1 - lam) ** (2 * run))
        after = half * X
        step = norm.pdf((after[:, None] - (1 - lam) * nodes[None, :]) / lam - shift) / lam
        density = step @ (density * weights)
        nodes, weights = after, half * W
    _, _, _, lengths = ewma_steady(lam, limits, shift)
    return total + np.sum(density * weights * lengths)


def cusum_one_side(reference, decision, shift):
    nodes, weights = decision * (X + 1) / 2, decision * W / 2
    # Unknowns: the length from zero, then those from the nodes.
    system = np.zeros((NODES + 1, NODES + 1))
    from_each = np.concatenate([[0.0], nodes])
    system[:, 0] = norm.cdf(reference - shift - from_each)
    system[:, 1:] = norm.pdf(nodes[None, :] + reference - from_each[:, None] - shift) * weights
    return np.linalg.solve(np.eye(NODES + 1) - system, np.ones(NODES + 1))[0]


def cusum(reference, decision, shift):
    up, down = (cusum_one_side(reference, decision, sign * shift) for sign in (1, -1))
    return 1 / (1 / up + 1 / down)


def agrees(printed, computed):
    """Within one unit of the last printed digit."""
    decimals = len(printed.partition(".")[2])
    unit = 10.0**-decimals
    if "." not in printed:
        unit = max(unit, 0.004 * float(printed))  # tables round the limits, which moves 500 by as much
    return abs(float(printed) - computed) <= 1.05 * unit


def table(rows, compute, names):
    made = []
    for first, second, printed in rows:
        for shift, figure in zip(SHIFTS, printed):
            length = float(compute(first, second, shift))
            assert agrees(figure, length), (first, second, shift, figure, length)
            made.append({names[0]: first, names[1]: second, "shift": shift, "published": figure, "computed": length})
    return made


def rules():
    """Chance that a rule holds at a run of independent normal values about a known centre."""
    orders = sum(1 for p in permutations(range(6)) if list(p) in (sorted(p), sorted(p, reverse=True)))
    tail = norm.sf(2)
    chances = {1: tail, 0: 1 - 2 * tail, -1: tail}
    two = sum(
        chances[a] * chances[b] * chances[c]
        for a, b, c in product(chances, repeat=3)
        if c != 0 and (a, b, c).count(c) >= 2
    )
    exact = {
        "9 in a row on one side": sum(1 for s in product([1, -1], repeat=9) if abs(sum(s)) == 9) / 2**9,
        "6 in a row rising or falling": orders / factorial(6),
        "2 of 3 beyond 2 SD on one side": float(two),
    }
    # The same by drawing: three standard errors of a share in four million.
    draws = np.random.default_rng(1).standard_normal((4_000_000, 9))
    last = draws[:, -3:]
    high, low = last > 2, last < -2
    steps = np.diff(draws[:, -6:], axis=1)
    drawn = {
        "9 in a row on one side": np.mean(np.all(draws > 0, axis=1) | np.all(draws < 0, axis=1)),
        "6 in a row rising or falling": np.mean(np.all(steps > 0, axis=1) | np.all(steps < 0, axis=1)),
        "2 of 3 beyond 2 SD on one side": np.mean(
            (high[:, 2] & (high.sum(axis=1) >= 2)) | (low[:, 2] & (low.sum(axis=1) >= 2))
        ),
    }
    for name, chance in exact.items():
        assert abs(drawn[name] - chance) < 3 * sqrt(chance / 4e6), (name, chance, drawn[name])
    return exact


exact = [
    {"lambda": lam, "limits": limits, "shift": shift, "computed": float(ewma_exact(lam, limits, shift))}
    for lam, limits in EXACT
    for shift in (0, 0.5, 1, 1.5, 2)
]
result = {
    "name": "Mean run lengths of control charts with known centre and standard deviation",
    "source": "EWMA: Lucas, J. M. and Saccucci, M. S., Technometrics 32 (1990) 1-12; cumulative sums: tables for "
    "reference 0.5 and decision 4 and 5, as in Montgomery, D. C., Introduction to Statistical Quality Control; "
    "ISO 7870-4 and ISO 7870-6 treat the same schemes.",
    "how_obtained": f"Published figures from memory; each agrees with the integral equation solved with numpy "
    f"{np.__version__} and scipy {scipy.__version__} (Crowder, S. V., Technometrics 29 (1987) 401-407, for EWMA; "
    "Page, E. S., Biometrika 41 (1954) 100-115, for cumulative sums) within one unit of its last digit, those "
    "without decimals to 0.4 %, because the tables round the limits.",
    "inputs": {"nodes": NODES},
    "expected": {
        "ewma_steady": table(EWMA, lambda *settings: ewma_steady(*settings)[0], ("lambda", "limits")),
        "ewma_exact": exact,
        "cusum": table(CUSUM, cusum, ("reference", "decision")),
        "rules": rules(),
    },
    "tolerance": "3 % of a mean over 10,000 simulated runs, and three standard errors",
}
RESULT.write_text(json.dumps(result, indent=1) + "\n")
print(f"wrote {RESULT.name}")
