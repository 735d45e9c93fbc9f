"""What does a fit that knows its measurement give, worked out without residuum?

In: tests/data/factorial_in_blocks.csv and an invented campaign that this script writes to tests/data/measured_fit.csv.
Out: tests/data/measured_fit.json: variances by restricted likelihood, coefficients, standard errors, degrees of freedom and
tests of Kenward and Roger, leverages and leave-one-out errors, all with dense matrices of runs by runs; and one nearly
singular polynomial in exact fractions.
This script never reads anything that residuum wrote.

The variances solve the score equations of the restricted likelihood (Patterson and Thompson 1971) with scipy's root finder;
where statsmodels has the model (one random block, no known errors) its MixedLM must agree, and its GLS where the
covariance is known. The small-sample formulas are those of Kenward and Roger, Biometrics 53 (1997) 983-997, sections 2 and 3.

Run it with the versions in requirements.txt:

    python tests/check-scripts/measured_fit.py [OTHER_FOLDER_TO_WRITE_TO]
"""

import json
import sys
import warnings
from fractions import Fraction
from pathlib import Path

import numpy as np
import pandas as pd
import statsmodels.api as sm
from scipy import stats
from scipy.optimize import root
from statsmodels.regression.mixed_linear_model import MixedLMParams

DATA = Path(__file__).resolve().parent.parent / "data"
OUT = Path(sys.argv[1]) if len(sys.argv) > 1 else DATA


