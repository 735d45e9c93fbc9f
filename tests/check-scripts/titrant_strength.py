"""How strong is a titrant on the day of a titration?

In: three invented titrants whose standardisations agree, fall along a line, or do neither. Out:
tests/data/titrant_strength.json: which of the three holds, and the strength on some days with its standard uncertainty
and the covariance of two days.
Computed as generalised least squares with numpy matrices, tests by scipy; every standardisation has an error of its own,
and all share the purity of the standard.
This script never reads anything that residuum wrote.

    python tests/check-scripts/titrant_strength.py
"""

import datetime
import json
import pathlib

import numpy as np
from scipy import stats

DATA = pathlib.Path(__file__).resolve().parent.parent / "data"

# g/mol, abridged standard atomic weights of 2021, with printed uncertainties as half-widths of rectangles.
K, I, O = (39.0983, 0.0001), (126.90447, 0.00003), (15.999, 0.001)
MOLAR_MASS = K[0] + I[0] + 3 * O[0]
U_MOLAR_MASS = np.sqrt((K[1] ** 2 + I[1] ** 2 + (3 * O[1]) ** 2) / 3.0)
PURITY, U_PURITY = 0.9994, 0.0002
U_MASS, U_TITRE = 0.0002, 0.03
LEVEL = 0.05

# Date, mass of potassium iodate in 200 mL of which a fifth is titrated, titre.
TITRANTS = {
    "steady": [
        ("2026-03-02", 0.7134, 40.05),
        ("2026-03-02", 0.7208, 40.49),
        ("2026-03-16", 0.7177, 40.27),
        ("2026-03-30", 0.7121, 39.99),
        ("2026-03-30", 0.7190, 40.36),
    ],
    "ageing": [
        ("2026-03-02", 0.7134, 40.02),
        ("2026-03-09", 0.7208, 40.53),
        ("2026-03-16", 0.7177, 40.41),
        ("2026-03-23", 0.7121, 40.20),
        ("2026-03-30", 0.7190, 40.65),
        ("2026-04-06", 0.7166, 40.62),
    ],
    "renewed": [
        ("2026-03-02", 0.7134, 40.02),
        ("2026-03-12", 0.7208, 40.55),
        ("2026-03-16", 0.7177, 39.93),
        ("2026-03-26", 0.7121, 39.66),
        ("2026-04-06", 0.7166, 40.31),
    ],
}
ASKED = ["2026-02-27", "2026-03-05", "2026-03-16", "2026-03-20", "2026-04-10"]


def day(text):
    """Days since the first day of the year 1."""
    return datetime.date.fromisoformat(text).toordinal()


def measured(rows):
    """Days, strengths [mol/L], their own variances, and their covariance from what all share."""
    days = np.array([day(date) for date, _, _ in rows], float)
    mass = np.array([mass for _, mass, _ in rows])
    titre = np.array([titre for _, _, titre in rows])
    strength = 6000.0 * 0.2 * mass * PURITY / (MOLAR_MASS * titre)
    own = strength**2 * ((U_MASS / mass) ** 2 + (U_TITRE / titre) ** 2)
    common = (U_PURITY / PURITY) ** 2 + (U_MOLAR_MASS / MOLAR_MASS) ** 2
    return days, strength, own, common * np.outer(strength, strength)


def sums(days, strength, own):
    """Sums of squares of days, of the slope, of days about the line, and of replicates."""
    weight = 1.0 / own
    each = np.unique(days)
    totals = np.array([weight[days == at].sum() for at in each])
    means = np.array([(weight * strength)[days == at].sum() for at in each]) / totals
    within = sum((weight * (strength - mean) ** 2)[days == at].sum() for at, mean in zip(each, means))
    design = np.column_stack([np.ones_like(each), each - np.average(each, weights=totals)])
    line = np.linalg.solve(design.T @ (totals[:, None] * design), design.T @ (totals * means))
    off_line = (totals * (means - design @ line) ** 2).sum()
    between = (totals * (means - np.average(means, weights=totals)) ** 2).sum()
    return each, totals, means, between, between - off_line, off_line, within


