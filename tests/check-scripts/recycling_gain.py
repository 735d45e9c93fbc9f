"""What does a charged run of the bluestone campaign gain, worked out without residuum?

In: the logs in data-demo/bluestone, its campaign file, and the atomic weights in tests/data.
Out: tests/data/recycling_gain.json: the reference charge, contents, yields with and without residue, extra product, each term
of the gain, and the gain with its standard uncertainty.
This script never reads anything that residuum wrote.

Yields and contents come from `bluestone_uncertainties.py`, one variable for each error, so that an assay that is wrong moves
yields and contents against each other. The model of yield is fitted by restricted likelihood with dense matrices of
`measured_fit.py`: known errors at the fitted values, lots as a random block, errors of the coefficients after Kenward and
Roger. What runs take of further reagents and leave as residue is fitted in the same way without known errors.

Run it with the versions in requirements.txt after every change of the logs:

    python tests/check-scripts/recycling_gain.py
"""

import hashlib
import json
import tomllib

import numpy as np
from uncertainties import correlated_values, ufloat

from bluestone_statsmodels import CAMPAIGN, DATA, LOGS, atoms, choice_columns, comparable_runs, molar_mass, read
from bluestone_uncertainties import Bench
from measured_fit import Restricted, indicators, small_sample

# Errors that are as large in grams however much product there is; all others grow with the yield.
FIXED = "crop mass"


def price(text):
    """Currency per gram or per minute."""
    figure, unit = text.split()
    return float(figure) / {"/kg": 1000.0, "/h": 60.0, "min/run": 1.0}[unit]


class Design:
    """The columns of the model that the campaign file asks for, and the rows at which it is asked."""

    def __init__(self, used, campaign):
        model = campaign["model"]
        assert model["effects"] == ["heating", "oxidant_excess", "route", "residue_ratio"]
        assert model["joint"] == [["route", "residue_ratio"]] and model["curved"] == {"oxidant_excess": 2}
        assert model["blocks"] == ["lot"] and model["method"] == "measured"
        factors = campaign["factors"]
        excess = used["oxidant_excess"].to_numpy(float)
        ratio = used["residue_ratio"].to_numpy(float)
        heating = choice_columns(used, "heating", factors["heating"]["baseline"])
        route = choice_columns(used, "route", factors["route"]["baseline"])
        self.centre, self.scale = excess.mean(), 50.0
        coded = (excess - self.centre) / self.scale
        self.columns = np.column_stack(
            [np.ones(len(used)), *heating.values(), coded, coded**2, *route.values(), ratio]
            + [column * ratio for column in route.values()]
        )
        self.heatings, self.routes = list(heating), list(route)

    def row(self, ratio):
        """All routes alike, all heating methods but the one that was only ever run on one lot, the mean excess."""
        told = [name for name in self.heatings if name != "heating: kiln"]
        heating = [1.0 / (len(told) + 1.0) if name in told else 0.0 for name in self.heatings]
        route = [1.0 / (len(self.routes) + 1.0)] * len(self.routes)
        return np.array([1.0, *heating, 0.0, 0.0, *route, ratio] + [share * ratio for share in route])


def solved(problem, start):
    """Variances from run to run and between lots; lots do not differ where the score of theirs is negative at zero."""
    alone = Restricted(problem.x, problem.y, problem.parts[:1], problem.known)
    bound = np.append(alone.solve([start]), 0.0)
    return bound if problem.scores(bound)[1] < 0.0 else problem.solve([start, start])


class Fit:
    """A model by restricted likelihood, with known errors or without."""

    def __init__(self, used, response, campaign, known):
        self.design = Design(used, campaign)
        lots = indicators(list(used["lot"]))
        parts = [np.eye(len(used)), lots @ lots.T]
        fitted = response
        start = response.var() / 4.0
        for _ in range(30):
            problem = Restricted(self.design.columns, response, parts, known(fitted))
            self.variances = solved(problem, start)
            self.coefficients, self.phi, self.adjusted, *_ = small_sample(problem, self.variances, {})
            before, fitted = fitted, self.design.columns @ self.coefficients
            if np.abs(fitted - before).max() < 1e-14 * np.abs(fitted).max():
                break
        inverse = problem.at(self.variances)[1]
        self.weights = self.phi @ self.design.columns.T @ inverse
        self.problem = problem

    def mean(self, ratio):
        return self.design.row(ratio) @ self.coefficients

    def difference(self, ratio):
        """What residue adds, with its standard error."""
        apart = self.design.row(ratio) - self.design.row(0.0)
        return ufloat(apart @ self.coefficients, (apart @ self.adjusted @ apart) ** 0.5)


