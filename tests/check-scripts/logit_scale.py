"""What do numpy, scipy and statsmodels say about fits on the logit scale?

In: an invented log of 18 purities that stands below and in src/regression/tests/response_scale.rs. Out: tests/data/logit_scale.json:
least squares on ln(y/(1-y)) brought back by first-order propagation, and a fit with known errors taken at fitted values.
This script never reads anything that residuum wrote.

Run it with the versions in requirements.txt:

    python tests/check-scripts/logit_scale.py
"""

import json
from pathlib import Path

import numpy as np
import statsmodels.api as sm
from scipy import optimize, stats
from statsmodels.stats._delta_method import NonlinearDeltaCov

DATA = Path(__file__).resolve().parents[1] / "data"

# Invented: three recovery routes and an amount.
ROUTE = ["chill", "boildown", "alcohol"] * 6
OXIDANT = [20, 35, 50, 65, 80, 95, 25, 40, 55, 70, 85, 100, 30, 45, 60, 75, 90, 22]
PURITY = [
    0.9712, 0.9381, 0.9903, 0.9795, 0.9522, 0.9947, 0.9688, 0.9418, 0.9919,
    0.9824, 0.9547, 0.9962, 0.9741, 0.9433, 0.9931, 0.9843, 0.9571, 0.9872,
]
RELATIVE = 0.0004
ABSOLUTE = 0.0003
# Two titrants, which nine runs each have in common.
TITRANT = 0.0005
CONFIDENCE = 0.95


def expit(z):
    return 1 / (1 + np.exp(-z))


def row(route, oxidant):
    return np.array([1.0, route == "boildown", route == "alcohol", oxidant], float)


y = np.array(PURITY)
z = np.log(y / (1 - y))
X = np.array([row(route, oxidant) for route, oxidant in zip(ROUTE, OXIDANT)])
n, p = X.shape
fit = sm.OLS(z, X).fit()
reach = stats.t.ppf((1 + CONFIDENCE) / 2, n - p)


def of_mean(where):
    """A mean brought back, its error by statsmodels from the function and its derivative."""
    prediction = fit.get_prediction(where[None, :])
    low, high = prediction.conf_int(alpha=1 - CONFIDENCE)[0]
    value = expit(where @ fit.params)
    delta = NonlinearDeltaCov(
        lambda b: np.atleast_1d(expit(where @ b)),
        fit.params,
        fit.cov_params(),
        deriv=lambda b: (expit(where @ b) * (1 - expit(where @ b)) * where)[None, :],
    )
    return value, delta.se_vectorized()[0], expit(low), expit(high)


def of_new_run(where):
    low, high = fit.get_prediction(where[None, :]).conf_int(obs=True, alpha=1 - CONFIDENCE)[0]
    value = expit(where @ fit.params)
    spread = fit.get_prediction(where[None, :]).se_obs[0]
    return value, spread * value * (1 - value), expit(low), expit(high)


def of_difference(one, other):
    def of(b):
        return np.atleast_1d(expit(one @ b) - expit(other @ b))

    def jacobian(b):
        first, second = expit(one @ b), expit(other @ b)
        return (first * (1 - first) * one - second * (1 - second) * other)[None, :]

    # The derivative agrees with one by differences.
    steps = 1e-6 * np.eye(p)
    numeric = np.array([(of(fit.params + s) - of(fit.params - s))[0] / 2e-6 for s in steps])
    assert np.allclose(numeric, jacobian(fit.params)[0], atol=1e-7)
    delta = NonlinearDeltaCov(of, fit.params, fit.cov_params(), deriv=jacobian)
    value, error = of(fit.params)[0], delta.se_vectorized()[0]
    chance = fit.t_test(one - other).pvalue
    return value, error, value - reach * error, value + reach * error, float(np.squeeze(chance))


def measured():
    """Restricted likelihood for the run-to-run variance, with known errors at fitted values, by dense matrices."""
    shared = np.array([(np.arange(n) < 9), (np.arange(n) >= 9)], float).T

    def known(fitted):
        one_less = 1 - fitted
        own = (RELATIVE / one_less) ** 2 + (ABSOLUTE / (fitted * one_less)) ** 2
        common = shared * (TITRANT / one_less)[:, None]
        return np.diag(own) + common @ common.T

    def projection(variance, U):
        W = np.linalg.inv(variance * np.eye(n) + U)
        cross = X.T @ W
        return W - cross.T @ np.linalg.solve(cross @ X, cross), W

    def score(variance, U):
        P, _ = projection(variance, U)
        return np.trace(P) - z @ P @ P @ z

    beta = fit.params
    for _ in range(200):
        U = known(expit(X @ beta))
        variance = optimize.brentq(score, 1e-8, 10.0, args=(U,), xtol=1e-18, rtol=1e-14)
        _, W = projection(variance, U)
        new = np.linalg.solve(X.T @ W @ X, X.T @ W @ z)
        moved = np.max(np.abs(new - beta))
        beta = new
        if moved < 1e-15:
            break
    assert moved < 1e-13
    fitted = expit(X @ beta)
    slopes = fitted * (1 - fitted)
    by_gls = sm.GLS(z, X, sigma=variance * np.eye(n) + known(fitted)).fit().params
    assert np.allclose(by_gls, beta, rtol=1e-10)
    return beta, np.sqrt(variance), slopes, np.sqrt(np.mean(np.diag(known(fitted)) * slopes**2))


figures = {}
places = {"first": row("chill", 60.0), "second": row("alcohol", 95.0)}
for name, where in places.items():
    for key, value in zip(["value", "error", "low", "high"], of_mean(where)):
        figures[f"{name}_mean_{key}"] = value
    for key, value in zip(["value", "sd", "low", "high"], of_new_run(where)):
        figures[f"{name}_new_{key}"] = value
names = ["value", "error", "low", "high", "p"]
for key, value in zip(names, of_difference(places["second"], places["first"])):
    figures[f"difference_{key}"] = value
# Routes against one another at the mean of the amount.
centre = np.mean(OXIDANT)
for key, value in zip(names, of_difference(row("boildown", centre), row("chill", centre))):
    figures[f"level_{key}"] = value
gradients = [w * expit(w @ fit.params) * (1 - expit(w @ fit.params)) for w in places.values()]
figures["covariance"] = gradients[0] @ fit.cov_params() @ gradients[1]
for position, name in enumerate(["constant", "boildown", "alcohol", "oxidant"]):
    figures[f"term_{name}"] = fit.params[position]
    figures[f"term_{name}_error"] = fit.bse[position]
figures["r_squared"] = fit.rsquared
figures["ss_residual"] = fit.ssr
fitted = expit(fit.fittedvalues)
slopes = fitted * (1 - fitted)
figures["residual_sd"] = np.sqrt(np.sum((y - fitted) ** 2) / (n - p))
left_out = [
    y[run] - expit(X[run] @ sm.OLS(np.delete(z, run), np.delete(X, run, 0)).fit().params)
    for run in range(n)
]
figures["leave_one_out_sd"] = np.sqrt(np.mean(np.square(left_out)))
figures["run_to_run"] = np.sqrt(fit.mse_resid * np.mean(slopes**2))
beta, spread, slopes, known = measured()
for name, where in places.items():
    figures[f"measured_{name}"] = expit(where @ beta)
figures["measured_run_to_run"] = spread * np.sqrt(np.mean(slopes**2))
figures["measured_measurement"] = known
text = {name: float(value) for name, value in figures.items()}
(DATA / "logit_scale.json").write_text(json.dumps(text, indent=1) + "\n")
