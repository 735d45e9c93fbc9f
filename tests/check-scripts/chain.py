"""What is the whole chain from readings to purity and contained yield, number by number?

In: the logs in data-demo/bluestone, the constants of its campaign file, the atomic weights in tests/data, and a small
invented campaign below, with back titration, aliquots, a dilution and samples that were dried before they were weighed in.
Out: tests/data/chain.json: each step of the chain of some runs, and the invented campaign itself.
Plain Python without any library: each step is one line of arithmetic that a pocket calculator could do.
This script never reads anything that residuum wrote.

Run it after every change of the logs:

    python tests/check-scripts/chain.py
"""

import csv
import hashlib
import io
import json
import re
import tomllib
from pathlib import Path

HERE = Path(__file__).resolve().parent
CAMPAIGN = HERE.parents[1] / "data-demo" / "bluestone"
DATA = HERE.parent / "data"
LOGS = ["runs.csv", "lots.csv", "crops.csv", "titres.csv", "titrants.csv", "residues.csv"]

# One with residue of two runs charged, one with two crops, one with both and the bought titrant.
RUNS = ["B-004", "B-016", "B-064"]

# Alum from foil: aluminium is complexed with a measured excess of EDTA, the rest of which zinc takes up.
INVENTED_CAMPAIGN = """[campaign]
title = "Alum from foil"
product = "KAlS2O8·12H2O"
followed = "Al"
assay_as = "Al"

[logs]
runs = "runs.csv"
lots = "lots.csv"
crops = "crops.csv"
titres = "titres.csv"
titrants = "titrants.csv"

[titration]
analyte = "KAlS2O8·12H2O"
titrant = "E1"
ratio = 1.0
sample = "dried"
"""
INVENTED_LOGS = {
    "runs.csv": "run,lot,feed_mass\nA-1,F,12.50\nA-2,F,12.64\n",
    "lots.csv": "lot,assay\nF,0.984\n",
    "crops.csv": "run,crop,mass,moisture\nA-1,1,158.2,0.012\nA-1,2,21.7,0.031\nA-2,1,163.9,0.009\n",
    "titres.csv": "run,crop,sample_mass,aliquot,dilution,titrant,titre,blank,back_titrant,back_titre\n"
    "A-1,1,4.9656,0.1,,E1,40.00,0.04,Z1,19.62\n"
    "A-1,1,4.9371,0.1,,E1,40.00,0.04,Z1,19.75\n"
    "A-1,2,5.0083,0.1,,E1,40.00,0.04,Z1,19.46\n"
    "A-2,1,10.0812,0.25,5,E1,40.00,0.05,Z1,19.31\n",
    "titrants.csv": "titrant,date,concentration,standard,standard_mass,standard_purity,standard_ratio,titre,blank,aliquot\n"
    "E1,2025-03-03,,Zn,0.6551,0.9998,1,19.96,0.03,0.1\n"
    "Z1,2025-03-03,0.0497,,,,,,,\n",
}


def atomic_weights():
    """Abridged standard atomic weights of 2021, g/mol."""
    with open(DATA / "atomic_weights_2021.csv", encoding="utf-8") as table:
        return {line["symbol"]: float(line["abridged_standard_atomic_weight"]) for line in csv.DictReader(table)}


WEIGHTS = atomic_weights()


def atoms(formula):
    """Atoms by symbol of a formula without brackets."""
    count = {}
    for part in formula.split("·"):
        times, rest = re.fullmatch(r"(\d*)(.+)", part).groups()
        for symbol, number in re.findall(r"([A-Z][a-z]?)(\d*)", rest):
            count[symbol] = count.get(symbol, 0) + int(times or 1) * int(number or 1)
    return count


def molar_mass(formula):
    """g/mol."""
    return sum(number * WEIGHTS[symbol] for symbol, number in atoms(formula).items())


def half_width(text):
    """Standard uncertainty of a reading as the campaign file states it: a half-width by the root of 3 or of 6."""
    figure, shape = re.fullmatch(r"±?([\d.]+)\s*\S*?\s*(rectangular|triangular)?", text).groups()
    return float(figure) / {None: 1.0, "rectangular": 3.0**0.5, "triangular": 6.0**0.5}[shape]


