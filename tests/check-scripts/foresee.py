"""What would a crop never taken, a route never run and a wash in portions give, worked out without residuum?

In: the invented campaigns in tests/data/foresee, the atomic weights in tests/data, and of the table of solubilities in
src/crystallisation (which is data) the points at 0 and 20 degC, so that nothing is read between points.
Out: tests/data/foresee.json.
Plain Python without any library: each step is one line of arithmetic that a pocket calculator could do. A wash is followed
portion by portion, not by its formula.
This script never reads anything that residuum wrote.

    python tests/check-scripts/foresee.py
"""

import csv
import json
import math
import re
from fractions import Fraction
from pathlib import Path
from statistics import mean, median, stdev

HERE = Path(__file__).resolve().parent
DATA = HERE.parent / "data"
TABLE = HERE.parents[1] / "src" / "crystallisation" / "solubility.csv"

with (DATA / "atomic_weights_2021.csv").open(encoding="utf-8") as lines:
    WEIGHTS = {row["symbol"]: float(row["abridged_standard_atomic_weight"]) for row in csv.DictReader(lines)}


def atoms(formula):
    """Atoms of a formula without brackets; parts behind a dot may have a number before them."""
    found = {}
    for part in formula.split("·"):
        times, rest = re.fullmatch(r"(\d*)(.*)", part).groups()
        for symbol, count in re.findall(r"([A-Z][a-z]?)(\d*)", rest):
            found[symbol] = found.get(symbol, 0) + int(times or 1) * int(count or 1)
    return found


def molar_mass(formula):
    return sum(WEIGHTS[symbol] * count for symbol, count in atoms(formula).items())


def water(temperature):
    """Density of water [g/mL]: Kell, G. S., J. Chem. Eng. Data 20 (1975) 97-105, equation 16."""
    t = temperature
    sum_ = 999.83952 + 16.945176 * t - 7.9870401e-3 * t**2 - 46.170461e-6 * t**3 + 105.56302e-9 * t**4 - 280.54253e-12 * t**5
    return sum_ / (1 + 16.879850e-3 * t) / 1000


RELATIVE = {"compared": 0.02, "alone": 0.03, "disputed": 0.06}


def saturated(salt, product, temperature, density=None):
    """Liquor saturated at a point of the table: product [g/mL] with its relative uncertainty, and what it is made of."""
    with TABLE.open(encoding="utf-8") as lines:
        rows = csv.DictReader(line for line in lines if not line.startswith("#"))
        row = next(r for r in rows if r["formula"] == salt and float(r["temperature_degC"]) == temperature)
    w = float(row["mass_percent"]) / 100
    relative = next(RELATIVE[cell] for cell in row.values() if cell in RELATIVE)
    hydrate = molar_mass(product) / molar_mass(salt)
    if density is None:
        # Salts of a metal: a gram takes up a quarter of the volume of a gram of water, give or take 0.15 of it.
        room = 1 - 0.75 * w
        density, of_rule, gain = water(temperature) / room, 0.15 * w / room, 1 / room
    else:
        of_rule, gain = 0.0, 1.0
    return {
        "w": w,
        "of_w": relative,
        "density": density,
        "product": w * density * hydrate,
        "relative": math.hypot(gain * relative, of_rule),
        "hydrate": hydrate,
    }


def room(liquor):
    """Volume that the product takes up in a millilitre of its saturated liquor [mL]."""
    salt = liquor["w"] * liquor["density"]
    crystal_water = liquor["product"] - salt
    free_water = (1 - liquor["w"]) * liquor["density"]
    return crystal_water + (1 - free_water)


def read_hot(holds, volume, liquor):
    """The crop when the volume is read before anything crystallises, found by trying: what is left shrinks with the crop."""
    crop = 0.0
    for _ in range(200):
        left = volume - crop * room(liquor) / liquor["product"]
        crop = holds - liquor["product"] * left
    return crop


def runs(name):
    with (DATA / "foresee" / name / "runs.csv").open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def sides(equation):
    """Both sides as lists of (count, formula), checked to be balanced."""
    parted = []
    for side in equation.split(" -> "):
        terms = [re.fullmatch(r"(\d* )?(.+)", term).groups() for term in side.split(" + ")]
        parted.append([(int(count or 1), formula) for count, formula in terms])
    totals = []
    for side in parted:
        total = {}
        for count, formula in side:
            for symbol, number in atoms(formula).items():
                total[symbol] = total.get(symbol, 0) + count * number
        totals.append(total)
    assert totals[0] == totals[1], equation
    return parted


LITRES_OF_A_MOLE = 8.314462618 * 293.15 / 101325 * 1000
GASES = ["CO2", "Cl2"]


def route(equation, product, followed, theory):
    left, right = sides(equation)
    brought = sum(count * atoms(formula).get(followed, 0) for count, formula in left)
    made = sum(count * atoms(formula)[followed] for count, formula in right if formula == product)
    # Moles of the equation as written that a charge of so much theory takes.
    turns = theory / molar_mass(product) * atoms(product)[followed] / brought
    masses = lambda side: [
        {
            "formula": formula,
            "mass": turns * count * molar_mass(formula),
            "gas_volume": turns * count * LITRES_OF_A_MOLE if formula in GASES else None,
        }
        for count, formula in side
    ]
    return {"ceiling": float(Fraction(made, brought)), "needs": masses(left), "gives": masses(right)}


