"""How sure are the yields of the bluestone campaign, and how much of that do two runs share?

In: the logs in data-demo/bluestone, the constants of its campaign file, and the atomic weights in tests/data.
Out: tests/data/bluestone_uncertainties.json: strength of the titrants; contained yield, gross yield, purity and closure
of each run with their standard uncertainties; the parts of the variance by source and the effective degrees of
freedom of the contained yield; and, for pairs of runs, covariance, difference and ratio of their contained yields.
Propagated by the package `uncertainties`, which keeps what two results share as one variable each.
This script never reads anything that residuum wrote.

Run it with the versions in requirements.txt after every change of the logs:

    python tests/check-scripts/bluestone_uncertainties.py
"""

import hashlib
import json
import tomllib

import pandas as pd
from uncertainties import covariance_matrix, ufloat

from bluestone_statsmodels import CAMPAIGN, DATA, LOGS, atoms, feed_grams, read, stated

# Pairs of runs asked of each kind, spread evenly over all that there are.
PAIRS_OF_A_KIND = 8


def atomic_weights():
    """g/mol by symbol, one variable an element; a printed uncertainty is the half-width of a rectangle."""
    table = pd.read_csv(DATA / "atomic_weights_2021.csv")
    return {
        line.symbol: ufloat(line.abridged_standard_atomic_weight, line.uncertainty / 3.0**0.5, "atomic weights")
        for line in table.itertuples()
    }


def present(cell):
    """Whether a cell of a log holds anything."""
    return not pd.isna(cell)


