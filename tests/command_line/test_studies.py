"""Studies on the command line: variants, sweeps in parts, searches; nothing half written."""
import csv
import json
import shutil
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

PROGRAM, SOURCE = sys.argv[1], Path(sys.argv[2])
GABLES = SOURCE / "scenes/two-gables/two-gables.site.json"
OAK = SOURCE / "scenes/broad-oak/broad-oak.site.json"
WALK = SOURCE / "scenes/front-walk/front-walk.site.json"
COTTAGE = SOURCE / "scenes/cottage/cottage.site.json"
UPRIGHT = ("--fixtures", "U5", "--vary", "tilt=0..20:2", "--direct-only")


def run(*arguments):
    return subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True)


class Studies(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.out = Path(self.folder.name) / "out"

    def tearDown(self):
        self.folder.cleanup()

    def assert_refused(self, arguments, message):
        result = run(*arguments, "--out", self.out)
        status = 2 if message.startswith("--") else 1  # an option's value, or what is in a file
        self.assertEqual((result.returncode, result.stdout, result.stderr), (status, "", message + "\n"))
        self.assertFalse(self.out.exists())

    def test_what_the_readme_quotes(self):
        quoted = [line.strip() for line in (SOURCE / "README.md").read_text(encoding="utf-8").splitlines()
                  if line.startswith(("    one side only:", "    Recommended: tilt", "    Best coverage at"))]
        self.assertEqual(len(quoted), 3)
        printed = run("compare", OAK).stdout.splitlines()
        printed += run("sweep", GABLES, "--fixtures", "U5", "--vary", "tilt=0..30:1").stdout.splitlines()
        for line in quoted:
            self.assertIn(line, printed)

    def test_compare(self):
        result = run("compare", GABLES, "--variant", "standard lamp: U5 lamp=standard-4w", "--out", self.out)
        self.assertEqual((result.returncode, result.stderr), (0, ""))
        self.assertIn("standard lamp: brings down 1 fc from ", result.stdout)
        study = json.loads((self.out / "compare.json").read_text())
        self.assertEqual([one["id"] for one in study["variants"]], ["as-drawn", "standard lamp"])
        self.assertLess(study["variants"][1]["reach"], study["variants"][0]["reach"])
        self.assertTrue((self.out / "plates/front.png").read_bytes().startswith(b"\x89PNG"))

    def test_compare_tells_a_single_run(self):
        """What a study says of the site as drawn is what `light` says."""
        summary = json.loads(run("light", GABLES, "--json").stdout)
        study = json.loads(run("compare", GABLES, "--variant", "x: U5 tilt=8", "--json").stdout)
        for target, single in zip(study["variants"][0]["targets"], summary["targets"]):
            for key in ("coverage", "mean_lx"):  # the summary gives six digits
                self.assertLess(abs(target[key] - single[key]), 1e-5 * single[key] + 1e-9)

    def test_sweep(self):
        result = run("sweep", GABLES, *UPRIGHT, "--out", self.out)
        self.assertEqual((result.returncode, result.stderr), (0, ""))
        self.assertIn("Recommended: tilt ", result.stdout)
        with open(self.out / "sweep.csv", newline="") as file:
            rows = list(csv.DictReader(file))
        self.assertEqual([float(row["tilt_deg"]) for row in rows], list(range(0, 22, 2)))
        for name in ("curves.png", "curves.svg", "contact-sheet.png"):
            self.assertGreater((self.out / name).stat().st_size, 10_000)

    def test_parts_under_gnu_parallel(self):
        """Four parts, run and joined, are the bytes of a single run."""
        parallel = shutil.which("parallel")
        self.assertIsNotNone(parallel, "GNU parallel is in tools/packages.txt")
        command = [parallel, "--will-cite", "-j2", PROGRAM, "sweep", str(GABLES), *UPRIGHT,
                   "--part", "{}/4", "--out", self.folder.name + "/part{}", ">", "/dev/null", ":::", "1", "2", "3", "4"]
        subprocess.run(command, check=True)
        parts = [Path(self.folder.name) / f"part{number}" / "sweep.json" for number in (4, 2, 1, 3)]
        self.assertEqual(run("merge", *parts, "--out", self.out).returncode, 0)
        single = Path(self.folder.name) / "single"
        run("sweep", GABLES, *UPRIGHT, "--out", single)
        for name in ("sweep.json", "sweep.csv"):
            self.assertEqual((self.out / name).read_bytes(), (single / name).read_bytes())

    def test_suggest(self):
        result = run("suggest", COTTAGE, "--fixtures", "W1", "--vary", "tilt=0..30", "--direct-only", "--out", self.out)
        self.assertEqual((result.returncode, result.stderr.count("\n")), (0, 1), result.stderr)
        self.assertIn('warning: somebody on "path" looks into the beam', result.stderr)
        self.assertIn(" designs tried", result.stdout)
        # A design found is a site file that can be opened from where it lies.
        self.assertEqual(run("check", self.out / "designs/1.site.json").returncode, 0)
        for picture in (self.out / "trade-off.png", *self.out.glob("plates/*.png")):
            self.assertTrue(picture.read_bytes().startswith(b"\x89PNG"))
        self.assertTrue(list(self.out.glob("plates/*.png")))

    def test_contribution_and_tolerance(self):
        contributions = json.loads(run("contribution", GABLES, "--json").stdout)
        for target in contributions["targets"]:
            self.assertAlmostEqual(sum(one["of_light"] for one in target["fixtures"]), 1, places=5)
        tolerance = json.loads(run("tolerance", GABLES, "--samples", "16", "--json").stdout)
        for figure in tolerance["figures"]:
            self.assertLessEqual(figure["p10"], figure["p90"])

    def test_faults(self):
        self.assert_refused(("sweep", GABLES, "--fixtures", "U9", "--vary", "tilt=0..20:1"),
                            '--fixtures: error: there is no fixture "U9"; did you mean "U1"?')
        self.assert_refused(("sweep", GABLES, "--vary", "tilt=20..0:1"),
                            "--vary: error: the range of tilt is reversed: it goes from 20° down to 0°; "
                            "give the smaller end first")
        self.assert_refused(("sweep", GABLES, "--vary", "tilt=0..20:1", "--target", "left-peek"),
                            '--target: error: there is no target "left-peek"; did you mean "left-peak"?')
        self.assert_refused(("sweep", GABLES, "--vary", "tilt=0..200:50"),
                            "--vary: error: at tilt 200°, fixtures[0].tilt (U1): 200° is out of range; "
                            "it must be 0° to 180°")
        self.assert_refused(("compare", GABLES, "--only", "two-lamp"),
                            '--only: error: the site has no variant "two-lamp"; did you mean "two-lamps"?')
        self.assert_refused(("compare", GABLES, "--target", "left-peek"),
                            '--target: error: there is no target "left-peek"; did you mean "left-peak"?')
        self.assert_refused(("suggest", GABLES, "--fixtures", "U5", "--vary", "tilt=0..20", "--lamps", "spot-9w"),
                            '--lamps: error: there is no lamp "spot-9w"; known are standard-4w, brighter-5w')
        self.assert_refused(("compare", WALK),
                            '--variant: error: there is nothing to compare the site with; give "variants" in the '
                            'site file, or --variant "NAME: U1 lamp=..."')
        self.assert_refused(("suggest", GABLES, "--fixtures", "U5", "--vary", "tilt=0..20", "--rules", "uprigt"),
                            '--rules: error: there is no rule "uprigt"; known are setback, upright, brighter, two-sides')
        self.assert_refused(("suggest", GABLES, "--fixtures", "U5"),
                            "--vary: error: nothing is free to change; free a setting with --vary tilt=0..30, "
                            "or name several --lamps")
        self.assert_refused(("suggest", GABLES, "--fixtures", "U5", "--vary", "tilt=0..20", "--prefer", "cover"),
                            '--prefer: error: "cover" is no figure of a design; known are reach, coverage, mean, '
                            "uniformity, hot_spot, spill, lumens, watts, price")
        self.assert_refused(("sweep", GABLES, "--vary", "tilt=0..20:1", "--part", "5/4"),
                            '--part: error: "5/4" is no part; write K/N, such as 2/4, K from 1 to N')

    def test_unknown_commands(self):
        for word, remedy in (("swep", 'did you mean "sweep"?'), ("tolerence", 'did you mean "tolerance"?'),
                             ("trust", "the commands are ")):
            result = run(word, GABLES)
            self.assertEqual((result.returncode, result.stdout), (2, ""))
            self.assertIn(f'there is no command "{word}"; {remedy}', result.stderr)

    def test_merge_refuses(self):
        """What is no part: said in one line, nothing written, devices not read to no end."""
        bad = Path(self.folder.name) / "bad.json"
        for text, message in (('{"variants":[{}],"ranges":[]}', f"{bad}: error: this is not the result of a study"),
                              ("[" * 200_000, f"{bad}: error: its brackets are nested deeper than those of a study"),
                              ("hello", f"{bad}:1:1: error: this is no JSON")):
            bad.write_text(text)
            self.assert_refused(("merge", bad), message + "; give the sweep.json of every part")
        for file in ("/dev/zero", self.folder.name, Path(self.folder.name) / "none.json"):
            result = run("merge", file, "--out", self.out)
            self.assertEqual((result.returncode, result.stdout), (1, ""))
            self.assertTrue(result.stderr.startswith(f"{file}: error: the file cannot be read: "))
            self.assertFalse(self.out.exists())


if __name__ == "__main__":
    unittest.main(argv=["test_studies", *sys.argv[3:]])
