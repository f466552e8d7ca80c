"""Times `light` and `view` of the demo scenes beside an older commit of this repository.

usage: against.py COMMIT

Both programs get the older commit's scenes, in turn and on one thread, and the least of three times of each
counts: processor seconds, so that what else runs on the machine tells less.
"""

import os
import pathlib
import resource
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
ROUNDS = 3
WANTED = {"light broad-oak": 2.0}  # of the rest:
WANTED_OF_THE_REST = 1.3


def build_older(commit):
    """The older commit's program, built beside ours. One that is there is taken as it is."""
    number = subprocess.run(["git", "rev-parse", "--verify", f"{commit}^{{commit}}"], cwd=ROOT, check=True,
                            capture_output=True, text=True).stdout.strip()
    folder = ROOT / "build" / f"against-{number[:12]}"
    program = folder / "build" / "tools" / "duskcast"
    if not program.exists():
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
        archive = subprocess.run(["git", "archive", number], cwd=ROOT, check=True, capture_output=True).stdout
        subprocess.run(["tar", "-x", "-C", folder], input=archive, check=True)
        subprocess.run(["cmake", "-S", folder, "-B", folder / "build", "-G", "Ninja", "-DCMAKE_BUILD_TYPE=Release",
                        "-DDUSKCAST_TESTS=OFF", "-DDUSKCAST_BENCH=OFF"], check=True, stdout=subprocess.DEVNULL)
        subprocess.run(["cmake", "--build", folder / "build", "--target", "duskcast"], check=True,
                       stdout=subprocess.DEVNULL)
    return folder, program


def processor_seconds(program, command, site, out):
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([program, command, site, "--out", out], check=True,
                   stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                   preexec_fn=lambda: os.sched_setaffinity(0, {min(os.sched_getaffinity(0))}))
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main(commit):
    folder, older = build_older(commit)
    ours = ROOT / "build" / "tools" / "duskcast"
    with tempfile.TemporaryDirectory() as out:
        for command in ("light", "view"):
            for site in sorted(folder.glob("scenes/*/*.site.json")):
                name = f"{command} {site.parent.name}"
                times = {ours: [], older: []}
                for turn in range(ROUNDS):
                    for which, program in enumerate(times):
                        times[program].append(processor_seconds(program, command, site,
                                                                f"{out}/{name}-{turn}-{which}"))
                mine, theirs = min(times[ours]), min(times[older])
                wanted = WANTED.get(name, WANTED_OF_THE_REST)
                missed = "" if theirs / mine >= wanted else "  MISSED"
                figure = f"{theirs / mine:.2f} x, {mine:.1f} s"
                print(f"{name + f' against {commit}':<66}{figure:>16}   {f'{wanted:.1f} x':<16}{missed}", flush=True)


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    main(sys.argv[1])