class Bench:
    """The campaign with its variables: each named error is made once and shared by whatever depends on it."""

    def __init__(self, campaign):
        self.campaign = campaign
        self.weights = atomic_weights()
        assert campaign["uncertainty"]["shared"] == ["burette"]
        self.burette = ufloat(0.0, stated(campaign, "burette"), "burette calibration")
        self.lots = {
            line.lot: ufloat(
                line.assay,
                line.u_assay if present(line.u_assay) else stated(campaign, "assay"),
                f"assay of lot {line.lot}",
            )
            for line in read("lots.csv").itertuples()
        }
        self.degrees_of_freedom = {}
        # Product that fresh feed and residue of each run can give, g; the same variables as in its yields.
        self.charges = {}
        self.titrants = self.strengths()
        self.purities = self.titrated()
        self.residues = {
            line.run: (
                self.reading(line.mass, "residue_mass", "residue mass"),
                ufloat(line.assay, line.u_assay, "residue assay"),
            )
            for line in read("residues.csv").itertuples()
        }

    def reading(self, value, name, tag):
        """A reading with an error of its own, as large as the campaign file states."""
        return ufloat(value, stated(self.campaign, name), tag)

    def molar_mass(self, formula):
        """g/mol; all atoms of one element share its error."""
        return sum(count * self.weights[symbol] for symbol, count in atoms(formula).items())

    def strengths(self):
        """mol/L by titrant: lines weighted by the inverse variance of what no other line of the titrant shares."""
        lines, bottles = {}, {}
        for line in read("titrants.csv").itertuples():
            if present(line.concentration):
                strength = ufloat(line.concentration, line.u_concentration, f"concentration of {line.titrant}")
            else:
                moles = self.reading(line.standard_mass, "standard_mass", f"standard mass of {line.titrant}")
                # One bottle of standard: its purity is off by the same wherever it was weighed.
                bottle = (line.standard, line.standard_purity, line.u_standard_purity)
                tag = f"purity of the standard {line.standard}"
                moles *= bottles.setdefault(bottle, ufloat(line.standard_purity, line.u_standard_purity, tag))
                moles *= line.aliquot * line.standard_ratio / self.molar_mass(line.standard)
                volume = self.reading(line.titre, "titre", f"standardisation titre of {line.titrant}")
                volume -= self.reading(line.blank, "blank", f"standardisation blank of {line.titrant}")
                strength = 1000.0 * moles / (volume + self.burette)
            lines.setdefault(line.titrant, []).append(strength)
        return {titrant: self.weighted_mean(titrant, members) for titrant, members in lines.items()}

    def weighted_mean(self, titrant, members):
        """The weights are taken as exact; scatter beyond what the lines explain would need a source of its own."""
        held = [set(member.error_components()) for member in members]
        own = [
            sum(
                part**2
                for variable, part in member.error_components().items()
                if sum(variable in variables for variables in held) == 1
            )
            for member in members
        ]
        total = sum(1.0 / variance for variance in own)
        mean = sum(member * (1.0 / variance / total) for member, variance in zip(members, own))
        scatter = sum((member.n - mean.n) ** 2 / variance for member, variance in zip(members, own))
        # Upper 5 % points of chi-squared are above the degrees of freedom, so that this is the stricter question.
        assert len(members) == 1 or scatter <= len(members) - 1, f"{titrant} needs an error for its scatter"
        return mean

    def titrated(self):
        """Mass fraction of product by run and crop: the mean of its titres.

        Where samples were titrated twice, the scatter of the replicates, relative to the mean of each sample and
        pooled over all of them, stands for reading and end point, and for the blank, which each titration has for itself.
        """
        titration = self.campaign["titration"]
        assert titration["sample"] == "as weighed"
        log = read("titres.csv")
        assert not {"aliquot", "dilution", "back_titrant", "blank_of", "u_titre", "u_blank", "u_sample_mass"} & set(log.columns)
        log = log[log["titre"].notna() & log["crop"].str.fullmatch(r"\d+")]
        samples = list(log.groupby(["run", "crop"]))
        scatter = self.pooled_scatter(samples)
        product = self.molar_mass(titration["analyte"]) * titration["ratio"]
        purities = {}
        for (run, crop), lines in samples:
            results = []
            for line in lines.itertuples():
                volume = line.titre - line.blank + self.burette
                own = ufloat(1.0, scatter, "scatter of titrations")
                self.degrees_of_freedom[own] = self.scatter_degrees
                sample = self.reading(line.sample_mass, "sample_mass", "sample mass")
                results.append(volume / 1000.0 * self.titrants[line.titrant] * own * product / sample)
            purities[run, int(crop)] = sum(results) / len(results)
        return purities

    def pooled_scatter(self, samples):
        """Relative standard deviation of one titration; its degrees of freedom are replicates less samples."""
        square, degrees = 0.0, 0
        for _, lines in samples:
            strength = lines["titrant"].map({name: value.n for name, value in self.titrants.items()})
            # The molar mass and the ratio are common to all and drop out of a relative scatter.
            results = (lines["titre"] - lines["blank"]) * strength / lines["sample_mass"]
            square += ((results / results.mean() - 1.0) ** 2).sum()
            degrees += len(lines) - 1
        self.scatter_degrees = degrees
        return (square / degrees) ** 0.5

    def charged_assay(self, names):
        """Whole jars are mixed before a part is charged, so their assays count by mass."""
        jars = [self.residues[name] for name in names]
        return sum(mass * assay for mass, assay in jars) / sum(mass for mass, _ in jars)

    def runs(self):
        """Contained yield, gross yield, purity and closure of each run; None where a crop was not titrated."""
        settings = self.campaign["campaign"]
        product, assayed, followed = settings["product"], settings["assay_as"], settings["followed"]
        per_feed = self.molar_mass(product) / self.molar_mass(assayed)
        per_feed *= atoms(assayed)[followed] / atoms(product)[followed]
        log = read("runs.csv")
        assert not {"feed_assay", "residue_assay", "purity"} & set(log.columns)
        log["feed"] = feed_grams(log, self.campaign["columns"]["runs"]["feed_mass"])
        crops = read("crops.csv")
        results = {}
        for line in log.itertuples():
            feed = self.reading(line.feed, "feed_mass", "feed mass")
            sampling = self.reading(0.0, "sampling", "sampling of the bag")
            charged = feed * per_feed * (self.lots[line.lot] + sampling)
            fresh = charged
            if present(line.residue_mass) and line.residue_mass > 0.0:
                residue = self.reading(line.residue_mass, "residue_mass", "mass of residue charged")
                charged += residue * self.charged_assay(line.residue_from.split(";")) * per_feed
            self.charges[line.run] = (fresh, charged - fresh)
            mine = crops[crops["run"] == line.run]
            masses = {
                int(crop.crop): self.reading(crop.mass, "crop_mass", "crop mass") for crop in mine.itertuples()
            }
            weighed = sum(masses.values())
            result = {"gross": weighed / (feed * per_feed), "contained": None, "purity": None, "closure": None}
            if all((line.run, crop) in self.purities for crop in masses):
                pure = sum(mass * self.purities[line.run, crop] for crop, mass in masses.items())
                result["contained"] = pure / charged
                result["purity"] = pure / weighed
                out = pure
                if present(line.liquor_volume) and present(line.liquor_conc):
                    volume = self.reading(line.liquor_volume, "liquor_volume", "liquor volume")
                    out += volume * self.reading(line.liquor_conc, "liquor_conc", "liquor concentration") / 1000.0
                mass, assay = self.residues[line.run]
                result["closure"] = (out + mass * assay * per_feed) / charged
            results[line.run] = result
        return log, results

    def budget(self, result):
        """Part of the variance by name of source, and the effective degrees of freedom (Welch-Satterthwaite).

        The scatter of titrations is one estimate for all titres, so that its parts count together.
        """
        parts = {}
        for variable, part in result.error_components().items():
            parts[variable.tag] = parts.get(variable.tag, 0.0) + part**2
        variance = result.s**2
        shares = {tag: part / variance for tag, part in sorted(parts.items()) if part > 0.0}
        estimated = sum(
            part**2 for variable, part in result.error_components().items() if variable in self.degrees_of_freedom
        )
        return shares, variance**2 / (estimated**2 / self.scatter_degrees)


