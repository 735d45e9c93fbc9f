"""What residue of the bluestone campaign should stand on the shelf, worked out without residuum?

In: runs.csv and residues.csv in data-demo/bluestone. Out: tests/data/ledger.json: for each run that left residue the grams left,
charged by others, and left of it. A charge of several residues takes from each in proportion to what it was.
This script never reads anything that residuum wrote.

B-054 is passed over: its residue is logged with ten times its mass, which cannot be.

Run it with the versions in requirements.txt after every change of the logs:

    python tests/check-scripts/ledger.py
"""

import hashlib
import json

from bluestone_statsmodels import CAMPAIGN, DATA, read

IMPOSSIBLE = {"B-054"}
FILES = ["runs.csv", "residues.csv"]


def main():
    left = dict(read("residues.csv")[["run", "mass"]].itertuples(index=False))
    runs = read("runs.csv")
    taken = dict.fromkeys(left, 0.0)
    charges = runs[runs["residue_mass"].fillna(0.0) > 0.0]
    for charge, names in charges[["residue_mass", "residue_from"]].itertuples(index=False):
        sources = names.split(";")
        there = sum(left[name] for name in sources)
        for name in sources:
            taken[name] += charge * left[name] / there
    expected = [
        {"run": run, "left": mass, "taken": taken[run], "now": max(mass - taken[run], 0.0)}
        for run, mass in left.items()
        if run not in IMPOSSIBLE
    ]
    digests = {name: hashlib.sha256((CAMPAIGN / name).read_bytes()).hexdigest() for name in FILES}
    result = {"made_by": "tests/check-scripts/ledger.py", "sha256": digests, "expected": expected}
    text = json.dumps(result, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    (DATA / "ledger.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
