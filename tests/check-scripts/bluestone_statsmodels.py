"""What do the logs of the bluestone campaign say, worked out without residuum?

In: the logs in data-demo/bluestone, the constants of its campaign file, and the atomic weights in tests/data.
Out: tests/data/bluestone_statsmodels.json: contained yield, purity and oxidant excess of each run, and both models
(ordinary least squares with statsmodels: values, standard errors, t, p, residual SD, R squared).
This script never reads anything that residuum wrote.

Run it with the versions in requirements.txt after every change of the logs:

    python tests/check-scripts/bluestone_statsmodels.py
"""

import hashlib
import json
import re
import tomllib
from pathlib import Path

import numpy as np
import pandas as pd
import statsmodels.api as sm

HERE = Path(__file__).resolve().parent
CAMPAIGN = HERE.parents[1] / "data-demo" / "bluestone"
DATA = HERE.parent / "data"
LOGS = ["runs.csv", "lots.csv", "crops.csv", "titres.csv", "titrants.csv", "residues.csv"]


def atomic_weights():
    """Abridged standard atomic weights of 2021, g/mol."""
    table = pd.read_csv(DATA / "atomic_weights_2021.csv")
    return dict(zip(table["symbol"], table["abridged_standard_atomic_weight"]))


WEIGHTS = atomic_weights()


def atoms(formula):
    """Atoms by symbol of a formula without brackets, such as CuSO4·5H2O."""
    count = {}
    for part in formula.split("·"):
        times, rest = re.fullmatch(r"(\d*)(.+)", part).groups()
        assert re.fullmatch(r"(?:[A-Z][a-z]?\d*)+", rest), formula
        for symbol, number in re.findall(r"([A-Z][a-z]?)(\d*)", rest):
            count[symbol] = count.get(symbol, 0) + int(times or 1) * int(number or 1)
    return count


def molar_mass(formula):
    """g/mol."""
    return sum(number * WEIGHTS[symbol] for symbol, number in atoms(formula).items())


def read(name):
    """One log; text stays text, so that a run called 010 would not become 10."""
    return pd.read_csv(CAMPAIGN / name, dtype={"run": str, "lot": str, "crop": str, "titrant": str})


def column_or(table, name, default):
    """A column, with a default where it or its cell is absent."""
    if name not in table:
        return pd.Series(default, index=table.index, dtype=float)
    return table[name].astype(float).fillna(default)


def stated(campaign, name):
    """Standard uncertainty that the campaign file states for a reading, in the unit that it is logged in.

    A half-width of a rectangular distribution counts by the root of 3, that of a triangular one by the root of 6.
    """
    text = campaign["uncertainty"][name]
    figure, unit, shape = re.fullmatch(r"±?([\d.]+)\s*([^\s\d]*)\s*(rectangular|triangular)?", text).groups()
    assert unit in ("g", "mL", "g/L", ""), text
    assert (shape is not None) == text.startswith("±"), text
    return float(figure) / {None: 1.0, "rectangular": 3.0**0.5, "triangular": 6.0**0.5}[shape]


def titrant_concentrations(campaign):
    """mol/L by titrant: the mean of its lines, weighted by the inverse variance of what no other line shares.

    A line has its weighing, its titre and its blank for itself.
    Atomic weights, the purity of the one bottle of standard and the burette are shared by all lines and give no line
    more weight than another.
    """
    assert campaign["uncertainty"]["shared"] == ["burette"]
    log = read("titrants.csv")
    concentration = column_or(log, "concentration", np.nan)
    relative = column_or(log, "u_concentration", np.nan) / concentration
    standardised = log["standard"].notna()
    lines = log[standardised]
    bottle = lines[["standard", "standard_purity", "u_standard_purity"]]
    assert (bottle.groupby(lines["titrant"]).nunique(dropna=False) == 1).all(axis=None)
    moles = (
        lines["standard_mass"]
        * column_or(lines, "standard_purity", 1.0)
        * column_or(lines, "aliquot", 1.0)
        * lines["standard_ratio"]
        / lines["standard"].map(molar_mass)
    )
    volume = lines["titre"] - lines["blank"]
    concentration[standardised] = moles / (volume / 1000.0)
    relative[standardised] = np.sqrt(
        (stated(campaign, "standard_mass") / lines["standard_mass"]) ** 2
        + (stated(campaign, "titre") / volume) ** 2
        + (stated(campaign, "blank") / volume) ** 2
    )
    assert concentration.notna().all() and relative.notna().all()
    weight = 1.0 / (concentration * relative) ** 2
    return (weight * concentration).groupby(log["titrant"]).sum() / weight.groupby(log["titrant"]).sum()