def pairs_by_kind(log, results, titrants):
    """Pairs of runs with yields, by what they share."""
    known = log[[results[run]["contained"] is not None for run in log["run"]]]
    lot, used = known.set_index("run")["lot"], {run: titrants[run] for run in known["run"]}
    names = list(known["run"])
    every = [(a, b) for place, a in enumerate(names) for b in names[place + 1 :]]
    donors = {
        line.run: line.residue_from.split(";") for line in known.itertuples() if present(line.residue_from)
    }
    chains = [(donor, run) for run, from_runs in donors.items() for donor in from_runs if donor in used]
    twice = [
        (first, run)
        for run, from_runs in donors.items()
        for donor in from_runs
        for first in donors.get(donor, [])
        if first in used
    ]
    kinds = {
        "same lot, same titrant": [p for p in every if lot[p[0]] == lot[p[1]] and used[p[0]] == used[p[1]]],
        "same lot, other titrant": [p for p in every if lot[p[0]] == lot[p[1]] and not used[p[0]] & used[p[1]]],
        "other lot, same titrant": [p for p in every if lot[p[0]] != lot[p[1]] and used[p[0]] == used[p[1]]],
        "other lot, other titrant": [p for p in every if lot[p[0]] != lot[p[1]] and not used[p[0]] & used[p[1]]],
        "residue of one charged into the other": chains,
        "residue of one in what the other charged of a third": twice,
    }
    for kind, members in kinds.items():
        assert members, kind
        step = max(1, len(members) // PAIRS_OF_A_KIND)
        for pair in members[::step][:PAIRS_OF_A_KIND]:
            yield kind, pair


def as_json(number):
    """Value and standard uncertainty."""
    return None if number is None else {"value": number.n, "u": number.s}


def main():
    campaign = tomllib.loads((CAMPAIGN / "campaign.toml").read_text(encoding="utf-8"))
    bench = Bench(campaign)
    log, results = bench.runs()
    titrants = read("titres.csv").groupby("run")["titrant"].agg(set)
    yields = []
    for run, result in results.items():
        entry = {"run": run} | {name: as_json(number) for name, number in result.items()}
        if result["contained"] is not None:
            entry["budget"], entry["effective_df"] = bench.budget(result["contained"])
        yields.append(entry)
    pairs = []
    for kind, (a, b) in pairs_by_kind(log, results, titrants):
        first, second = results[a]["contained"], results[b]["contained"]
        pairs.append(
            {
                "kind": kind,
                "runs": [a, b],
                "covariance": covariance_matrix([first, second])[0][1],
                "difference": as_json(first - second),
                "ratio": as_json(first / second),
            }
        )
    result = {
        "made_by": "tests/check-scripts/bluestone_uncertainties.py",
        "sha256": {
            name: hashlib.sha256((CAMPAIGN / name).read_bytes()).hexdigest() for name in ["campaign.toml", *LOGS]
        },
        "titrants": [{"titrant": name} | as_json(strength) for name, strength in bench.titrants.items()],
        "yields": yields,
        "pairs": pairs,
    }
    text = json.dumps(result, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    (DATA / "bluestone_uncertainties.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
