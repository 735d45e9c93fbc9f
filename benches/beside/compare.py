"""Whole calls of residuum beside a fair script of the same job, on the same generated campaigns.

In: the program, and sizes. Out: a table of time by the clock, processor time and peak memory, their ratios, and how
processor time grows from size to size.
Each is run by turns, so that both meet the same neighbours; the least of each is told.

    python -m pip install -r requirements.txt
    python compare.py ../../target/release/residuum 72 1000 10000
    python compare.py ../../target/release/residuum --hard
"""

import argparse
import math
import os
import pathlib
import subprocess
import sys
import tempfile
import time

HERE = pathlib.Path(__file__).resolve().parent

HARD = {
    "no assays of residue": {"runs": 60, "residue_assays": False},
    "300 standardisations": {"runs": 60, "standardisations": 300},
    "80 levels": {"runs": 160, "levels": 80},
    "150 levels": {"runs": 300, "levels": 150},
    "1,900 columns": {"runs": 60, "columns": 1900},
}


def generate(folder, **wanted):
    """Writes a campaign in a process of its own: memory of this one would count as that of the calls."""
    code = f"import campaigns; campaigns.write({str(folder)!r}, **{wanted!r})"
    subprocess.run([sys.executable, "-c", code], cwd=HERE, check=True)


def spent(call):
    """Seconds by the clock, of processors, and peak MB of a call that must not fail."""
    begin = time.perf_counter()
    child = os.posix_spawn(call[0], call, os.environ, file_actions=[
        (os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0), (os.POSIX_SPAWN_OPEN, 2, os.devnull, os.O_WRONLY, 0)])
    _, status, used = os.wait4(child, 0)
    wall = time.perf_counter() - begin
    if os.waitstatus_to_exitcode(status) not in (0, 1):
        sys.exit(f"it failed: {' '.join(call)}")
    return wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def least(calls, repeats):
    """The least of each figure of each call."""
    found = [[spent(call) for call in calls] for _ in range(repeats)]
    return [[min(figure) for figure in zip(*of_call)] for of_call in zip(*found)]


def main():
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("program")
    words.add_argument("sizes", type=int, nargs="*", default=[72, 1000, 10000])
    words.add_argument("--repeats", type=int, default=3)
    words.add_argument("--hard", action="store_true", help="campaigns that were slow once, the program alone")
    given = words.parse_args()
    program = str(pathlib.Path(given.program).resolve())
    with tempfile.TemporaryDirectory() as place:
        place = pathlib.Path(place)
        report = lambda folder: [program, "report", str(folder), "--out", str(place / "out"), "--quiet"]
        if given.hard:
            print("| Campaign | report / s | processors / s | peak / MB |\n| --- | ---: | ---: | ---: |")
            for name, hard in HARD.items():
                generate(place / "hard", **hard)
                [(wall, worked, peak)] = least([report(place / "hard")], given.repeats)
                print(f"| {name} | {wall:.2f} | {worked:.2f} | {peak:.0f} |", flush=True)
            return
        print("| Runs | report / s | script / s | ratio | processors / s | script / s | ratio | peak / MB | script / MB | ratio |")
        print("| ---: " * 10 + "|")
        worked = []
        for runs in given.sizes:
            folder = place / f"runs-{runs}"
            generate(folder, runs=runs)
            script = [sys.executable, str(HERE / "script.py"), str(folder), str(place / "script")]
            ours, theirs = least([report(folder), script], given.repeats)
            cells = [f"{one:.2f} | {other:.2f} | {other / one:.1f}" for one, other in zip(ours, theirs)]
            print(f"| {runs:,} | {' | '.join(cells)} |", flush=True)
            worked.append((runs, ours[1]))
        for (few, before), (many, after) in zip(worked, worked[1:]):
            growth = math.log(after / before) / math.log(many / few)
            print(f"growth of processor time from {few:,} to {many:,} runs: exponent {growth:.2f}")


if __name__ == "__main__":
    main()
