"""The job of `residuum report` as a fair script does it: read, join, yields with ±, fits, charts, Markdown.

In: a folder of `campaigns.py`, and one to write to. Out: `report.md`, charts as SVG, a table of yields.
It does less than the program: uncertainties are combined in squares run by run, fits are ordinary least squares with the
lots as a factor, nothing is refitted and no decision is made.

    python script.py CAMPAIGN OUT
"""

import pathlib
import sys

import matplotlib

matplotlib.use("svg")
import matplotlib.pyplot as plt
import numpy as np
import pandas as pd
import statsmodels.formula.api as smf

# Molar masses in g/mol, from the standard atomic weights of 2021 (IUPAC), rounded.
PRODUCT, OXIDE, IODATE, PEROXIDE, CARBON = 249.685, 79.545, 214.00, 34.014, 12.011


def main(folder, out):
    log = lambda name: pd.read_csv(folder / f"{name}.csv")
    runs = log("runs").rename(columns={"Scale charged (kg)": "feed"})
    out.mkdir(parents=True, exist_ok=True)
    purity = purities(log("titres"), log("titrants"))
    crops = log("crops").merge(purity, on=["run", "crop"])
    crops["pure"] = crops.mass * crops.purity
    # 0.029 g: rectangular, half a tenth of a gram; relative errors of two titres and of what their titrant rests on.
    crops["u2"] = (0.029 * crops.purity) ** 2 + (crops.pure * crops.u_purity / crops.purity) ** 2
    made = crops.groupby("run", sort=False)[["mass", "pure", "u2"]].sum()
    runs = runs.merge(made, left_on="run", right_index=True).merge(log("lots"), on="lot")
    residue = log("residues").rename(columns={"run": "residue_from", "mass": "out", "assay": "content"})
    runs = runs.merge(residue[["residue_from", "content", "u_assay"]].rename(columns={"u_assay": "u_content"}), how="left")
    fresh = 1000 * runs.feed * runs.assay
    back = (runs.residue_mass * runs.content).fillna(0)
    theory = (fresh + back) / OXIDE * PRODUCT
    runs["y"], runs["purity"] = runs.pure / theory, runs.pure / runs["mass"]
    u_theory = np.hypot(1000 * runs.feed * runs.u_assay, (runs.residue_mass * runs.u_content).fillna(0)) / OXIDE * PRODUCT
    runs["u_y"] = runs.y * np.sqrt(runs.u2 / runs.pure**2 + (u_theory / theory) ** 2)
    metal = 0.4 * (fresh + back) / OXIDE + 4 * 1000 * runs.feed * runs.carbon / CARBON
    runs["excess"] = 100 * (runs.oxidant_mass * 0.30 / PEROXIDE * 2 / metal - 1)
    runs["ratio"] = runs.residue_mass / (1000 * runs.feed)
    page = ["# Bluestone", f"{len(runs)} runs, yield {100 * runs.y.mean():.1f} %", "## Effects"]
    fits = {}
    for name in ("y", "purity"):
        wanted = f"{name} ~ C(heating) + excess + I(excess**2) + C(route) * ratio + C(lot)"
        fits[name] = smf.ols(wanted, runs).fit()
        table = fits[name].summary2().tables[1]
        page += [f"### {name}", "```", table[~table.index.str.contains("lot")].to_string(), "```"]
    page += ["## Runs", "| run | yield | ± | purity |", "| --- | ---: | ---: | ---: |"]
    rows = zip(runs.run, 100 * runs.y, 200 * runs.u_y, 100 * runs.purity)
    page += [f"| {run} | {y:.1f} | {u:.1f} | {purity:.2f} |" for run, y, u, purity in rows]
    page += [f"![{name}]({name}.svg)" for name in charts(runs, fits, out)]
    (out / "report.md").write_text("\n\n".join(page[:2]) + "\n" + "\n".join(page[2:]) + "\n", encoding="utf-8")
    runs.to_csv(out / "yields.csv", index=False)


def purities(titres, titrants):
    """Purity of each crop with its standard uncertainty, replicates averaged."""
    weighed = titrants.assign(c=1000 * 6 * titrants.standard_mass * titrants.standard_purity * titrants.aliquot
                              / IODATE / (titrants.titre - titrants.blank))
    strength = weighed.groupby("titrant").c.agg(["mean", "std", "count"])
    titres = titres.merge(strength, left_on="titrant", right_index=True)
    titres["purity"] = (titres.titre - titres.blank) * titres["mean"] / 1000 * PRODUCT / titres.sample_mass
    own = np.hypot(0.03 / titres.titre, 0.0002 / titres.sample_mass)
    titres["own2"] = (titres.purity * own) ** 2
    titres["shared"] = titres.purity * titres["std"] / titres["mean"] / np.sqrt(titres["count"])
    found = titres.groupby(["run", "crop"]).agg(purity=("purity", "mean"), own2=("own2", "mean"),
                                                count=("own2", "size"), shared=("shared", "mean"))
    found["u_purity"] = np.sqrt(found.own2 / found["count"] + found.shared**2)
    return found[["purity", "u_purity"]].reset_index()


def charts(runs, fits, out):
    """Charts as vector graphics; of more than 2,000 runs evenly spread ones are drawn."""
    few = runs.iloc[:: -(-len(runs) // 2000)]
    places = few.index.to_numpy()

    def save(name, draw):
        figure, axes = plt.subplots(figsize=(8, 5))
        draw(axes)
        figure.savefig(out / f"{name}.svg")
        plt.close(figure)
        return name

    left = fits["y"].resid.loc[places]
    return [
        save("yields", lambda axes: axes.errorbar(places, few.y, 2 * few.u_y, fmt="o", ms=2)),
        save("yield-and-purity", lambda axes: axes.plot(few.y, few.purity, "o", ms=2)),
        save("left-over", lambda axes: axes.plot(fits["y"].fittedvalues.loc[places], left, "o", ms=2)),
        save("left-over-in-order", lambda axes: axes.plot(places, left, "o", ms=2)),
        save("routes", lambda axes: few.boxplot("y", by="route", ax=axes)),
        save("recent", lambda axes: axes.plot(places, few.y.ewm(alpha=0.2).mean(), "-")),
        save("added-up", lambda axes: axes.plot(places, (few.y - few.y.mean()).cumsum(), "-")),
    ]


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2]))