def campaign():
    """An invented campaign: 34 runs, unequal lots and days, errors of lot assay, titrant and burette."""
    draw = np.random.default_rng(20240611)
    lots = ["A"] * 9 + ["B"] * 4 + ["C"] * 7 + ["D"] * 3 + ["E"] * 6 + ["F"] * 5
    days = [f"day{1 + (7 * run + run // 5) % 8}" for run in range(len(lots))]
    heating = [["muffle", "hob", "torch"][(run * run + run // 3) % 3] for run in range(len(lots))]
    oxidant = [round(20 + 90 * draw.random(), 1) for _ in lots]
    assay = {lot: size for lot, size in zip("ABCDEF", [0.012, 0.017, 0.009, 0.02, 0.014, 0.011])}
    titrant = ["T1" if run < 15 else "T2" for run in range(len(lots))]
    strength = {"T1": 0.004, "T2": -0.006}
    lot_error = {lot: draw.normal() for lot in "ABCDEF"}
    lot_spread = {lot: 0.025 * draw.normal() for lot in "ABCDEF"}
    day_spread = {day: 0.03 * draw.normal() for day in sorted(set(days))}
    rows = []
    for run, lot in enumerate(lots):
        true = 0.62 + {"muffle": 0.0, "hob": -0.05, "torch": -0.02}[heating[run]] + 0.0009 * (oxidant[run] - 60)
        own_relative = round(0.004 + 0.003 * draw.random(), 5)
        own_absolute = round(0.002 + 0.004 * draw.random(), 5)
        seen = (
            true * (1 + assay[lot] * lot_error[lot])
            + lot_spread[lot]
            + day_spread[days[run]]
            + 0.015 * draw.normal()
            + own_relative * true * draw.normal()
            + own_absolute * draw.normal()
        )
        rows.append(
            {
                "run": f"r{run + 1}",
                "lot": lot,
                "day": days[run],
                "heating": heating[run],
                "oxidant": oxidant[run],
                "yield": round(seen, 4),
                "assay": assay[lot],
                "titrant": titrant[run],
                "strength": strength[titrant[run]],
                "burette": round(0.001 + 0.0001 * (run % 7), 5),
                "own_relative": own_relative,
                "own_absolute": own_absolute,
            }
        )
    return pd.DataFrame(rows)


def known_covariance(table, fitted):
    """U: assay of each lot and each titrant relative, one burette absolute, own errors on the diagonal."""
    runs = len(table)
    covariance = np.diag((table.own_relative * fitted) ** 2 + table.own_absolute**2)
    for group, size in [("lot", "assay"), ("titrant", "strength")]:
        for level in sorted(set(table[group])):
            effect = np.where(table[group] == level, table[size] * fitted, 0.0)
            covariance += np.outer(effect, effect)
    burette = table.burette.to_numpy()
    return covariance + np.outer(burette, burette) + np.zeros((runs, runs))


def indicators(values):
    levels = sorted(set(values))
    return np.array([[float(value == level) for level in levels] for value in values])


class Restricted:
    """Restricted likelihood for V = U + sum of variances times given matrices, with dense matrices."""

    def __init__(self, x, y, parts, known):
        self.x, self.y, self.parts, self.known = x, y, parts, known

    def at(self, variances):
        v = self.known + sum(size * part for size, part in zip(variances, self.parts))
        inverse = np.linalg.inv(v)
        phi = np.linalg.inv(self.x.T @ inverse @ self.x)
        projection = inverse - inverse @ self.x @ phi @ self.x.T @ inverse
        return v, inverse, phi, projection

    def scores(self, variances):
        *_, p = self.at(variances)
        py = p @ self.y
        return np.array([(py @ part @ py - np.trace(p @ part)) / 2 for part in self.parts])

    def information(self, variances):
        *_, p = self.at(variances)
        products = [p @ part for part in self.parts]
        return np.array([[np.trace(a @ b) / 2 for b in products] for a in products])

    def solve(self, start):
        """Fisher scoring to the neighbourhood, scipy's root finder, and scoring again until the steps are rounding."""

        def scored(variances, rounds):
            for _ in range(rounds):
                step = np.linalg.solve(self.information(variances), self.scores(variances))
                while np.any(variances + step <= 0):
                    step = step / 2
                variances = variances + step
            return variances, step

        near, _ = scored(np.asarray(start), 20)
        size = np.sqrt(np.diag(self.information(near)))
        found = root(lambda t: self.scores(t * near) / size, np.ones(len(near)), tol=1e-10)
        assert np.allclose(found.x, 1, atol=1e-3), found.x
        variances, step = scored(found.x * near, 60)
        assert np.all(np.abs(step) < 1e-12 * variances), step / variances
        return variances


def small_sample(problem, variances, contrasts):
    """Kenward and Roger: adjusted covariance, degrees of freedom of each coefficient, tests of the contrasts."""
    _, inverse, phi, _ = problem.at(variances)
    x = problem.x
    w = np.linalg.inv(problem.information(variances))
    count = len(variances)
    ps = [-x.T @ inverse @ part @ inverse @ x for part in problem.parts]
    qs = [
        [x.T @ inverse @ a @ inverse @ b @ inverse @ x for b in problem.parts] for a in problem.parts
    ]
    inner = sum(
        w[i, j] * (qs[i][j] - ps[i] @ phi @ ps[j]) for i in range(count) for j in range(count)
    )
    adjusted = phi + 2 * phi @ inner @ phi
    coefficients = phi @ x.T @ inverse @ problem.y

    def test(contrast):
        size = contrast.shape[1]
        theta = contrast @ np.linalg.inv(contrast.T @ phi @ contrast) @ contrast.T
        firsts = [theta @ phi @ p @ phi for p in ps]
        a1 = sum(w[i, j] * np.trace(firsts[i]) * np.trace(firsts[j]) for i in range(count) for j in range(count))
        a2 = sum(w[i, j] * np.trace(firsts[i] @ firsts[j]) for i in range(count) for j in range(count))
        b = (a1 + 6 * a2) / (2 * size)
        g = ((size + 1) * a1 - (size + 4) * a2) / ((size + 2) * a2)
        below = 3 * size + 2 * (1 - g)
        c1, c2, c3 = g / below, (size - g) / below, (size + 2 - g) / below
        mean = 1 / (1 - a2 / size)
        variance = 2 / size * (1 + c1 * b) / ((1 - c2 * b) ** 2 * (1 - c3 * b))
        rho = variance / (2 * mean**2)
        degrees = 4 + (size + 2) / (size * rho - 1)
        scale = degrees / (mean * (degrees - 2))
        value = contrast.T @ coefficients
        f = scale / size * value @ np.linalg.solve(contrast.T @ adjusted @ contrast, value)
        return f, degrees, stats.f.sf(f, size, degrees)

    degrees = [test(np.eye(len(coefficients))[:, [k]])[1] for k in range(len(coefficients))]
    return coefficients, phi, adjusted, degrees, {name: test(c) for name, c in contrasts.items()}


def record(out, name, problem, variances, labels, contrasts):
    coefficients, phi, adjusted, degrees, tests = small_sample(problem, variances, contrasts)
    for position, variance in enumerate(variances):
        out[f"{name} variance {position}"] = variance
    for k, label in enumerate(labels):
        out[f"{name} value {label}"] = coefficients[k]
        out[f"{name} unadjusted {label}"] = np.sqrt(phi[k, k])
        out[f"{name} error {label}"] = np.sqrt(adjusted[k, k])
        out[f"{name} df {label}"] = degrees[k]
    for label, (f, df, p) in tests.items():
        out[f"{name} F {label}"] = f
        out[f"{name} F df {label}"] = df
        out[f"{name} p {label}"] = p
    _, inverse, _, p = problem.at(variances)
    out[f"{name} leverage 1"] = 1 - p[0, 0] / inverse[0, 0]
    # Left out one by one, with the same variances: the value that the other runs alone expect.
    v, *_ = problem.at(variances)
    errors = []
    for run in range(len(problem.y)):
        keep = np.arange(len(problem.y)) != run
        inside = np.linalg.inv(v[np.ix_(keep, keep)])
        x = problem.x[keep]
        others = np.linalg.solve(x.T @ inside @ x, x.T @ inside @ problem.y[keep])
        errors.append(problem.y[run] - problem.x[run] @ others)
    out[f"{name} leave one out"] = float(np.sqrt(np.mean(np.square(errors))))


def agree(y, x, groups, variances, coefficients, errors):
    """MixedLM must have its best restricted likelihood where the scores are zero.

    Its optimiser stops about 1e-5 (relative) from the best variances, where the likelihood is flat to the last digits;
    started at the roots it must stay there, to six digits.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = sm.MixedLM(np.asarray(y), x, groups=groups)
        free = model.fit(reml=True, method=["powell", "bfgs"], gtol=1e-8)
        start = MixedLMParams.from_components(
            fe_params=coefficients, cov_re=np.array([[variances[1] / variances[0]]])
        )
        stays = model.fit(reml=True, start_params=start, method="bfgs", gtol=1e-7)
    for mixed, digits in [(free, 1e-4), (stays, 1e-6)]:
        assert abs(mixed.scale / variances[0] - 1) < digits
        assert abs(float(np.asarray(mixed.cov_re)[0, 0]) / variances[1] - 1) < digits
        assert np.allclose(mixed.fe_params, coefficients, rtol=digits)
    assert free.llf <= stays.llf + 1e-9
    # Its standard errors of coefficients come from the Hessian of all parameters; those for given variances are GLS.
    z = indicators(groups)
    weighted = sm.GLS(y, x, sigma=variances[0] * np.eye(len(y)) + variances[1] * z @ z.T).fit()
    assert np.allclose(weighted.bse / np.sqrt(weighted.scale), errors, rtol=1e-10)


def peas(out):
    table = pd.read_csv(DATA / "factorial_in_blocks.csv")
    n, p, k = (table[name].to_numpy(float) for name in "NPK")
    x = np.column_stack([np.ones(len(n)), n, p, k, n * p, n * k, p * k])
    labels = ["constant", "N: 1", "P: 1", "K: 1", "N: 1 with P: 1", "N: 1 with K: 1", "P: 1 with K: 1"]
    z = indicators(table.block)
    y = table["yield"].to_numpy(float)
    problem = Restricted(x, y, [np.eye(len(y)), z @ z.T], 0.0)
    variances = problem.solve([15.0, 10.0])
    found = small_sample(problem, variances, {})
    agree(y, x, table.block, variances, found[0], np.sqrt(np.diag(found[1])))
    record(out, "peas", problem, variances, labels, {"all": np.eye(7)[:, 1:]})


def invented(out):
    table = campaign()
    table.to_csv(OUT / "measured_fit.csv", index=False)
    table = pd.read_csv(OUT / "measured_fit.csv")
    y = table["yield"].to_numpy()
    x = np.column_stack(
        [np.ones(len(y)), table.heating == "hob", table.heating == "torch", table.oxidant]
    ).astype(float)
    labels = ["constant", "heating: hob", "heating: torch", "oxidant"]
    contrasts = {"heating": np.eye(4)[:, 1:3], "all": np.eye(4)[:, 1:]}
    eye = np.eye(len(y))
    lot, day = (indicators(table[name]) for name in ("lot", "day"))
    parts = {"lots": [eye, lot @ lot.T], "lots and days": [eye, lot @ lot.T, day @ day.T]}

    for name, start in [("lots", [4e-4, 4e-4]), ("lots and days", [3e-4, 4e-4, 1e-4])]:
        problem = Restricted(x, y, parts[name], 0.0)
        variances = problem.solve(start)
        if name == "lots":
            found = small_sample(problem, variances, {})
            # In per cent, so that the optimiser of MixedLM does not stop too early.
            percent = [1e4 * variance for variance in variances]
            agree(100 * y, x, table.lot, percent, 100 * found[0], 100 * np.sqrt(np.diag(found[1])))
        record(out, name, problem, variances, labels, contrasts)

    # Known errors at the fitted values: round after round until nothing moves.
    for name, start in [("measured", [3e-4]), ("measured lots", [3e-4, 2e-4])]:
        fitted = x @ np.linalg.lstsq(x, y, rcond=None)[0]
        variances = np.array(start)
        for _ in range(30):
            problem = Restricted(x, y, parts["lots"][: len(start)], known_covariance(table, fitted))
            variances = problem.solve(variances)
            _, inverse, phi, _ = problem.at(variances)
            before, fitted = fitted, x @ (phi @ x.T @ inverse @ y)
        # Nothing moves beyond the rounding of sums of some thirty products, which depends on the processor.
        assert np.max(np.abs(before - fitted)) < 1e-14
        record(out, name, problem, variances, labels, contrasts)
        out[f"{name} measurement"] = np.sqrt(np.mean(np.diag(known_covariance(table, fitted))))

    # A covariance that is known altogether.
    v = 2e-4 * eye + 3e-4 * lot @ lot.T + known_covariance(table, np.full(len(y), 0.6))
    known = sm.GLS(y, x, sigma=v).fit()
    for k, label in enumerate(labels):
        out[f"known value {label}"] = known.params[k]
        out[f"known error {label}"] = known.bse[k] / np.sqrt(known.scale)


def powers(out):
    """Plain least squares on high powers without a constant, condition about 1e11, in exact fractions."""
    x = [Fraction(3) + Fraction(run, 32) for run in range(40)]
    y = [Fraction((run * 7) % 11, 8) + run for run in range(40)]
    highest = 9
    rows = [[value**power for power in range(1, highest + 1)] for value in x]
    # Gauss-Jordan elimination of X'X beside X'y and the unit matrix.
    system = [
        [sum(row[i] * row[j] for row in rows) for j in range(highest)]
        + [sum(row[i] * value for row, value in zip(rows, y))]
        + [Fraction(int(i == j)) for j in range(highest)]
        for i in range(highest)
    ]
    for step in range(highest):
        system[step] = [entry / system[step][step] for entry in system[step]]
        for other in range(highest):
            if other != step:
                share = system[other][step]
                system[other] = [a - share * b for a, b in zip(system[other], system[step])]
    values = [row[highest] for row in system]
    left = [value - sum(b * entry for b, entry in zip(values, row)) for row, value in zip(rows, y)]
    mean_square = sum(part**2 for part in left) / (len(x) - highest)
    for power in range(highest):
        out[f"powers value {power + 1}"] = float(values[power])
        # The square root of a fraction rounded once, correct to the last digit or so.
        out[f"powers error {power + 1}"] = float(mean_square * system[power][highest + 1 + power]) ** 0.5


def main():
    out = {}
    powers(out)
    peas(out)
    invented(out)
    text = {
        "name": "fits with known errors of measurement and random blocks",
        "source": "computed by tests/check-scripts/measured_fit.py with dense matrices; "
        "formulas of Patterson and Thompson, Biometrika 58 (1971) 545-554, and Kenward and Roger, Biometrics 53 (1997) 983-997",
        "how_obtained": "numpy and scipy; one random block agrees with statsmodels MixedLM (REML) to 6 digits, "
        "the known covariance is statsmodels GLS",
        "expected": {key: float(value) for key, value in out.items()},
    }
    (OUT / "measured_fit.json").write_text(json.dumps(text, indent=1) + "\n")


main()
