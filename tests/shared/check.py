"""Do the programs on the page about many machines share a round of 200 campaigns and lose nothing when a worker is killed?

Call: check.py RESIDUUM. The code is taken from notebooks-md/09-many-machines.md as it stands there.
"""

import os
import pathlib
import re
import shutil
import signal
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
PAGE = (ROOT / "notebooks-md" / "09-many-machines.md").read_text(encoding="utf-8")
CAMPAIGN = ROOT / "notebooks-md" / "09-many-machines.in" / "all" / "kiln"
COUNT = 200


def block(language):
    (code,) = re.findall(rf"```{language}\n(.*?)```", PAGE, re.DOTALL)
    return code


def campaigns(folder):
    for number in range(COUNT):
        shutil.copytree(CAMPAIGN, folder / f"c{number:03}")


def whole(out):
    return sum((out / f"c{number:03}" / "result.json").is_file() for number in range(COUNT))


def check(what, holds):
    print(f"{what}: {'yes' if holds else 'NO'}")
    if not holds:
        sys.exit(1)


def by_dask(folder):
    page = {}
    exec(block("python"), page)
    out = folder / "dask"
    cluster = page["LocalCluster"](n_workers=2, threads_per_worker=1, dashboard_address=None)
    client = page["Client"](cluster)
    for done, _ in enumerate(page["round_of"](folder / "all", out, client)):
        if done == 2:
            victim = next(iter(client.run(os.getpid).values()))
            os.kill(victim, signal.SIGKILL)
    check("Dask: a worker was killed and all campaigns have their report", whole(out) == COUNT)
    check("Dask: nothing is due any more", page["due"](folder / "all", out) == [])
    check("Dask: the index names all", (out / "index.md").read_text(encoding="utf-8").count("](c") == COUNT)
    client.close()
    cluster.close()


def by_job_array(folder):
    script = folder / "job.sh"
    script.write_text(block("sh"), encoding="utf-8")
    out = folder / "array"
    jobs = []
    for job in range(10):
        here = {**os.environ, "CAMPAIGNS": str(folder / "all"), "OUT": str(out), "SLURM_ARRAY_TASK_ID": str(job)}
        jobs.append(subprocess.Popen(["sh", script], env=here, stdout=subprocess.DEVNULL, start_new_session=True))
    os.killpg(jobs[3].pid, signal.SIGKILL)
    for job in jobs:
        job.wait()
    call = ["residuum", "rounds", folder / "all", "--out", out]
    subprocess.run([*call, "--quiet"], stdout=subprocess.DEVNULL)
    check("job array: a job was killed and all campaigns have their report", whole(out) == COUNT)
    due = subprocess.run([*call, "--due"], capture_output=True, text=True)
    check("job array: nothing is due any more", due.stdout == "")


if __name__ == "__main__":
    os.environ["PATH"] = f"{pathlib.Path(sys.argv[1]).resolve().parent}:{os.environ['PATH']}"
    with tempfile.TemporaryDirectory() as scratch:
        folder = pathlib.Path(scratch)
        (folder / "all").mkdir()
        campaigns(folder / "all")
        by_dask(folder)
        by_job_array(folder)
