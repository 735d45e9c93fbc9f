"""What mother liquor, and residue out of a jar, bring into the runs of an invented campaign, worked out without residuum.

In: tests/data/carried_on/, invented logs of a nickel salt; the atomic weights in tests/data.
Out: tests/data/carried_on.json: theory, contained yield and closure of each run with their standard uncertainties, propagated by the
package `uncertainties`; what was charged of each residue; the extra product and the gain of a run by the liquor charged into it.
This script never reads anything that residuum wrote.

A jar holds what was put into it by runs made before; what is charged takes of each in proportion to what is still there. Residue is
assayed as it was left; charged with a moisture of its own, it holds its assay free of moisture times one less that moisture.
The model of yield is ordinary least squares, and the charge is the middle of those that were made.

    python tests/check-scripts/carried_on.py
"""

import json
import tomllib

import numpy as np
import pandas as pd
from scipy import stats
from uncertainties import ufloat

from bluestone_statsmodels import DATA, atoms
from bluestone_uncertainties import atomic_weights, present

FOLDER = DATA / "carried_on"


def quantity(text):
    return float(text.split()[0])


def shares_of(sources, jars, left, made):
    """Share of each run in a charge: of the residue still in jars, and of what other runs named left."""
    parts = []
    for source in sources:
        if source in jars:
            parts += [(run, mass) for run, mass in jars[source].items() if run in made]
        else:
            parts.append((source, left[source]))
    total = sum(mass for _, mass in parts)
    return [(run, mass / total) for run, mass in parts]


class Campaign:
    def __init__(self):
        self.plan = tomllib.loads((FOLDER / "campaign.toml").read_text(encoding="utf-8"))
        self.weights = atomic_weights()
        self.stated = {name: quantity(str(text)) for name, text in self.plan["uncertainty"].items()}
        product, assayed = self.plan["campaign"]["product"], self.plan["campaign"]["assay_as"]
        self.per_feed = self.molar_mass(product) / self.molar_mass(assayed)
        lot = pd.read_csv(FOLDER / "lots.csv").iloc[0]
        self.lot = ufloat(lot["assay"], lot["u_assay"])
        self.runs = pd.read_csv(FOLDER / "runs.csv").rename(columns=lambda name: name.split(" / ")[0])
        residues = pd.read_csv(FOLDER / "residues.csv").rename(columns=lambda name: name.split(" / ")[0])
        self.left = dict(zip(residues["run"], residues["mass"]))
        self.crops = pd.read_csv(FOLDER / "crops.csv").rename(columns=lambda name: name.split(" / ")[0]).set_index("run")
        self.iron = dict(zip(residues["run"], residues["Fe"] * 1e-6))
        self.jars = {}
        for line in residues[residues["jar"].notna()].itertuples():
            self.jars.setdefault(line.jar, {})[line.run] = line.mass
        self.residues = {
            line.run: (
                self.reading(line.mass, "residue_mass"),
                self.reading(line.assay, "residue_assay"),
                self.reading(line.moisture, "moisture"),
            )
            for line in residues.itertuples()
        }
        self.liquors = {
            line.run: (self.reading(line.liquor_volume, "liquor_volume"), self.reading(line.liquor_conc, "liquor_conc"))
            for line in self.runs.itertuples()
        }
        self.taken = dict.fromkeys(self.left, 0.0)
        self.iron_in = dict.fromkeys(self.left, 0.0)

    def molar_mass(self, formula):
        return sum(count * self.weights[symbol] for symbol, count in atoms(formula).items())

    def reading(self, value, name):
        return ufloat(value, self.stated[name])

    def residue_in(self, line, made):
        """Product that the residue charged can give, g."""
        if not present(line.residue_mass):
            return None
        mass = self.reading(line.residue_mass, "residue_mass")
        sources = line.residue_from.split(";")
        parts = shares_of(sources, self.jars, self.left, made)
        self.iron_in[line.run] = line.residue_mass * sum(share * self.iron[run] for run, share in parts)
        for run, share in parts:
            self.taken[run] += share * line.residue_mass
            for held in self.jars.values():
                if run in held:
                    held[run] = max(held[run] - share * line.residue_mass, 0.0)
        assay = 0.0
        dry = self.reading(line.residue_moisture, "moisture") if present(line.residue_moisture) else None
        for run, share in parts:
            _, own, moisture = self.residues[run]
            assay += share * (own if dry is None else own / (1.0 - moisture) * (1.0 - dry))
        return mass * assay * self.per_feed

    def liquor_in(self, line):
        """Product in the mother liquor charged, g."""
        if not present(line.liquor_in):
            return None
        volume = self.reading(line.liquor_in, "liquor_volume")
        if present(line.liquor_in_conc):
            return volume * self.reading(line.liquor_in_conc, "liquor_conc") / 1000.0
        liquors = [self.liquors[run] for run in line.liquor_from.split(";")]
        return volume * sum(v * c for v, c in liquors) / sum(v for v, _ in liquors) / 1000.0

    def worked_out(self):
        found, made = [], set()
        self.flows = [[], []]
        for line in self.runs.itertuples():
            feed = self.reading(line.feed_mass, "feed_mass")
            fresh = feed * self.per_feed * (self.lot + self.reading(0.0, "sampling"))
            residue, liquor = self.residue_in(line, made), self.liquor_in(line)
            theory = fresh + (residue or 0.0) + (liquor or 0.0)
            pure = self.reading(self.crops["mass"][line.run], "crop_mass") * self.reading(line.purity, "purity")
            volume, strength = self.liquors[line.run]
            mass, assay, _ = self.residues[line.run]
            held = (mass * assay * self.per_feed).n
            whole = 0.0 if residue is None else line.residue_mass
            self.flows[0].append([fresh.n, residue.n if residue is not None else 0.0, held])
            self.flows[1].append([line.feed_mass - fresh.n / self.per_feed.n, whole - (residue.n if residue is not None else 0.0) / self.per_feed.n, mass.n * (1.0 - assay.n)])
            out = pure + volume * strength / 1000.0 + mass * assay * self.per_feed
            found.append({"run": line.run, "fresh": fresh, "liquor": liquor, "theory": theory, "yield": pure / theory, "closure": out / theory})
            made.add(line.run)
        self.flows = [np.array(kind) for kind in self.flows]
        return found