def crop_purities(campaign):
    """Mass fraction by run and crop: the plain mean of the titres of the crop."""
    titration = campaign["titration"]
    assert titration["sample"] == "as weighed"
    log = read("titres.csv")
    assert "back_titrant" not in log or log["back_titrant"].isna().all()
    log = log[log["titre"].notna() & log["crop"].str.fullmatch(r"\d+")]
    volume = (log["titre"] - column_or(log, "blank", 0.0)) / 1000.0
    strength = log["titrant"].map(titrant_concentrations(campaign))
    moles = volume * strength * titration["ratio"] * column_or(log, "dilution", 1.0)
    purity = moles * molar_mass(titration["analyte"]) / (log["sample_mass"] * column_or(log, "aliquot", 1.0))
    return purity.groupby([log["run"], log["crop"]]).mean().rename("purity")


def residue_assays(runs):
    """Assay of the residue charged: as logged, else that of the residues of the runs that it came from.

    Residue of several runs is whole jars mixed before a part is charged: the mean of their assays by logged mass.
    """
    jars = read("residues.csv").set_index("run")
    assert "moisture" not in jars

    def mixed(names):
        taken = jars.loc[names.split(";")]
        return (taken["mass"] * taken["assay"]).sum() / taken["mass"].sum()

    assay = column_or(runs, "residue_assay", np.nan)
    charged = runs["residue_mass"] > 0
    sources = runs.loc[charged & assay.isna(), "residue_from"]
    assert sources.notna().all(), "each charge of residue has an assay or a source"
    assay[sources.index] = sources.map(mixed)
    return assay.where(charged, 0.0)


def comparable_runs(campaign):
    """The runs, with what makes them comparable: yield, purity, oxidant_excess, residue_ratio."""
    settings, oxidant = campaign["campaign"], campaign["oxidant"]
    product, assayed, followed = settings["product"], settings["assay_as"], settings["followed"]
    own = campaign["columns"]["runs"]["feed_mass"]
    runs = read("runs.csv")
    feed = feed_grams(runs, own)
    residue_mass = column_or(runs, "residue_mass", 0.0)
    runs["residue_mass"] = residue_mass
    lots = read("lots.csv").set_index("lot")
    assay = runs["lot"].map(lots["assay"])
    content = feed * assay + residue_mass * residue_assays(runs)
    followed_moles = content * atoms(assayed)[followed] / molar_mass(assayed)
    theory = followed_moles / atoms(product)[followed] * molar_mass(product)

    crops = read("crops.csv").merge(crop_purities(campaign).reset_index(), on=["run", "crop"], how="left")
    crops["pure"] = crops["mass"] * crops["purity"]
    # A crop without purity leaves the sum of its run without a value.
    by_run = crops.groupby("run")
    pure = by_run["pure"].sum(min_count=1).where(by_run["pure"].apply(lambda crop: crop.notna().all()))
    mass = by_run["mass"].sum()
    runs["yield"] = runs["run"].map(pure) / theory
    runs["purity"] = runs["run"].map(pure / mass)

    taken = runs["oxidant_mass"] * oxidant["assay"] * oxidant["electrons"] / molar_mass(oxidant["formula"])
    given = oxidant["needed"] * followed_moles
    for column, impurity in oxidant.get("impurities", {}).items():
        fraction = runs["lot"].map(lots[column])
        given += feed * fraction * impurity["electrons"] / molar_mass(impurity["formula"])
    runs["oxidant_excess"] = 100.0 * (taken / given - 1.0)
    runs["residue_ratio"] = residue_mass / feed
    return runs


