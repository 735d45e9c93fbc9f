"""Do the schemas that the program prints hold for what it reads and writes, and for nothing else?

Call: check.py CAMPAIGN.schema.json RESULT.schema.json FILE...

Each FILE is a campaign file (.toml) or a result (.json). Both schemas must be sound by JSON Schema 2020-12.
"""

import json
import pathlib
import sys
import tomllib

from jsonschema import Draft202012Validator

# What the reader of a campaign file refuses by its form.
NO_CAMPAIGNS = [
    '[campain]\ntitle = "x"',
    '[campaign]\ntitel = "x"',
    "[campaign]\npurity_spec = 98.5",
    '[model]\nmethod = "exact"',
    '[model]\nconstant = "yes"',
    '[factors.a]\nkind = "number"',
    "[factors.a.ceiling]\nb = 1.5",
    "[recycling]\ncycles = 0",
    "[drift.cusum]\nreferenz = 1",
]
SOUND = {"campaign": {}, "caveats": [], "slips": [], "left_out": [], "planned": [], "superseded": []}
NO_RESULTS = [{**SOUND, "yield": []}, {**SOUND, "yields": "none"}, {"campaign": {}}]


def validator(path):
    schema = json.loads(pathlib.Path(path).read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


def main():
    campaigns, results = map(validator, sys.argv[1:3])
    faults = []
    for path in map(pathlib.Path, sys.argv[3:]):
        text = path.read_text(encoding="utf-8")
        of, value = (campaigns, tomllib.loads(text)) if path.suffix == ".toml" else (results, json.loads(text))
        faults += [f"{path}: {error.json_path}: {error.message[:200]}" for error in of.iter_errors(value)]
    faults += [f"taken for a campaign: {text!r}" for text in NO_CAMPAIGNS if campaigns.is_valid(tomllib.loads(text))]
    faults += [f"taken for a result: {value}" for value in NO_RESULTS if results.is_valid(value)]
    if not campaigns.is_valid(tomllib.loads('[factors.a]\nkind = "choice"')) or not results.is_valid(SOUND):
        faults.append("something sound is refused")
    print("\n".join(faults) if faults else f"{len(sys.argv) - 3} files are what the schemas say")
    sys.exit(bool(faults))


main()
