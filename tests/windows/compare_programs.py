"""Compares what duskcast says and writes natively and on Windows, which wine stands in for here.

usage: compare_programs.py DUSKCAST DUSKCAST_EXE SCENES

What `check` says and every sentence must be the same to the letter, figures as files hold them within 1e-6: some go
through functions of each machine's own C library, whose last bits differ. Light straight from the lamps is the same
as it is written.
"""

import csv
import json
import os
import pathlib
import subprocess
import sys
import tempfile

TOLERANCE = 1e-6
SITE = "two-gables/two-gables.site.json"
MISSING = "no-such.site.json"
SAID = [
    ["check", SITE],
    ["check", MISSING],
    ["light", SITE],
    ["load", SITE, "--route", "--prices", "lamps/prices.csv"],
]
PRINTED = [["light", SITE, "--json"], ["load", SITE, "--route", "--json"]]


def run(program, arguments, scenes):
    """Exit status, and what is printed and complained of, whatever ends the lines."""
    done = subprocess.run([*program, *arguments], cwd=scenes, env=dict(os.environ, WINEDEBUG="-all"),
                          capture_output=True)
    return done.returncode, *(text.decode().replace("\r\n", "\n") for text in (done.stdout, done.stderr))


def list_misfits(a, b, place=""):
    """Where two values of JSON are not alike."""
    if isinstance(a, dict) and isinstance(b, dict) and a.keys() == b.keys():
        return [misfit for key in a for misfit in list_misfits(a[key], b[key], f"{place}.{key}")]
    if isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        return [misfit for i in range(len(a)) for misfit in list_misfits(a[i], b[i], f"{place}[{i}]")]
    are_figures = all(isinstance(value, (int, float)) and not isinstance(value, bool) for value in (a, b))
    if a == b or (are_figures and abs(a - b) <= TOLERANCE * max(abs(a), abs(b), 1e-3)):
        return []
    return [f"{place}: {a!r} natively, {b!r} on Windows"]


def compare_maps(native, windows):
    """Faults of two folders of maps, and how many rows they have."""
    names = sorted(file.name for file in native.glob("*.csv"))
    if names != sorted(file.name for file in windows.glob("*.csv")):
        return [f"the maps are others: {names}"], 0
    faults, count = [], 0
    for name in names:
        rows, others = (list(csv.DictReader((folder / name).read_text().splitlines())) for folder in (native, windows))
        count += len(rows)
        if [row["direct_lx"] for row in rows] != [row["direct_lx"] for row in others]:
            faults.append(f"{name}: direct light is not the same")
        figures = [[{key: float(value) for key, value in row.items()} for row in some] for some in (rows, others)]
        faults += [f"{name}{misfit}" for misfit in list_misfits(*figures)[:3]]
    return faults, count


def main(native_program, windows_program, scenes):
    programs = [os.path.abspath(native_program)], ["wine", os.path.abspath(windows_program)]
    faults = []
    for arguments in [*SAID, *PRINTED]:
        native, windows = (run(program, arguments, scenes) for program in programs)
        what = "duskcast " + " ".join(arguments)
        assert native[1] and native[0] == (MISSING in arguments), f"{what}:\n{native}"
        if arguments in PRINTED and windows[0] == 0:
            faults += [f"{what}: {misfit}" for misfit in list_misfits(json.loads(native[1]), json.loads(windows[1]))]
        elif native != windows:
            faults.append(f"{what}:\n{native}\n{windows}")
    with tempfile.TemporaryDirectory() as folder:
        folders = [pathlib.Path(folder) / name for name in ("native", "windows")]
        for program, out in zip(programs, folders):
            status, _, complaint = run(program, ["light", SITE, "--svg", "--out", str(out)], scenes)
            assert status == 0, complaint
        summaries = [json.loads((out / "summary.json").read_text()) for out in folders]
        faults += [f"summary.json{misfit}" for misfit in list_misfits(*summaries)]
        found, count = compare_maps(*(out / "maps" for out in folders))
        faults += found
        plates = [sorted(file.name for file in (out / "plates").glob("*.svg")) for out in folders]
        if plates[0] != plates[1] or not plates[0]:
            faults.append(f"plates: {plates}")
    for fault in faults:
        print(fault, file=sys.stderr)
    print(f"{len(SAID) + len(PRINTED)} runs and {count} rows of maps are compared; {len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