def feed_grams(runs, own):
    """Fresh feed, g, from the campaign's own heading, with or without its unit."""
    heading = own["heading"] if isinstance(own, dict) else own
    found = [name for name in runs.columns if re.split(r"\s*[/(\[]", name)[0] == re.split(r"\s*[/(\[]", heading)[0]]
    assert len(found) == 1, found
    stated = re.search(r"[/(\[]\s*(\w+)", found[0])
    unit = own.get("unit") if isinstance(own, dict) else None
    unit = unit or (stated.group(1) if stated else "g")
    return runs[found[0]] * {"g": 1.0, "kg": 1000.0}[unit]


def choice_columns(used, factor, baseline):
    """Indicators of every level but the baseline, in byte order."""
    levels = sorted(set(used[factor]) - {baseline}, key=lambda level: level.encode())
    return {f"{factor}: {level}": (used[factor] == level).to_numpy(float) for level in levels}


def fit(used, response, campaign):
    """Ordinary least squares with statsmodels.

    The amount that has a square is centred and scaled before it is squared, which keeps the columns nearly
    orthogonal; values and covariance are then brought back to natural units by the linear map that expands
    b1 z + b2 z^2 with z = (x - c) / s.
    """
    model, factors = campaign["model"], campaign["factors"]
    assert model["effects"] == ["heating", "oxidant_excess", "route", "residue_ratio"]
    assert model["joint"] == [["route", "residue_ratio"]] and model["curved"] == {"oxidant_excess": 2}
    excess = used["oxidant_excess"].to_numpy(float)
    ratio = used["residue_ratio"].to_numpy(float)
    centre, scale = (excess.max() + excess.min()) / 2.0, (excess.max() - excess.min()) / 2.0
    coded = (excess - centre) / scale
    route = choice_columns(used, "route", factors["route"]["baseline"])
    columns = {"constant": np.ones(len(used))}
    columns |= choice_columns(used, "heating", factors["heating"]["baseline"])
    columns |= {"oxidant_excess": coded, "oxidant_excess to the 2": coded**2}
    columns |= route | {"residue_ratio": ratio}
    columns |= {f"{name} with residue_ratio": column * ratio for name, column in route.items()}

    names = list(columns)
    result = sm.OLS(used[response].to_numpy(float), np.column_stack(list(columns.values()))).fit(method="qr")
    place = {name: index for index, name in enumerate(names)}
    natural = np.eye(len(names))
    first, second = place["oxidant_excess"], place["oxidant_excess to the 2"]
    natural[place["constant"], first] = -centre / scale
    natural[place["constant"], second] = (centre / scale) ** 2
    natural[first, first] = 1.0 / scale
    natural[first, second] = -2.0 * centre / scale**2
    natural[second, second] = 1.0 / scale**2
    test = result.t_test(natural)
    return {
        "runs": len(used),
        "residual_df": int(result.df_resid),
        "residual_sd": float(np.sqrt(result.mse_resid)),
        "r_squared": float(result.rsquared),
        "adjusted_r_squared": float(result.rsquared_adj),
        "f": float(result.fvalue),
        "f_p": float(result.f_pvalue),
        "terms": [
            {"term": name, "value": float(value), "u": float(error), "t": float(t), "p": float(p)}
            for name, value, error, t, p in zip(
                names, test.effect, np.ravel(test.sd), np.ravel(test.tvalue), np.ravel(test.pvalue)
            )
        ],
    }


def number_or_none(value):
    """JSON has no NaN."""
    return None if pd.isna(value) else float(value)


def main():
    campaign = tomllib.loads((CAMPAIGN / "campaign.toml").read_text(encoding="utf-8"))
    runs = comparable_runs(campaign)
    used = runs[runs["set_aside"].isna() & runs["yield"].notna()]
    result = {
        "made_by": "tests/check-scripts/bluestone_statsmodels.py",
        "sha256": {name: hashlib.sha256((CAMPAIGN / name).read_bytes()).hexdigest() for name in LOGS},
        "yields": [
            {
                "run": line.run,
                "contained": number_or_none(line.contained),
                "purity": number_or_none(line.purity),
                "oxidant_excess": number_or_none(line.oxidant_excess),
            }
            for line in runs.rename(columns={"yield": "contained"}).itertuples()
        ],
        "models": {response: fit(used, response, campaign) for response in ("yield", "purity")},
    }
    text = json.dumps(result, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    (DATA / "bluestone_statsmodels.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