def relative_and_fixed(results):
    """Derivatives of the yields by each variable: those that grow with the yield, per unit of it, and the others."""
    variables = list(dict.fromkeys(v for y in results for v in y.error_components()))
    place = {variable: position for position, variable in enumerate(variables)}
    relative, fixed = np.zeros((2, len(results), len(variables)))
    for row, result in enumerate(results):
        for variable, part in result.derivatives.items():
            error = part * variable.s
            if variable.tag == FIXED:
                fixed[row, place[variable]] = error
            else:
                relative[row, place[variable]] = error / result.n
    return relative, fixed


def yields_at(fit, results, rows):
    """The means as variables: the errors of the runs by their weights, and what the model's covariance holds beyond them."""
    weights = np.array(rows) @ fit.weights
    known = [sum(w * (y - y.n) for w, y in zip(line, results)) for line in weights]
    parts = [part.error_components() for part in known]
    shared = np.array([[sum(one[v] * other.get(v, 0.0) * np.sign(a.derivatives[v] * b.derivatives.get(v, 0.0)) for v in one)
                        for b, other in zip(known, parts)] for a, one in zip(known, parts)])
    rest = np.array(rows) @ fit.adjusted @ np.array(rows).T - shared
    own = correlated_values([0.0, 0.0], rest)
    return [row @ fit.coefficients + part + extra for row, part, extra in zip(rows, known, own)]


def costs_of_made(priced, campaign, left, charges, results):
    """Cost of a gram of all product, and of what met the specification, with and without labour; runs left out one by one."""
    prices = campaign["prices"]
    lots = read("lots.csv").set_index("lot")["price"]
    (heated,) = prices["heat"].items()
    labour = (priced["labour"] + 3.0 * (priced["residue_mass"] > 0)) * price(prices["labour"])
    assert price(prices["residue_handling"]) == 3.0
    rest = priced["feed"] * priced["lot"].map(lots) / 1000.0
    rest += priced["oxidant_mass"] * price(prices["oxidant"])
    rest += sum(priced[column] * price(text) for column, text in prices["other"].items())
    rest += priced[heated[0]].map({level: float(text.split()[0]) for level, text in heated[1].items()})
    rest += (priced["run"].map(left) - priced["residue_mass"]) * price(prices["residue_disposal"])
    whole = [results[run]["contained"] * sum(charges[run]) for run in priced["run"]]
    meets = [results[run]["purity"].n >= campaign["campaign"]["purity_spec"] for run in priced["run"]]
    good = [grams if met else ufloat(0.0, 0.0) for grams, met in zip(whole, meets)]
    found = {}
    for name, costs, grams in [
        ("cost_per_gram", rest + labour, whole),
        ("cost_to_specification", rest + labour, good),
        ("cost_without_labour", rest, good),
    ]:
        costs, values = costs.to_numpy(float), np.array([part.n for part in grams])
        ratio = costs.sum() / sum(grams)
        without = (costs.sum() - costs) / (values.sum() - values)
        count = len(costs)
        error = ((count - 1) / count * ((without - without.mean()) ** 2).sum()) ** 0.5
        found |= {name: ratio.n, f"{name}_u": (ratio.s**2 + error**2) ** 0.5}
    return found


def share_that_stays(flows):
    """Shares of what feed and what residue bring that are found on the filter: least squares through the origin."""
    flows = np.array(flows)
    shares = np.linalg.lstsq(flows[:, :2], flows[:, 2], rcond=None)[0]
    if not ((0.0 <= shares) & (shares < 1.0)).all():
        shares = np.full(2, flows[:, 2].sum() / flows[:, :2].sum())
    return shares


