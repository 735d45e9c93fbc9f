"""What purity has a crop by what it leaves on ignition, and by difference, with which uncertainty?

In: the atomic weights in tests/data, and the small invented campaign below. Out: tests/data/ignition.json: moisture, purity and
contained yield of its runs with standard uncertainties, and the campaign itself.
One variable of the package uncertainties for each error; nothing is shared but the atomic weights and what one bottle or one
lot gives to several runs.
This script never reads anything that residuum wrote.

    python tests/check-scripts/ignition.py
"""

import csv
import json
import math
from pathlib import Path

from uncertainties import ufloat

DATA = Path(__file__).resolve().parents[1] / "data"

CAMPAIGN = """[campaign]
title = "Blue crystals by weight"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"
purity_by = "difference"

[logs]
runs = "runs.csv"
lots = "lots.csv"
crops = "crops.csv"

[ignition]
leaves = "CuO"
sample = "dried"

[impurities.Fe]
formula = "Fe2S3O12"
[impurities.Zn]

[uncertainty]
feed_mass = "0.1 g"
crop_mass = "0.05 g"
drying_mass = "0.0003 g"
ignition_mass = "0.0002 g"
moisture = "0.001"
impurity = "40 ppm"
"""
LOGS = {
    "runs.csv": "run,lot,feed_mass\nG-1,K,80.0\nG-2,K,81.5\nG-3,K,79.2\n",
    "lots.csv": "lot,assay,u_assay\nK,0.871,0.004\n",
    "crops.csv": "run,crop,mass,moisture,wet_mass,dry_mass,tare,ignited_sample,ignited_mass,ignited_tare,Fe / ppm,u_Fe / ppm,Zn / ppm\n"
    "G-1,1,171.40,,30.1527,29.9418,24.8132,26.2231,24.4817,23.6702,,,\n"
    "G-2,1,168.25,0.021,,,,,,,310,25,180\n"
    "G-3,1,150.10,0.018,,,,25.1188,23.9204,23.3650,290,,150\n"
    "G-3,2,14.35,,28.5040,28.2207,24.8130,,,,420,,260\n",
}


def atomic_weights():
    """Abridged standard atomic weights of 2021, g/mol; the printed uncertainty is the half-width of a rectangle."""
    with open(DATA / "atomic_weights_2021.csv", encoding="utf-8") as table:
        rows = list(csv.DictReader(table))
    error = next(name for name in rows[0] if "uncertainty" in name)
    return {
        row["symbol"]: ufloat(float(row["abridged_standard_atomic_weight"]), float(row[error]) / math.sqrt(3.0)) for row in rows
    }


W = atomic_weights()
BLUESTONE = W["Cu"] + W["S"] + 9 * W["O"] + 10 * W["H"]
OXIDE = W["Cu"] + W["O"]
IRON_SULFATE = 2 * W["Fe"] + 3 * W["S"] + 12 * W["O"]
ASSAY = ufloat(0.871, 0.004)


def dried(wet, dry, tare):
    wet, dry, tare = (ufloat(mass, 0.0003) for mass in (wet, dry, tare))
    return (wet - dry) / (wet - tare)


def ignited(sample, left, dish):
    sample, left, dish = (ufloat(mass, 0.0002) for mass in (sample, left, dish))
    return (left - dish) / (sample - dish) * BLUESTONE / OXIDE


def by_difference(moisture, iron, zinc):
    return 1 - moisture - iron * IRON_SULFATE / (2 * W["Fe"]) - zinc


def ppm(content, u=40.0):
    return ufloat(content * 1e-6, u * 1e-6)


def run(name, feed, crops):
    """Crops as (mass, purity, moisture or nothing)."""
    crops = [(ufloat(mass, 0.05), purity, moisture) for mass, purity, moisture in crops]
    pure = sum(mass * purity for mass, purity, _ in crops)
    theory = ufloat(feed, 0.1) * ASSAY * BLUESTONE / OXIDE
    figure = lambda number: {"value": number.nominal_value, "u": number.std_dev}
    return {
        "run": name,
        "crops": [
            {"purity": figure(purity), **({"moisture": figure(moisture)} if moisture is not None else {})}
            for _, purity, moisture in crops
        ],
        "purity": figure(pure / sum(mass for mass, _, _ in crops)),
        "contained": figure(pure / theory),
    }


wet_one = dried(30.1527, 29.9418, 24.8132)
wet_two = dried(28.5040, 28.2207, 24.8130)
by_weight = run("G-1", 80.0, [(171.40, ignited(26.2231, 24.4817, 23.6702) * (1 - wet_one), wet_one)])
what_is_left = run("G-2", 81.5, [(168.25, by_difference(ufloat(0.021, 0.001), ppm(310, 25), ppm(180)), None)])
both = run(
    "G-3",
    79.2,
    [
        (150.10, ignited(25.1188, 23.9204, 23.3650) * (1 - ufloat(0.018, 0.001)), None),
        (14.35, by_difference(wet_two, ppm(420), ppm(260)), wet_two),
    ],
)

with open(DATA / "ignition.json", "w", encoding="utf-8") as out:
    json.dump({"campaign": CAMPAIGN, "logs": LOGS, "runs": [by_weight, what_is_left, both]}, out, indent=1, ensure_ascii=False)
    out.write("\n")