class Campaign:
    """A campaign file and its logs as rows of text."""

    def __init__(self, file, logs):
        self.file = tomllib.loads(file)
        self.logs = {name: list(csv.DictReader(io.StringIO(text))) for name, text in logs.items()}
        names = self.file["campaign"]
        followed = names["followed"]
        product, assay_as = names["product"], names["assay_as"]
        self.product = molar_mass(product) / atoms(product)[followed]
        self.feed = molar_mass(assay_as) / atoms(assay_as)[followed]
        self.per_feed = self.product / self.feed
        self.strengths = self.all_strengths()

    def rows(self, name, **wanted):
        return [row for row in self.logs.get(name, []) if all(row[key] == text for key, text in wanted.items())]

    def all_strengths(self):
        """mol/L by titrant: standardisations weighted by the inverse variance of what none of them shares."""
        lines = {}
        for row in self.logs["titrants.csv"]:
            given = row["concentration"]
            lines.setdefault(row["titrant"], []).append((float(given), 1.0) if given else self.standardised(row))
        return {
            name: sum(strength * weight for strength, weight in members) / sum(weight for _, weight in members)
            for name, members in lines.items()
        }

    def standardised(self, row):
        """mol/L from one standardisation, with its weight."""
        mass = float(row["standard_mass"])
        volume = float(row["titre"]) - float(row["blank"])
        moles = mass * float(row["standard_purity"]) / molar_mass(row["standard"])
        strength = 1000.0 * moles * float(row["standard_ratio"]) * float(row["aliquot"]) / volume
        stated = self.file.get("uncertainty")
        if stated is None:
            return strength, 1.0
        of_mass = half_width(stated["standard_mass"]) / mass
        of_volume = (half_width(stated["titre"]) ** 2 + half_width(stated["blank"]) ** 2) ** 0.5 / volume
        return strength, 1.0 / (strength**2 * (of_mass**2 + of_volume**2))

    def titrated(self, row):
        """Mass fraction of product in the sample of one titre."""
        volume = float(row["titre"]) - float(row["blank"] or 0.0)
        moles = volume * self.strengths[row["titrant"]] / 1000.0
        if row.get("back_titre"):
            moles -= float(row["back_titre"]) * self.strengths[row["back_titrant"]] / 1000.0
        sample = float(row["sample_mass"]) * float(row.get("aliquot") or 1.0) / float(row.get("dilution") or 1.0)
        return moles * self.file["titration"]["ratio"] * self.product / sample

    def crop(self, row):
        """One crop: each titre, the purity of what was weighed, and the pure product in it."""
        titres = [self.titrated(titre) for titre in self.rows("titres.csv", run=row["run"], crop=row["crop"])]
        purity = sum(titres) / len(titres)
        if self.file["titration"]["sample"] == "dried":
            purity *= 1.0 - float(row["moisture"])
        mass = float(row["mass"])
        return {"crop": int(row["crop"]), "titres": titres, "mass": mass, "purity": purity, "pure": mass * purity}

    def charged_residue(self, row):
        """Mass and assay of the residue charged, mixed of all that the runs named left."""
        mass = float(row.get("residue_mass") or 0.0)
        if mass == 0.0:
            return 0.0, 0.0
        donors = [self.rows("residues.csv", run=run)[0] for run in row["residue_from"].split(";")]
        masses = [float(donor["mass"]) for donor in donors]
        content = sum(mass * float(donor["assay"]) for mass, donor in zip(masses, donors))
        return mass, content / sum(masses)

    def chain(self, run):
        """Every step of one run."""
        (row,) = self.rows("runs.csv", run=run)
        (lot,) = self.rows("lots.csv", lot=row["lot"])
        feed = float(row["feed_mass"]) if "feed_mass" in row else 1000.0 * float(row["Scale charged (kg)"])
        residue_mass, residue_assay = self.charged_residue(row)
        fresh = feed * float(lot["assay"]) * self.per_feed
        again = residue_mass * residue_assay * self.per_feed
        crops = [self.crop(crop) for crop in self.rows("crops.csv", run=run)]
        pure, mass = sum(crop["pure"] for crop in crops), sum(crop["mass"] for crop in crops)
        chain = {
            "run": run,
            "feed_mass": feed,
            "feed_assay": float(lot["assay"]),
            "residue_mass": residue_mass,
            "residue_assay": residue_assay,
            "product_per_feed": self.per_feed,
            "theory_fresh": fresh,
            "theory_residue": again,
            "theory_total": fresh + again,
            "crops": crops,
            "pure": pure,
            "purity": pure / mass,
            "contained": pure / (fresh + again),
            "contained_fresh": pure / fresh,
            "closure": None,
        }
        if row.get("liquor_volume"):
            liquor = float(row["liquor_volume"]) * float(row["liquor_conc"]) / 1000.0
            (left,) = self.rows("residues.csv", run=run)
            residue = float(left["mass"]) * float(left["assay"]) * self.per_feed
            chain |= {"in_liquor": liquor, "in_residue": residue, "closure": (pure + liquor + residue) / (fresh + again)}
        return chain


def main():
    bluestone = Campaign(
        (CAMPAIGN / "campaign.toml").read_text(encoding="utf-8"),
        {name: (CAMPAIGN / name).read_text(encoding="utf-8") for name in LOGS},
    )
    invented = Campaign(INVENTED_CAMPAIGN, INVENTED_LOGS)
    result = {
        "made_by": "tests/check-scripts/chain.py",
        "sha256": {
            name: hashlib.sha256((CAMPAIGN / name).read_bytes()).hexdigest() for name in ["campaign.toml", *LOGS]
        },
        "bluestone": {"strengths": bluestone.strengths, "runs": [bluestone.chain(run) for run in RUNS]},
        "invented": {
            "campaign": INVENTED_CAMPAIGN,
            "logs": INVENTED_LOGS,
            "strengths": invented.strengths,
            "runs": [invented.chain(row["run"]) for row in invented.logs["runs.csv"]],
        },
    }
    text = json.dumps(result, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    (DATA / "chain.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
