"""What do statsmodels and scipy say about two fits, and about candidate terms?

In: tests/data/regression_ammonia.csv, and an invented log of 24 runs that stands below and in the tests of
src/regression/diagnostics. Out: tests/data/diagnostics.json: figures of the diagnostics and of the choice of terms.
This script never reads anything that residuum wrote.

Run it with the versions in requirements.txt:

    python tests/check-scripts/diagnostics.py
"""

import json
from itertools import combinations
from pathlib import Path

import numpy as np
import pandas as pd
import statsmodels.api as sm
from scipy import stats
from statsmodels.stats.diagnostic import het_breuschpagan
from statsmodels.stats.outliers_influence import OLSInfluence, variance_inflation_factor
from statsmodels.stats.stattools import durbin_watson

DATA = Path(__file__).resolve().parents[1] / "data"

# Invented: a choice of three levels and two amounts, with pairs of repeats.
HEATING = ["muffle", "hob", "torch"] * 8
OXIDANT = [20, 20, 20, 60, 60, 60, 100, 100, 100, 40, 40, 40] * 2
RATIO = [0.0, 0.3, 0.1, 0.2, 0.0, 0.5, 0.4, 0.2, 0.0, 0.6, 0.1, 0.3] * 2
RESPONSE = [
    70.7, 67.0, 60.7, 76.3, 70.4, 66.6, 78.2, 72.7, 67.9, 76.0, 68.7, 64.3,
    71.5, 66.2, 62.0, 75.7, 71.7, 65.5, 79.1, 73.8, 66.7, 74.8, 69.4, 67.1,
]


def coded(values):
    """Centred on the mid-range and scaled to [-1, 1]."""
    values = np.asarray(values, float)
    low, high = values.min(), values.max()
    return (values - (low + high) / 2) / ((high - low) / 2)


def figures(name, response, columns, plain=None):
    """Every figure of one fit; the first column is the constant."""
    fit = sm.OLS(response, columns).fit()
    influence = OLSInfluence(fit)
    residuals = fit.resid
    lm, lm_p, _, _ = het_breuschpagan(residuals, columns)
    shapiro = stats.shapiro(residuals)
    unit = columns / np.linalg.norm(columns, axis=0)
    _, sizes, vectors = np.linalg.svd(unit, full_matrices=False)
    parts = (vectors / sizes[:, None]) ** 2
    shares = parts / parts.sum(axis=0)
    # statsmodels states the condition of the columns as given: the largest index.
    largest = sm.OLS(response, unit).fit().condition_number
    assert abs(largest / (sizes[0] / sizes[-1]) - 1) < 1e-9
    return {
        f"{name}_studentised": influence.resid_studentized_external.tolist(),
        f"{name}_leverage": influence.hat_matrix_diag.tolist(),
        f"{name}_cook": influence.cooks_distance[0].tolist(),
        f"{name}_bonferroni_p": float(fit.outlier_test(method="bonf")[:, 2].min()),
        f"{name}_breusch_pagan": float(lm),
        f"{name}_breusch_pagan_p": float(lm_p),
        f"{name}_durbin_watson": float(durbin_watson(residuals)),
        f"{name}_shapiro_w": float(shapiro.statistic),
        f"{name}_shapiro_p": float(shapiro.pvalue),
        f"{name}_inflation": [float(variance_inflation_factor(columns, j)) for j in range(1, columns.shape[1])],
        f"{name}_condition_indices": (sizes[0] / sizes).tolist(),
        f"{name}_last_shares": shares[-1].tolist(),
    }


def about_zero(columns, j):
    """Share of a column that the others explain, about zero: variance_inflation_factor itself goes about the mean here."""
    others = np.delete(columns, j, axis=1)
    return sm.OLS(columns[:, j], others).fit().rsquared


def corrected_aic(response, columns):
    """-2 ln L + 2K + 2K(K + 1)/(n - K - 1); K counts the coefficients and the scatter (Hurvich and Tsai 1989)."""
    fit = sm.OLS(response, columns).fit()
    n, count = columns.shape
    parameters = count + 1
    return float(-2 * fit.llf + 2 * parameters + 2 * parameters * (parameters + 1) / (n - parameters - 1))


def left_out_sd(response, columns):
    """Root mean square error of each run predicted from the others, fitted without it one by one."""
    errors = []
    for run in range(len(response)):
        keep = np.arange(len(response)) != run
        beta = np.linalg.lstsq(columns[keep], response[keep], rcond=None)[0]
        errors.append(response[run] - columns[run] @ beta)
    return float(np.sqrt(np.mean(np.square(errors))))


def invented():
    """Constant, two levels, two amounts and a square, all coded."""
    heating = np.array(HEATING)
    oxidant, ratio = coded(OXIDANT), coded(RATIO)
    hob, torch = (heating == "hob").astype(float), (heating == "torch").astype(float)
    return np.array(RESPONSE), {"constant": np.ones(24), "hob": hob, "torch": torch, "oxidant": oxidant, "ratio": ratio}