def build_up(campaign):
    """Iron in the product of a run without residue and of each cycle, mass fractions, with half the width of its interval.

    The charge is the residue of the run before less what is thrown away, never more than was ever charged; element and other solids
    go round apart.
    """
    runs, plan = campaign.runs, campaign.plan["recycling"]
    feed = runs["feed_mass"].to_numpy(float)
    charged = runs["residue_mass"].fillna(0.0).to_numpy(float)
    left = np.array([campaign.left[run] for run in runs["run"]])
    crops = campaign.crops["mass"].loc[runs["run"]].to_numpy(float)
    iron_in = np.array([campaign.iron_in[run] for run in runs["run"]])
    iron_left = left * np.array([campaign.iron[run] for run in runs["run"]])
    iron_out = crops * campaign.crops["Fe"].loc[runs["run"]].to_numpy(float) * 1e-6

    def fitted(design, response):
        slopes, squares, *_ = np.linalg.lstsq(np.column_stack(design), response, rcond=None)
        gram = np.linalg.inv(np.column_stack(design).T @ np.column_stack(design))
        return slopes, gram * squares[0] / (len(response) - 2)

    stays, _ = fitted([feed, iron_in], iron_left)
    goes, error = fitted([feed, iron_in], iron_out)
    made, _ = fitted([feed, charged], crops)
    factor = stats.t.ppf(0.975, len(runs) - 2)
    usual = feed.mean()

    def content(taken, residue):
        at = np.array([usual, taken])
        grams = made @ [usual, residue]
        return [at @ goes / grams, factor * (at @ error @ at) ** 0.5 / grams]

    # The charge by mass: what stays of the element and of all else, as the runs show it.
    flows = campaign.flows
    (element, _), (other, _) = (fitted([flows[kind][:, 0], flows[kind][:, 1]], flows[kind][:, 2]) for kind in (0, 1))
    per_feed = campaign.per_feed.n
    of_feed = sum(flows[0][:, 0]) / feed.sum() * usual
    most = (charged / feed).max() * usual
    x, y, taken, cycles, masses = 0.0, 0.0, 0.0, [], []
    keep = 1.0 - plan["bleed"]
    for _ in range(plan["cycles"]):
        x, y = keep * (element @ [of_feed, x]), keep * (other @ [usual - of_feed / per_feed, y])
        mass = x / per_feed + y
        fits = min(1.0, most / mass)
        x, y, mass = fits * x, fits * y, fits * mass
        taken = keep * fits * (stays @ [usual, taken])
        cycles.append(content(taken, mass))
        masses.append(mass)
    return {"without": content(0.0, 0.0), "cycles": cycles, "residue": masses}


def main():
    campaign = Campaign()
    found = campaign.worked_out()
    runs, prices = campaign.runs, campaign.plan["prices"]
    feed = runs["feed_mass"].to_numpy(float)
    liquor = runs["liquor_in"].fillna(0.0).to_numpy(float) / feed
    residue = runs["residue_mass"].fillna(0.0).to_numpy(float) / feed
    design = np.column_stack([np.ones(len(runs)), liquor, residue])

    def means(response, ratio):
        coefficients = np.linalg.lstsq(design, response, rcond=None)[0]
        return [np.array([1.0, at, residue.mean()]) @ coefficients for at in (ratio, 0.0)]

    ratio = float(np.median(liquor[liquor > 0.0]))
    grams = feed.mean()
    of_feed = sum(line["fresh"].n for line in found) / feed.sum()
    of_liquor = sum(line["liquor"].n for line in found if line["liquor"] is not None) / runs["liquor_in"].sum()
    yields = means(np.array([line["yield"].n for line in found]), ratio)
    labour = means(runs["labour"].to_numpy(float), ratio)
    made = [yields[0] * grams * (of_feed + ratio * of_liquor), yields[1] * grams * of_feed]
    price = {name: quantity(prices[name]) / 1000.0 for name in ("feed", "product")}
    hour = quantity(prices["labour"]) / 60.0
    more_labour = (labour[0] - labour[1]) * hour
    less_feed = grams - made[1] / (made[0] / grams)
    run = grams * price["feed"] + quantity(prices["heat"]) + labour[1] * hour
    result = {
        "made_by": "tests/check-scripts/carried_on.py",
        "runs": [
            {"run": line["run"]}
            | {key: {"value": line[key].n, "u": line[key].s} for key in ("theory", "yield", "closure")}
            for line in found
        ],
        "taken": campaign.taken,
        "iron": build_up(campaign),
        "kept": int((campaign.crops["Fe"] <= 40.0).sum()),
        "ratio": ratio,
        "extra_product": made[0] - made[1],
        "product": (made[0] - made[1]) * price["product"] - more_labour,
        "feed": less_feed * price["feed"] - more_labour,
        "saved_runs": run * (made[0] / made[1] - 1.0) - more_labour,
    }
    text = json.dumps(result, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    (DATA / "carried_on.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
