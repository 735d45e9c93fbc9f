"""How much of the bluestone crops can be sold to specification, together, one by one or blended, worked out without residuum?

In: the logs in data-demo/bluestone, its campaign file, and the atomic weights in tests/data.
Out: tests/data/blending.json: grams to specification in each way, at the chance of the campaign file and at one half, and what
they are worth where product off specification is sold at 12 a kilogram, or reworked at 3 a kilogram with a loss of 4 %; for each
route and crop the mass, the purity with its standard uncertainty, and how many runs met the specification.
This script never reads anything that residuum wrote.

Purities come from `bluestone_uncertainties.py`, one variable for each error, so that what titrations share stays shared in a
blend. At a chance of one half the errors do not count, and the blend is the solution of a linear program by scipy. At another
chance the blend is grown gram by gram in the order of purity, and its end is found as a root.

Run it with the versions in requirements.txt after every change of the logs:

    python tests/check-scripts/blending.py
"""

import hashlib
import json
import tomllib

from scipy.optimize import brentq, linprog
from scipy.stats import norm
from uncertainties import ufloat

from bluestone_statsmodels import CAMPAIGN, DATA, LOGS, read
from bluestone_uncertainties import Bench, present

OFF_SPEC_PRICE = 12.0
# All crops of this campaign together meet its own specification, and part of them this one.
STRICTER = 0.9895
REWORK = {"cost": 3.0, "loss": 0.04}


def crops_of(bench):
    """Mass and purity of each crop by run, of the runs that are not set aside and have a purity of every crop."""
    log = read("runs.csv")
    crops = read("crops.csv")
    whole, all_known = {}, []
    for line in log.itertuples():
        if present(line.set_aside):
            continue
        mine = crops[crops["run"] == line.run].sort_values("crop")
        pairs = []
        for crop in mine.itertuples():
            mass = bench.reading(crop.mass, "crop_mass", "crop mass")
            purity = bench.purities.get((line.run, int(crop.crop)))
            pairs.append((mass, purity))
            if purity is not None:
                all_known.append((line.route, int(crop.crop), mass, purity))
        if all(purity is not None for _, purity in pairs):
            whole[line.run] = pairs
    return whole, all_known


def blended(crops, spec, quantile):
    """Grams of the largest blend whose purity, less `quantile` standard uncertainties, reaches the specification."""
    order = sorted(crops, key=lambda crop: -crop[1].n)

    def margin(grams):
        mass, pure, left = ufloat(0.0, 0.0), ufloat(0.0, 0.0), grams
        for weighed, purity in order:
            share = min(1.0, left / weighed.n)
            mass += share * weighed
            pure += share * weighed * purity
            left -= share * weighed.n
            if left <= 0.0:
                break
        mix = pure / mass
        return mix.n - quantile * mix.s - spec

    whole = sum(weighed.n for weighed, _ in order)
    if margin(whole) >= 0.0:
        return whole
    start = sum(weighed.n for weighed, purity in order if purity.n >= spec)
    assert margin(start) > 0.0
    return brentq(margin, start, whole, xtol=1e-7, rtol=1e-14)


def program(crops, spec):
    """The same without errors, as a linear program."""
    masses = [weighed.n for weighed, _ in crops]
    short = [weighed.n * (spec - purity.n) for weighed, purity in crops]
    solved = linprog([-mass for mass in masses], A_ub=[short], b_ub=[0.0], bounds=[(0.0, 1.0)] * len(masses), method="highs")
    return -solved.fun


def ways(whole, spec, chance):
    quantile = norm.ppf(chance)

    def meets(purity):
        return purity.n - quantile * purity.s >= spec

    def together(pairs):
        return sum(mass * purity for mass, purity in pairs) / sum(mass for mass, _ in pairs)

    crops = [pair for pairs in whole.values() for pair in pairs]
    found = {
        "together": sum(mass.n for pairs in whole.values() if meets(together(pairs)) for mass, _ in pairs),
        "crop by crop": sum(mass.n for mass, purity in crops if meets(purity)),
        "blended": blended(crops, spec, quantile),
    }
    if quantile == 0.0:
        solved = program(crops, spec)
        assert abs(solved - found["blended"]) < 1e-9 * solved
        found["blended"] = solved
    return found


def main():
    campaign = tomllib.loads((CAMPAIGN / "campaign.toml").read_text(encoding="utf-8"))
    bench = Bench(campaign)
    spec = campaign["campaign"]["purity_spec"]
    usual = campaign.get("aim", {}).get("purity_chance", 0.9)
    whole, known = crops_of(bench)
    total = sum(mass.n for pairs in whole.values() for mass, _ in pairs)
    price = float(campaign["prices"]["product"].split()[0]) / 1000.0
    reworked = price * (1.0 - REWORK["loss"]) - REWORK["cost"] / 1000.0
    found = {
        "spec": spec,
        "chance": usual,
        "runs": len(whole),
        "total": total,
        "ways": ways(whole, spec, usual),
        "ways_at_one_half": ways(whole, spec, 0.5),
        "ways_at_a_stricter_one": ways(whole, STRICTER, usual),
        "ways_at_a_stricter_one_and_one_half": ways(whole, STRICTER, 0.5),
    }
    for name, off in [("worth_at_a_price", OFF_SPEC_PRICE / 1000.0), ("worth_reworked", reworked), ("worth_of_nothing", 0.0)]:
        found[name] = {way: grams * price + (total - grams) * off for way, grams in found["ways"].items()}
    by_route = {}
    for route, crop, mass, purity in known:
        by_route.setdefault((route, crop), []).append((mass, purity))
    found["each"] = []
    for (route, crop), pairs in sorted(by_route.items()):
        mass = sum(mass for mass, _ in pairs)
        purity = sum(mass * purity for mass, purity in pairs) / mass
        found["each"].append(
            {
                "route": route,
                "crop": crop,
                "runs": len(pairs),
                "mass": mass.n,
                "purity": purity.n,
                "purity_u": purity.s,
                "met": sum(1 for _, purity in pairs if purity.n >= spec),
            }
        )
    digests = {name: hashlib.sha256((CAMPAIGN / name).read_bytes()).hexdigest() for name in ["campaign.toml", *LOGS]}
    result = {"made_by": "tests/check-scripts/blending.py", "sha256": digests, "expected": found}
    text = json.dumps(result, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    (DATA / "blending.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
