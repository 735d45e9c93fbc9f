"""Do other engines read from the collected tables what the results say?

Call: check.py OUT, the output folder of `residuum rounds DIR --tables parquet --out OUT`.

DuckDB and polars each read all campaigns at once; yields and answers must be those of each `result.json`, to its ten digits.
"""

import json
import math
import pathlib
import sys

import duckdb
import polars


def same(one, other):
    if one is None or other is None:
        return one is other
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=0.0)


def expected(result):
    """Yields by run and answers by question of a result."""
    yields = {run["run"]: (run["contained"] or {}).get("value") for run in result["yields"]}
    answers = [
        (answer["question"], answer["status"], figure["what"], figure["value"], *(figure["interval"] or [None, None]))
        for answer in result["answers"]
        for figure in answer["figures"]
    ]
    return yields, answers


ANSWERS = "question, status, what, value, low, high"


def by_duckdb(folder, name):
    one = [name]
    yields = duckdb.execute(
        f"select run, contained from read_parquet('{folder}/yields/*.parquet', union_by_name = true) where campaign = ?", one
    ).fetchall()
    answers = duckdb.execute(f"select {ANSWERS} from '{folder}/answers.parquet' where campaign = ? and what <> ''", one).fetchall()
    return dict(yields), answers


def by_polars(folder, name):
    frames = [polars.read_parquet(path) for path in sorted((folder / "yields").glob("*.parquet"))]
    yields = polars.concat(frames, how="diagonal_relaxed").filter(polars.col("campaign") == name)
    answers = polars.read_parquet(folder / "answers.parquet")
    answers = answers.filter((polars.col("campaign") == name) & (polars.col("what") != ""))
    return dict(yields.select("run", "contained").rows()), answers.select(ANSWERS.split(", ")).rows()


def main():
    out = pathlib.Path(sys.argv[1])
    faults, figures = [], 0
    campaigns = [entry["campaign"] for entry in json.loads((out / "rounds.json").read_text(encoding="utf-8"))["campaigns"]]
    for name in campaigns:
        yields, answers = expected(json.loads((out / name / "result.json").read_text(encoding="utf-8")))
        for engine, read in (("DuckDB", by_duckdb), ("polars", by_polars)):
            own_yields, own_answers = read(out / "collected", name)
            for run, value in yields.items():
                figures += 1
                if not same(own_yields.get(run), value):
                    faults.append(f"{engine}: {name} {run}: {own_yields.get(run)} for {value}")
            if len(own_answers) != len(answers):
                faults.append(f"{engine}: {name}: {len(own_answers)} figures for {len(answers)}")
            for own, wanted in zip(own_answers, answers):
                figures += 1
                if own[:3] != wanted[:3] or not all(map(same, own[3:], wanted[3:])):
                    faults.append(f"{engine}: {name}: {own} for {wanted}")
    print("\n".join(faults) if faults else f"{figures} figures of {len(campaigns)} campaigns are those of their results")
    sys.exit(bool(faults) or not figures)


main()