def charged_by(every, stays, brought, bleed, most, count):
    """Number of the run, element and other solids of each charge, in product and in grams; `every` runs, or once it is full."""
    collected, charged, found, run = np.zeros(2), np.zeros(2), [], 0
    while len(found) < count:
        run += 1
        collected = collected + (1.0 - bleed) * (stays[:, 0] * brought + stays[:, 1] * charged)
        charged = np.zeros(2)
        grams = collected @ [1.0 / most["per_assay"], 1.0]
        if run % every == 0 if every else grams >= most["grams"]:
            charged = collected * min(1.0, most["grams"] / grams)
            found.append((run, charged))
            collected = np.zeros(2)
    return found


def policies(campaign, known, flows):
    """Gain of a run, charged or not, for each way to charge, over as many charges as the campaign file asks for.

    `known` holds the figures of a gain as variables: what the models say at a ratio, contents, prices.
    """
    recycling = campaign["recycling"]
    feed, per_assay = known["feed_mass"], known["per_assay"]
    stays = np.array([share_that_stays(kind) for kind in flows])
    element = feed * known["feed_content"].n
    brought = np.array([element, feed - element / per_assay])
    vessel = float(recycling["vessel_solids"].split()[0]) - feed
    factor = campaign["factors"]["residue_ratio"]
    # No factor is barred alone, so that these three are all that stops a charge.
    assert all(len(never) > 1 for never in campaign["limits"]["never"])
    most = {"grams": min(vessel, factor.get("high", np.inf) * feed, known["largest_ratio"] * feed), "per_assay": per_assay}
    found = {}
    for every in [1, 2, 3, 4, 5, 6, None]:
        charges = charged_by(every, stays, brought, recycling["bleed"], most, recycling["cycles"])
        total = 0.0
        for run, charged in charges:
            grams = charged @ [1.0 / per_assay, 1.0]
            ratio = grams / feed
            # The error of the assay goes with the assay.
            content = known["residue_content"] * (charged[0] / grams / known["residue_content"].n)
            extra = known["yield"](ratio) * feed * (known["feed_content"] + ratio * content)
            extra -= known["yield"](0.0) * feed * known["feed_content"]
            gain = extra * known["product"] - known["oxidant"] * feed * ratio * content - known["handling"]
            gain -= feed * known["reagents"](ratio) + known["labour"](ratio)
            gain += known["disposal"] * (grams - feed * known["left"](ratio))
            total += gain
        runs, grams = charges[-1][0], charges[-1][1] @ [1.0 / per_assay, 1.0]
        name = f"every_{every}" if every else "when_full"
        found |= {
            f"{name}_gain": (total / runs).n,
            f"{name}_gain_u": (total / runs).s,
            f"{name}_runs": runs,
            f"{name}_residue": grams,
            f"{name}_assay": charges[-1][1][0] / per_assay / grams,
        }
    return found