def washed(portions, portion, holds):
    """Part that stays, portion by portion."""
    left = 1.0
    for _ in range(portions):
        left *= holds / (holds + portion)
    return left


def dissolved(liquor, volume):
    """Product that so much water dissolves until it is saturated, found by trying, and its relative uncertainty by difference."""

    def of(w):
        found = 0.0
        for _ in range(2000):
            there = volume + found * (1 - 1 / liquor["hydrate"])
            found = there * w / (1 - w) * liquor["hydrate"]
        return found

    step = 1e-5 * liquor["w"]
    slope = (of(liquor["w"] + step) - of(liquor["w"] - step)) / (2 * step)
    return of(liquor["w"]), slope * liquor["w"] * liquor["of_w"]


result = {}

# Permanganate.
cold, cool = saturated("KMnO4", "KMnO4", 0), saturated("KMnO4", "KMnO4", 20)
result["stated_saturated"] = {
    "mass": 200 * cold["product"],
    "u": 200 * cold["product"] * cold["relative"],
    "holds": 300 * cold["product"],
    "keeps": 100 * cold["product"],
    "read_hot": read_hot(300 * cold["product"], 100, cold),
}
result["chilled_alone"] = {
    "mass": 300 * cool["product"] - 300 * cold["product"],
    "u": math.hypot(300 * cool["product"] * cool["relative"], 300 * cold["product"] * cold["relative"]),
}
result["stated_strength"] = {
    "mass": 0.3 * 29 - 100 * cold["product"],
    "u": 100 * cold["product"] * cold["relative"],
}
log = runs("permanganate")
logged = []
for row in log:
    volume, strength = float(row["liquor_volume"]), float(row["liquor_conc"])
    if volume < 100:
        continue
    holds = volume * strength / 1000
    u_holds = holds * math.hypot(2 / volume, 0.3 / strength)
    keeps = 100 * cold["product"]
    logged.append(
        {
            "run": row["run"],
            "volume": volume,
            "holds": holds,
            "mass": holds - keeps,
            "u": math.hypot(u_holds, keeps * cold["relative"]),
        }
    )
result["logged"] = {
    "runs": logged,
    "mass": median(one["mass"] for one in logged),
    "u": median(one["u"] for one in logged),
    "holds": median(one["holds"] for one in logged),
}

per_dioxide = molar_mass("KMnO4") / molar_mass("MnO2")
theories = [float(row["feed_mass"]) * float(row["feed_assay"]) * per_dioxide for row in log]
theory = median(theories)
yields = [float(row["crop1_mass"]) * float(row["purity"]) / of for row, of in zip(log, theories)]
ceilings = {"electrolysis": 1.0, "spent": 2 / 3}
shares = []
for name, ceiling in ceilings.items():
    shares.append(mean(y for row, y in zip(log, yields) if row["route"] == name) / ceiling)
share, u_share = mean(shares), stdev(shares) * math.sqrt(1 + 1 / len(shares))
result["theory_of"] = {"grams": theory}
for name, equation in [
    ("carbonic", "3 K2MnO4 + 2 CO2 -> 2 KMnO4 + MnO2 + 2 K2CO3"),
    ("chlorine", "2 K2MnO4 + Cl2 -> 2 KMnO4 + 2 KCl"),
]:
    found = route(equation, "KMnO4", "Mn", theory)
    chlorine = [of["mass"] for of in found["needs"] if of["formula"] == "Cl2"]
    found["upper_bound"] = found["ceiling"] * min([1.0] + [12 / mass for mass in chlorine])
    found["yield"] = found["upper_bound"] * share
    found["u"] = found["upper_bound"] * u_share
    result[name] = found
result["carbonic"]["keeps"] = 100 * cold["product"]
result["carbonic"]["keeps_of_theory"] = 100 * cold["product"] / theory

wash = {"left": washed(3, 100, 25), "left_in_one": 25 / 325, "held": 25 * cool["product"]}
wash["dissolves"], wash["u"] = dissolved(cold, 300)
per_millilitre = dissolved(cold, 1)[0]
wash["logged_of_theory"] = median(
    float(row["wash_volume"]) * per_millilitre / of for row, of in zip(log, theories)
)
wash["logged_unaccounted"] = median(
    1 - y - float(row["liquor_volume"]) * float(row["liquor_conc"]) / 1000 / of
    for row, y, of in zip(log, yields, theories)
)
result["wash"] = wash

# Bluestone: a hydrate, the density stated.
blue = saturated("CuSO4", "CuSO4·5H2O", 20, density=1.18)
result["hydrate"] = {
    "mass": 350 * blue["product"],
    "u": 350 * blue["product"] * blue["relative"],
    "read_hot": read_hot(500 * blue["product"], 150, blue),
}
log = runs("bluestone")
per_oxide = molar_mass("CuSO4·5H2O") / molar_mass("CuO")
theory = median(float(row["feed_mass"]) * float(row["feed_assay"]) * per_oxide for row in log)
result["acid"] = route("CuO + H2SO4 + 4 H2O -> CuSO4·5H2O", "CuSO4·5H2O", "Cu", theory)
mass, u = dissolved(blue, 100)
result["hydrate_wash"] = {"dissolves": mass, "u": u}

# Iodine in lye, which spends five sixths of it on iodide.
result["lye"] = route("3 I2 + 6 KOH -> KIO3 + 5 KI + 3 H2O", "KIO3", "I", 100 * 6)

(DATA / "foresee.json").write_text(json.dumps(result, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
