"""Which critical values do several differences have together, drawn at random without residuum?

In: tests/data/anova_coagulation.csv and an invented layout, the same as in the tests of src/regression/comparisons.
Out: tests/data/comparisons.json: quantiles of the largest |t| and one chance, from 40 million multivariate t draws
(seeded; relative standard error of a quantile about 1e-4).
This script never reads anything that residuum wrote.

Run it with the versions in requirements.txt:

    python tests/check-scripts/comparisons.py
"""

import json
from pathlib import Path

import numpy as np
import pandas as pd

DATA = Path(__file__).resolve().parents[1] / "data"
DRAWS, CHUNK = 40_000_000, 1_000_000


def largest(columns, contrasts, residual_df, seed):
    """The largest |t| of each draw."""
    covariance = contrasts @ np.linalg.inv(columns.T @ columns) @ contrasts.T
    deviations = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(deviations, deviations)
    values, vectors = np.linalg.eigh(correlation)
    root = vectors * np.sqrt(np.clip(values, 0.0, None))
    root = root[:, values > 1e-10]
    generator = np.random.default_rng(seed)
    found = []
    for _ in range(DRAWS // CHUNK):
        errors = root @ generator.standard_normal((root.shape[1], CHUNK))
        scale = np.sqrt(generator.chisquare(residual_df, CHUNK) / residual_df)
        found.append((np.abs(errors).max(axis=0) / scale).astype(np.float32))
    return np.concatenate(found)


def differences(levels, width, baseline_only):
    """Rows that take one level's indicator minus another's; the columns hold an indicator for each level first."""
    rows = []
    for against in range(1 if baseline_only else levels):
        for level in range(against + 1, levels):
            row = np.zeros(width)
            row[level], row[against] = 1.0, -1.0
            rows.append(row)
    return np.array(rows)


def main():
    result = {"made_by": "tests/check-scripts/comparisons.py"}
    log = pd.read_csv(DATA / "anova_coagulation.csv")
    columns = np.column_stack([(log["diet"] == diet).to_numpy(float) for diet in "ABCD"])
    response = log["coagulation_time"].to_numpy(float)
    draws = largest(columns, differences(4, 4, False), 20, 1)
    result["coagulation_pairs_critical"] = float(np.quantile(draws, 0.95))
    means = np.linalg.solve(columns.T @ columns, columns.T @ response)
    mean_square = ((response - columns @ means) ** 2).sum() / 20
    sizes = columns.sum(axis=0)
    t = abs(means[3] - means[1]) / np.sqrt(mean_square * (1 / sizes[3] + 1 / sizes[1]))
    result["coagulation_p_of_d_against_b"] = float((draws >= t).mean())

    groups = list("abcdabcdddca")
    amount = np.array([0.1, 0.5, 0.2, 0.9, 0.4, 0.3, 0.8, 0.7, 0.6, 0.2, 0.1, 0.9])
    columns = np.column_stack([[float(g == name) for g in groups] for name in "abcd"] + [amount])
    for name, baseline_only in (("pairs", False), ("baseline", True)):
        draws = largest(columns, differences(4, 5, baseline_only), 12 - 5, 2)
        result[f"invented_{name}_critical"] = float(np.quantile(draws, 0.95))
    (DATA / "comparisons.json").write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