def main():
    campaign = tomllib.loads((CAMPAIGN / "campaign.toml").read_text(encoding="utf-8"))
    bench = Bench(campaign)
    log, results = bench.runs()
    runs = comparable_runs(campaign)
    runs["feed"] = log["feed"]
    counted = runs["set_aside"].isna()
    used = runs[counted & np.array([results[run]["contained"] is not None for run in runs["run"]])]
    measured = [results[run]["contained"] for run in used["run"]]
    relative, fixed = relative_and_fixed(measured)

    def known(fitted):
        parts = relative * fitted[:, None] + fixed
        return parts @ parts.T

    fit = Fit(used, np.array([y.n for y in measured]), campaign, known)

    feed = used["feed"].sum()
    charged = used[used["residue_mass"] > 0]
    mass, ratio = feed / len(used), float(charged["residue_ratio"].median())
    feed_content = sum(bench.charges[run][0] for run in used["run"]) / feed
    residue_content = sum(bench.charges[run][1] for run in charged["run"]) / charged["residue_mass"].sum()
    without, with_residue = yields_at(fit, measured, [fit.design.row(0.0), fit.design.row(ratio)])
    extra = with_residue * mass * (feed_content + ratio * residue_content) - without * mass * feed_content

    prices, oxidant = campaign["prices"], campaign["oxidant"]
    product, followed = campaign["campaign"]["product"], campaign["campaign"]["followed"]
    excess = used["oxidant_excess"].mean()
    per_product = oxidant["needed"] * atoms(product)[followed] / molar_mass(product) * (1.0 + excess / 100.0)
    per_product *= molar_mass(oxidant["formula"]) / oxidant["electrons"] / oxidant["assay"]

    def none(fitted):
        return np.zeros((len(fitted), len(fitted)))

    all_runs = runs[counted]
    reagents = sum(all_runs[column] * price(text) for column, text in prices["other"].items()) / all_runs["feed"]
    reagents = reagents[reagents.notna()]
    reagent_fit = Fit(all_runs.loc[reagents.index], reagents.to_numpy(), campaign, none)
    left = read("residues.csv").set_index("run")["mass"]

    def closed(run):
        closure = results[run]["closure"]
        return closure is not None and closure.n - 1.0 <= 2.0 * closure.s

    told = all_runs[[run in left.index and closed(run) for run in all_runs["run"]]]
    out_fit = Fit(told, (told["run"].map(left) / told["feed"]).to_numpy(), campaign, none)

    # What charged runs log more of labour, alone and with the time at the filter paid as labour.
    worked = all_runs[all_runs["labour"].notna()]
    labour_fit = Fit(worked, worked["labour"].to_numpy(float), campaign, none)
    attended = worked[worked["filter_minutes"].notna()]
    both = (attended["labour"] + attended["filter_minutes"]).to_numpy(float)
    attended_labour = Fit(attended, both, campaign, none).difference(ratio)

    terms = {
        "product": extra * price(prices["product"]),
        "oxidant": -per_product * mass * ratio * residue_content * price(prices["oxidant"]),
        "reagents": -mass * reagent_fit.difference(ratio),
        "labour": -price(prices["labour"]) * labour_fit.difference(ratio),
        "handling": ufloat(-price(prices["residue_handling"]) * price(prices["labour"]), 0.0),
        "disposal": price(prices["residue_disposal"]) * mass * (ratio - out_fit.difference(ratio)),
    }
    gain = sum(terms.values())

    # The same charge valued as fresh feed saved, and as runs not made, for the same product.
    lots = read("lots.csv").set_index("lot")["price"]
    feed_price = (used["feed"] * used["lot"].map(lots)).sum() / feed / 1000.0
    reagents_without, out_without = reagent_fit.mean(0.0), out_fit.mean(0.0)
    content = feed_content.n + ratio * residue_content.n
    product_without = without.n * mass * feed_content.n
    less = product_without / (with_residue.n * content)
    by_feed = (
        (mass - less) * feed_price
        - per_product * (less * content - mass * feed_content.n) * price(prices["oxidant"])
        - (less * reagent_fit.mean(ratio) - mass * reagents_without)
        + terms["labour"].n
        + terms["handling"].n
        + price(prices["residue_disposal"]) * (ratio * less - (less * out_fit.mean(ratio) - mass * out_without))
    )
    (heated,) = prices["heat"].items()
    heat = used[heated[0]].map({level: float(text.split()[0]) for level, text in heated[1].items()}).mean()
    run = (
        mass * (feed_price + reagents_without)
        + per_product * mass * feed_content.n * price(prices["oxidant"])
        + heat
        + labour_fit.mean(0.0) * price(prices["labour"])
        + price(prices["residue_disposal"]) * mass * out_without
    )
    by_runs = run * extra.n / product_without + sum(terms[name].n for name in terms if name != "product")
    # Ten kilograms of product: runs, cost and minutes of labour, without residue and with it in each run.
    charged_cost = run - sum(terms[name].n for name in terms if name != "product")
    handling = price(prices["residue_handling"])
    minutes = [labour_fit.mean(0.0), labour_fit.mean(ratio) + handling]
    made = [product_without, product_without + extra.n]
    ten = [10_000.0 / grams for grams in made]
    quantity = {
        "runs": ten,
        "cost": [ten[0] * run, ten[1] * charged_cost],
        "labour": [runs * of_one for runs, of_one in zip(ten, minutes)],
    }
    quantity = {f"ten_{name}_{way}": of[at] for name, of in quantity.items() for at, way in enumerate(["without", "with"])}
    quantity["ten_residue"] = ten[1] * ratio * mass
    # The same gain where the labour log holds the handling, and where the time at the filter is paid besides.
    assert campaign["recycling"]["handling"] == "extra"
    logged = gain - terms["handling"]
    by_attended = gain - terms["labour"] - price(prices["labour"]) * attended_labour
    priced = used[used["run"].isin(told["run"])]
    product_of = {run: results[run]["contained"].n * sum(part.n for part in bench.charges[run]) for run in priced["run"]}
    filter_cost = price(prices["labour"]) * priced["filter_minutes"].sum() / sum(product_of.values())
    costs_made = costs_of_made(priced, campaign, left, {run: bench.charges[run] for run in priced["run"]}, results)
    # What stays on the filter of the followed element, as product, and of all other solids.
    per_feed = molar_mass(product) / molar_mass(campaign["campaign"]["assay_as"])
    per_feed *= atoms(campaign["campaign"]["assay_as"])[followed] / atoms(product)[followed]
    flows = [[], []]
    for line in used[used["run"].isin(told["run"])].itertuples():
        fresh, residue = (part.n for part in bench.charges[line.run])
        grams, assay = (part.n for part in bench.residues[line.run])
        held = grams * assay * per_feed
        flows[0].append([fresh, residue, held])
        flows[1].append([line.feed - fresh / per_feed, line.residue_mass - residue / per_feed, grams * (1.0 - assay)])
    reagents_slope, out_slope, labour_slope = (of.difference(1.0) for of in (reagent_fit, out_fit, labour_fit))
    slope = (with_residue - without) / ratio
    by_policy = policies(
        campaign,
        {
            "feed_mass": mass,
            "per_assay": per_feed,
            "largest_ratio": used["residue_ratio"].max(),
            "feed_content": feed_content,
            "residue_content": residue_content,
            "yield": lambda ratio: without + ratio * slope,
            "reagents": lambda ratio: ratio * reagents_slope,
            "left": lambda ratio: ratio * out_slope,
            "labour": lambda ratio: price(prices["labour"]) * ratio * labour_slope,
            "handling": -terms["handling"].n,
            "product": price(prices["product"]),
            "oxidant": per_product * price(prices["oxidant"]),
            "disposal": price(prices["residue_disposal"]),
        },
        flows,
    )
    found = costs_made | quantity | by_policy | {
        "gain_logged": logged.n,
        "gain_logged_u": logged.s,
        "gain_attended": by_attended.n,
        "gain_attended_u": by_attended.s,
        "attended_per_gram": filter_cost,
        "product_with": (extra + without * mass * feed_content).n,
        "product_without": product_without,
        "feed_mass": mass,
        "ratio": ratio,
        "feed_content": feed_content.n,
        "residue_content": residue_content.n,
        "residue_content_u": residue_content.s,
        "yield_with": with_residue.n,
        "yield_with_u": with_residue.s,
        "yield_without": without.n,
        "yield_without_u": without.s,
        "extra_product": extra.n,
        "extra_product_u": extra.s,
        "gain": gain.n,
        "gain_u": gain.s,
        "gain_by_feed": by_feed,
        "gain_by_runs": by_runs,
    } | {f"{name}_term": term.n for name, term in terms.items()}
    # What each assay has of the variance of the gain.
    of_gain = gain.error_components()
    for tag in sorted({str(variable.tag) for variable in of_gain if "assay" in str(variable.tag)}):
        found[f"gain_share {tag}"] = sum(part**2 for variable, part in of_gain.items() if variable.tag == tag) / gain.s**2
    result = {
        "made_by": "tests/check-scripts/recycling_gain.py",
        "sha256": {
            name: hashlib.sha256((CAMPAIGN / name).read_bytes()).hexdigest() for name in ["campaign.toml", *LOGS]
        },
        "expected": {name: float(value) for name, value in found.items()},
    }
    text = json.dumps(result, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    (DATA / "recycling_gain.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
