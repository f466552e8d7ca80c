"""Compares what two builds of the engine compute for the demo scenes: the native one and that for browsers.

usage: compare_builds.py PRINT_FIGURES PRINT_FIGURES_JS SCENES [NAME...]

Light straight from the lamps must be the same to the last bit. Everything else must agree within 1e-6: some of
it goes through functions of each machine's own C library, whose last bits differ.

The times are processor seconds of a process that lights the scene, one thread's or all threads' together, with
what node takes to start and to compile.
"""

import array
import pathlib
import resource
import subprocess
import sys
import tempfile

TOLERANCE = 1e-6


def read_figures(file):
    """The arrays in a file of print_figures, by name."""
    found = {}
    with open(file, "rb") as stream:
        while header := stream.readline():
            name, count = header.split()
            values = array.array("d")
            values.frombytes(stream.read(int(count) * values.itemsize))
            assert len(values) == int(count), f"{name} ends early"
            found[name.decode()] = values
    return found


def compute(command, site, out, *parts):
    """The figures, and the processor seconds they took."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([*command, str(site), str(out), *parts], check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    seconds = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return read_figures(out), seconds


def worst_difference(native, web):
    """The greatest difference, as a share of the value; of values below a thousandth, of that."""
    return max((abs(a - b) / max(abs(a), abs(b), 1e-3) for a, b in zip(native, web) if a != b), default=0.0)


def compare(scene, native, web):
    faults = []
    if native.keys() != web.keys():
        return [f"{scene}: the builds print other figures"]
    for name, values in native.items():
        if len(values) != len(web[name]):
            faults.append(f"{scene}: {len(values)} figures of {name}, and {len(web[name])} in node")
            continue
        same = values.tobytes() == web[name].tobytes()
        worst = worst_difference(values, web[name])
        equal = sum(a == b for a, b in zip(values, web[name]))
        print(f"{scene:<12} {name:<10} {equal:>8} of {len(values):>8} are the same, the others within {worst:.1e}")
        if name == "direct" and not same:
            faults.append(f"{scene}: direct light is not the same to the bit")
        if not worst <= TOLERANCE:
            faults.append(f"{scene}: {name} differs by {worst:.1e}, more than {TOLERANCE}")
    return faults


def main(native_program, web_program, scenes, *names):
    faults = []
    with tempfile.TemporaryDirectory() as folder:
        out = pathlib.Path(folder) / "figures"
        sites = sorted(pathlib.Path(scenes).glob("*/*.site.json"))
        sites = [site for site in sites if not names or site.parent.name in names]
        assert sites, f"no scenes in {scenes}"
        for site in sites:
            scene = site.parent.name
            native, _ = compute([native_program], site, out, "all")
            web, _ = compute(["node", web_program], site, out, "all")
            assert len(native["direct"]) > 1000 and max(native["direct"]) > 0, "no light to compare"
            faults += compare(scene, native, web)
            _, native_seconds = compute([native_program], site, out)
            _, web_seconds = compute(["node", web_program], site, out)
            print(f"{scene:<12} {native_seconds:.2f} s native, {web_seconds:.2f} s in node, "
                  f"{web_seconds / native_seconds:.2f} times", flush=True)
    for fault in faults:
        print(fault, file=sys.stderr)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