def main():
    result = {"made_by": "tests/check-scripts/diagnostics.py"}
    plant = pd.read_csv(DATA / "regression_ammonia.csv")
    amounts = [coded(plant[name]) for name in ("air_flow", "water_temp", "acid_conc")]
    ammonia = np.column_stack([np.ones(len(plant)), *amounts])
    result |= figures("ammonia", plant["stack_loss"].to_numpy(float), ammonia)

    # The same plant through the origin: amounts are scaled only, and the squared residuals get a free mean.
    origin = np.column_stack([plant[name].to_numpy(float) for name in ("air_flow", "water_temp", "acid_conc")])
    fit = sm.OLS(plant["stack_loss"].to_numpy(float), origin).fit()
    lm, _, _, _ = het_breuschpagan(fit.resid, sm.add_constant(origin))
    result |= {
        "origin_inflation": [float(1 / (1 - about_zero(origin, j))) for j in range(3)],
        "origin_breusch_pagan": float(lm),
        "origin_cook": OLSInfluence(fit).cooks_distance[0].tolist(),
    }

    response, parts = invented()
    square = parts["oxidant"] ** 2
    columns = np.column_stack([*parts.values(), square])[:, [0, 1, 2, 3, 5, 4]]
    result |= figures("invented", response, columns)
    # Repeats: the second twelve runs repeat the first; the one-way table over the twelve settings.
    settings = np.arange(24) % 12
    repeats = sm.OLS(response, (settings[:, None] == np.arange(12)).astype(float)).fit()
    f, p, _ = repeats.compare_f_test(sm.OLS(response, columns).fit())
    result |= {"invented_lack_of_fit": float(f), "invented_lack_of_fit_p": float(p)}
    # The same in three lots of four settings each, which differ by whole points: repeats share their lot, and lots are terms.
    lots = (np.arange(24) % 12 // 4)[:, None] == np.arange(3)
    in_lots = response + lots @ np.array([0.0, 4.0, -3.0])
    repeats = sm.OLS(in_lots, (settings[:, None] == np.arange(12)).astype(float)).fit()
    f, p, _ = repeats.compare_f_test(sm.OLS(in_lots, np.column_stack([columns, lots[:, 1:]])).fit())
    result |= {"lots_lack_of_fit": float(f), "lots_lack_of_fit_p": float(p)}
    time = np.arange(24)
    result["invented_time"] = max(
        (float(stats.pearsonr(column, time).statistic) for column in
         (parts["hob"], parts["torch"], 1 - parts["hob"] - parts["torch"], parts["oxidant"], parts["ratio"])),
        key=abs,
    )

    # Which effects are judged otherwise without one run: F tests by comparing nested fits.
    def matters(keep):
        full = sm.OLS(response[keep], columns[keep]).fit()
        out = {}
        for effect, dropped in (("heating", [1, 2]), ("oxidant", [3, 4]), ("ratio", [5])):
            rest = [j for j in range(6) if j not in dropped]
            out[effect] = bool(full.compare_f_test(sm.OLS(response[keep], columns[keep][:, rest]).fit())[1] < 0.05)
        return out

    everything = matters(np.ones(24, bool))
    result["invented_decisions"] = " ".join(
        f"{run + 1}:{effect}:{'no' if everything[effect] else 'yes'}"
        for run in range(24)
        for effect, after in matters(np.arange(24) != run).items()
        if after != everything[effect]
    )

    # Candidates beside heating and oxidant: ratio, oxidant squared, heating with oxidant, heating with ratio.
    base = np.column_stack([parts[name] for name in ("constant", "hob", "torch", "oxidant")])
    further = {
        "ratio": np.column_stack([parts["ratio"]]),
        "oxidant to the 2": np.column_stack([square]),
        "heating with oxidant": np.column_stack([parts["hob"] * parts["oxidant"], parts["torch"] * parts["oxidant"]]),
        "heating with ratio": np.column_stack([parts["hob"] * parts["ratio"], parts["torch"] * parts["ratio"]]),
    }
    ranked = []
    for size in range(5):
        for chosen in combinations(further, size):
            if "heating with ratio" in chosen and "ratio" not in chosen:
                continue
            design = np.column_stack([base, *(further[name] for name in chosen)])
            ranked.append((corrected_aic(response, design), left_out_sd(response, design), " + ".join(chosen)))
    ranked.sort()
    result["candidates_terms"] = "|".join(terms for _, _, terms in ranked)
    result["candidates_aicc"] = [aicc for aicc, _, _ in ranked]
    result["candidates_left_out_sd"] = [sd for _, sd, _ in ranked]

    # Shapiro-Wilk at each branch of the approximation.
    values = np.array([2.1, 3.4, 1.9, 8.8, 2.6, 3.1, 2.2, 4.0, 2.9, 3.3, 2.4, 5.1, 2.0])
    for count in (3, 4, 5, 6, 11, 12, 13):
        found = stats.shapiro(values[:count])
        result |= {f"shapiro_{count}_w": float(found.statistic), f"shapiro_{count}_p": float(found.pvalue)}
    text = json.dumps(result, indent=1)
    # Lists stand on one line each.
    compact = json.dumps(result, separators=(",", ":")).replace(',"', ',\n"')
    assert json.loads(compact) == json.loads(text)
    (DATA / "diagnostics.json").write_text(compact + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
