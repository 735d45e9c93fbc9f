"""Writes invented campaigns like `data-demo/bluestone`, of any size, the same for the same call.

In: a folder, a number of runs, and what is to be made hard. Out: `campaign.toml` and its logs in that folder.
Only the standard library is used. Two crops a run, two titres a crop, one residue a run.

    python campaigns.py FOLDER --runs 10000
    python campaigns.py FOLDER --standardisations 300
"""

import argparse
import datetime
import pathlib
import random
import re

DEMO = pathlib.Path(__file__).resolve().parents[2] / "data-demo" / "bluestone" / "campaign.toml"

# Molar masses in g/mol, from the standard atomic weights of 2021 (IUPAC), rounded.
PRODUCT, OXIDE, IODATE, PEROXIDE, CARBON = 249.685, 79.545, 214.00, 34.014, 12.011

HEATINGS = {"muffle": 0.0, "hob": -0.048, "torch": -0.021, "kiln": -0.03}
ROUTES = {"chill": (0.0, 0.9995), "boildown": (0.058, 0.9955), "spirit": (0.032, 0.9985)}


def write(folder, runs, standardisations=0, levels=0, columns=0, residue_assays=True, seed=20261130):
    """Writes one campaign; a titrant is standardised twice on a day."""
    draw = random.Random(seed)
    folder = pathlib.Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    text = DEMO.read_text(encoding="utf-8").replace('readings = "furnace/*.csv"', '# readings = "furnace/*.csv"')
    text = re.sub(r"(?m)^\[readings\]\n.*\n", "", text)
    text = text.replace("Bluestone from annealing scale, autumn campaign", f"Bluestone, {runs} runs of a benchmark")
    if levels:
        text = text.replace("[factors.oxidant_excess]", '[factors.bench_place]\nkind = "choice"\n\n[factors.oxidant_excess]', 1)
        text = text.replace('effects = ["heating",', 'effects = ["bench_place", "heating",')
    (folder / "campaign.toml").write_text(text, encoding="utf-8")
    days = [datetime.date(2015, 1, 5) + datetime.timedelta(run // max(1, runs // 2500)) for run in range(runs)]
    lots = lot_table(draw, 5 + runs // 500)
    titrants, strengths = titrant_table(draw, runs, days, standardisations)
    logs = {
        "lots": ["lot,assay,u_assay,price,carbon"] + [",".join(map(str, lot)) for lot in lots],
        "titrants": titrants,
        "runs": ["run,date,lot,Scale charged (kg),oxidant_mass,residue_mass,residue_from,labour,liquor_volume,"
                 "liquor_conc,heating,route,filter_minutes,acid_mass,alcohol_mass"],
        "crops": ["run,crop,mass,moisture,liquor_volume,temperature"],
        "titres": ["run,crop,sample_mass,titrant,titre,blank"],
        "residues": ["run,mass,assay,u_assay" if residue_assays else "run,mass"],
    }
    if levels:
        logs["runs"][0] += ",bench_place"
    logs["runs"][0] += "".join(f",own column {position:05}" for position in range(columns))
    block = [draw.gauss(0, 0.008) for _ in lots]
    left = None
    for run in range(runs):
        name = f"B-{run + 1:06}"
        lot = run * len(lots) // runs
        heating, route = draw.choice(list(HEATINGS)), draw.choice(list(ROUTES))
        feed = round(draw.gauss(0.5, 0.005), 4)
        fresh = 1000 * feed * lots[lot][1] / OXIDE
        residue, source, back = "0", "", 0.0
        if left and run % 5 in (1, 3):
            residue, source, back = f"{left[1]:.1f}", left[0], left[1] * left[2] / OXIDE
        excess = draw.uniform(15, 115)
        metal = 0.4 * fresh + 4 * 1000 * feed * lots[lot][4] / CARBON
        oxidant = round((1 + excess / 100) * metal / 2 * PEROXIDE / 0.30)
        ratio = float(residue) / (1000 * feed)
        made = 0.55 + HEATINGS[heating] + ROUTES[route][0] + 0.00187 * excess - 0.000011 * excess**2
        made += block[lot] - 0.09 * ratio * (1.6 if route == "boildown" else 1) + draw.gauss(0, 0.012)
        charged = fresh + back
        in_liquor = draw.uniform(0.13, 0.16)
        content = draw.uniform(0.4, 0.65)
        residue_mass = (1 - made - in_liquor + draw.gauss(0, 0.006)) * charged * OXIDE / content
        liquor = draw.uniform(900, 3000)
        place = f",place {run % levels:03}" if levels else ""
        own = "".join(f",{draw.randrange(1000)}" for _ in range(columns))
        logs["runs"].append(
            f"{name},{days[run]},{lots[lot][0]},{feed},{oxidant},{residue},{source},{draw.gauss(70, 9):.0f},{liquor:.0f},"
            f"{in_liquor * charged * PRODUCT / liquor * 1000:.1f},{heating},{route},{draw.gauss(17, 4) + 20 * ratio:.1f},"
            f"{1.15 * charged * 98:.0f},{1000 if route == 'spirit' else 0}{place}{own}")
        for crop, share in ((1, 0.8), (2, 0.2)):
            purity = ROUTES[route][1] - 0.003 * ratio - 0.002 * (crop - 1) + draw.gauss(0, 0.0008)
            moisture = draw.uniform(0.0005, 0.002)
            mass = share * made * charged * PRODUCT / purity
            logs["crops"].append(f"{name},{crop},{mass:.1f},{moisture:.4f},{liquor / crop:.0f},{draw.uniform(5, 20):.1f}")
            for _ in range(2):
                titrant, strength = strengths[run]
                sample = draw.gauss(1.0, 0.02)
                blank = draw.uniform(0.05, 0.09)
                titre = 1000 * sample * purity / PRODUCT / strength + blank + draw.gauss(0, 0.03)
                logs["titres"].append(f"{name},{crop},{sample:.4f},{titrant},{titre:.2f},{blank:.2f}")
        logs["residues"].append(f"{name},{residue_mass:.1f}" + (f",{content:.4f},0.006" if residue_assays else ""))
        left = (name, 0.98 * residue_mass, content)
    for log, lines in logs.items():
        (folder / f"{log}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


def lot_table(draw, count):
    """Bags of scale: name, assay as oxide, its standard uncertainty, price and carbon."""
    return [("ABCDE"[lot] if lot < 5 else f"L{lot + 1:03}", round(draw.gauss(0.83, 0.025), 3), 0.005, round(draw.gauss(4.1, 0.3), 2),
             round(draw.uniform(0.003, 0.007), 4)) for lot in range(count)]


def titrant_table(draw, runs, days, standardisations):
    """A titrant for 2,000 runs with six standardisations, or one for all with as many as asked for; strengths by run."""
    rows = ["titrant,date,concentration,u_concentration,standard,standard_mass,standard_purity,u_standard_purity,"
            "standard_ratio,titre,blank,aliquot"]
    strengths = []
    batch = runs if standardisations else 2000
    for first in range(0, runs, batch):
        name, strength = f"T{first // batch + 1}", draw.gauss(0.1, 0.0004)
        of_batch = days[first:first + batch]
        count = standardisations or 6
        for at in range(count):
            day = of_batch[at // 2 * 2 * len(of_batch) // count]
            mass, blank = draw.gauss(0.715, 0.006), draw.uniform(0.06, 0.09)
            titre = 0.2 * 1000 * 6 * mass * 0.9994 / IODATE / strength + blank + draw.gauss(0, 0.03)
            rows.append(f"{name},{day},,,KIO3,{mass:.4f},0.9994,0.0002,6,{titre:.2f},{blank:.2f},0.2")
        strengths += [(name, strength)] * len(of_batch)
    return rows, strengths


if __name__ == "__main__":
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("folder")
    words.add_argument("--runs", type=int, default=60)
    words.add_argument("--standardisations", type=int, default=0, help="of one titrant for all runs")
    words.add_argument("--levels", type=int, default=0, help="levels of one more choice")
    words.add_argument("--columns", type=int, default=0, help="further columns of the runs log")
    words.add_argument("--without-residue-assays", action="store_true")
    given = words.parse_args()
    write(given.folder, given.runs, given.standardisations, given.levels, given.columns,
          not given.without_residue_assays)