def used(days, strength, own):
    """Which way holds, and the chance of the trend by luck."""
    each, _, _, between, slope, off_line, within = sums(days, strength, own)
    count, number = len(days), len(each)
    assert count == number or stats.chi2.sf(within, count - number) >= LEVEL, "replicates agree with what is stated"
    scatter = within + off_line
    trend = min(stats.f.sf(slope / (scatter / (count - 2)), 1, count - 2), stats.chi2.sf(slope, 1))
    if trend >= LEVEL and stats.chi2.sf(between, number - 1) >= LEVEL:
        return "pooled", trend
    if stats.chi2.sf(off_line, number - 2) >= LEVEL:
        assert stats.chi2.sf(scatter, count - 2) >= LEVEL, "nothing is added to the line"
        return "line", trend
    return "between neighbours", trend


def coefficients(way, days, own, at):
    """Weight of each standardisation in the strength of a day."""
    weight = 1.0 / own
    if way == "pooled":
        return weight / weight.sum()
    if way == "line":
        middle = np.average(days, weights=weight)
        across = (weight * (days - middle) ** 2).sum()
        return weight / weight.sum() + (at - middle) * weight * (days - middle) / across
    found = np.zeros_like(days)
    if at <= days[0] or at >= days[-1]:
        found[0 if at <= days[0] else -1] = 1.0
        return found
    behind = int(np.searchsorted(days, at, side="right"))
    part = (at - days[behind - 1]) / (days[behind] - days[behind - 1])
    found[behind - 1], found[behind] = 1.0 - part, part
    return found


def wander(days, strength, own):
    """Variance a day by which days depart from the way between their neighbours, beyond their errors."""
    off, bridge = 0.0, 0.0
    for at in range(1, len(days) - 1):
        width = days[at + 1] - days[at - 1]
        part = (days[at] - days[at - 1]) / width
        apart = strength[at] - (1 - part) * strength[at - 1] - part * strength[at + 1]
        off += apart**2 - own[at] - (1 - part) ** 2 * own[at - 1] - part**2 * own[at + 1]
        bridge += width * part * (1 - part)
    return max(off / bridge, 0.0)


def of_gap(days, at):
    """Days of a bridge at a day, and the gap it lies in."""
    gap = int(np.searchsorted(days, at, side="right"))
    if at <= days[0]:
        return days[0] - at, gap if at < days[0] else None
    if at >= days[-1]:
        return at - days[-1], len(days)
    before, behind = days[gap - 1], days[gap]
    return (at - before) * (behind - at) / (behind - before), gap


def main():
    """Writes the expected figures."""
    found = {"stated": {"purity": PURITY, "u_purity": U_PURITY, "u_mass": U_MASS, "u_titre": U_TITRE}, "titrants": {}}
    for name, rows in TITRANTS.items():
        days, strength, own, common = measured(rows)
        covariance = np.diag(own) + common
        way, trend = used(days, strength, own)
        a_day = wander(days, strength, own) if way == "between neighbours" else 0.0
        strengths = []
        all_weights = []
        for text in ASKED:
            weights = coefficients(way, days, own, day(text))
            length, _ = of_gap(days, day(text))
            variance = weights @ covariance @ weights + a_day * length
            all_weights.append(weights)
            strengths.append({"date": text, "value": weights @ strength, "u": np.sqrt(variance)})
        # Days 2 and 5 lie in different gaps.
        assert of_gap(days, day(ASKED[1]))[1] != of_gap(days, day(ASKED[4]))[1]
        found["titrants"][name] = {
            "rows": [list(row) for row in rows],
            "used": way,
            "trend": trend,
            "strengths": strengths,
            "covariance": all_weights[1] @ covariance @ all_weights[4],
        }
    text = json.dumps(found, indent=1, ensure_ascii=False)
    (DATA / "titrant_strength.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
