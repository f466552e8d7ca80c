"""The command line as a script sees it: exit statuses, the output contract, and nothing half written."""
import base64
import csv
import filecmp
import functools
import json
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

PROGRAM, SOURCE = sys.argv[1], Path(sys.argv[2])
SITE = SOURCE / "scenes/two-gables/two-gables.site.json"


def run(*arguments, **options):
    return subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True, **options)


@functools.lru_cache(maxsize=None)
def run_once(*arguments):
    """Of commands that write nothing, for all the tests that look at what they say."""
    return run(*arguments)


def files_in(folder):
    """Every file but the lists of what a command wrote."""
    paths = (path for path in Path(folder).rglob("*") if path.is_file() and path.suffix != ".files")
    return sorted(str(path.relative_to(folder)) for path in paths)


class CommandLine(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.shared = tempfile.TemporaryDirectory()
        cls.oak = cls.make_coarse("broad-oak")
        cls.lit = Path(cls.shared.name) / "lit"
        cls.lighting = run("light", SITE, "--out", cls.lit, "--svg")

    @classmethod
    def tearDownClass(cls):
        cls.shared.cleanup()

    @classmethod
    def make_coarse(cls, scene):
        """A scene with fewer, larger leaves and few sensors: lit in a fraction of the time."""
        site = json.loads((SOURCE / f"scenes/{scene}/{scene}.site.json").read_text(encoding="utf-8"))
        if "catalogue" in site:
            site["catalogue"] = str((SOURCE / f"scenes/{scene}" / site["catalogue"]).resolve())
        site |= {"sensor_spacing": "2 ft", "ground_spacing": "4 ft"}
        for tree in site["trees"]:
            tree["leaf_size"] = "24 in"
        file = Path(cls.shared.name) / f"{scene}.site.json"
        file.write_text(json.dumps(site), encoding="utf-8")
        return file

    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.out = Path(self.folder.name) / "out"

    def tearDown(self):
        self.folder.cleanup()

    def test_faults_of_option_values_are_wrong_usage(self):
        site = SOURCE / "scenes/two-gables/two-gables.site.json"
        lot = SOURCE / "scenes/long-lot/long-lot.site.json"
        upright = ("--fixtures", "U5", "--vary", "tilt=0..20")
        for arguments, message in [
            (("view", site, "--exposure", "nan", "--out", "x"), '--exposure: "nan" is not a number; give one from -10 to 10'),
            (("tolerance", site, "--off-tilt", "inf"), '--off-tilt: "inf" is not a number; give one from 0 to 45'),
            (("tolerance", site, "--off-tilt", "46"), "--off-tilt: 46 is out of range; give 0 to 45"),
            (("tolerance", site, "--off-setback", "-1 in", "--samples", "8"),
             '--off-setback: error: "-1 in" is less than nothing; give the length either way, such as 2 in'),
            (("load", lot, "--tap", "nan"), '--tap: "nan" is not a number; give one from 1 to 50'),
            (("suggest", site, *upright, "--max-watts", "nan"), '--max-watts: "nan" is not a number; give one from 0 to 1,000,000'),
            (("suggest", site, *upright, "--max-candela", "-1"), "--max-candela: -1 is out of range; give 0 to 1,000,000,000"),
            (("light", site, "--levels", "1,x"),
             '--levels: error: "x" is not an illuminance; write a number with its unit, such as 1 fc or 10 lx'),
            (("light", site, "--levels", ","), '--levels: "," names nothing'),
            (("compare", site, "--only=,,"), '--only: ",," names nothing'),
            (("light", site, "--out", ""), "--out: the value is empty"),
            (("view", site, "--out", ""), "--out: the value is empty"),
            (("sweep", site, "--fixtures", "U5", "--vary", "tilt=0-20"),
             '--vary: error: "tilt=0-20" has a hyphen where two dots are wanted; write it as KEY=FROM..TO:STEP, such as '
             "tilt=0..30:1, or as a list, such as lamp=led-4w-24,led-5w-24"),
        ]:
            result = run(*arguments)
            with self.subTest(arguments):
                self.assertEqual((result.returncode, result.stdout), (2, ""))
                self.assertEqual(result.stderr.splitlines()[0], message)
        for seed in ("-1", "18446744073709551616", "nan"):
            self.assertEqual(run("tolerance", site, "--seed", seed, "--samples", "8").returncode, 2, seed)

    def test_other_encodings_and_hidden_characters(self):
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "a.site.json"
            file.write_bytes('{"duskcast": 1}'.encode("utf-16"))
            self.assertIn(f"{file}: error: the file is written in UTF-16; save it as UTF-8\n", run("check", file).stdout)
            file.write_text('{"\\u001b[2J\\u202e' + "w" * 100_000 + '": 1}')
            said = run("check", file).stdout
            self.assertNotIn("\x1b", said)
            self.assertNotIn("\u202e", said)
            self.assertIn("\\x1b[2J\\u202e", said)
            self.assertLess(len(said), 3000)

    def test_load(self):
        """Keys that scripts rely on, the pictures, and a proposal that can be put into the site file."""
        site = SOURCE / "scenes/long-lot/long-lot.site.json"
        result = run("load", site, "--json", "--out", self.out)
        self.assertEqual((result.returncode, result.stderr.count("\n")), (0, 1), result.stderr)
        self.assertIn("warning: B10 hangs up to 20 ft above the ground; work on ladders in pairs", result.stderr)
        load = json.loads(result.stdout)
        self.assertEqual(load, json.loads((self.out / "load.json").read_text()))
        self.assertEqual(
            files_in(self.out), ["cable-plan.png", "cable-plan.svg", "load.json", "one-line.png", "one-line.svg"]
        )
        self.assertTrue(load["works"])
        self.assertEqual((load["lamps"], load["lamps_in_window"], load["advice"]), (22, 22, []))
        for key in ("id", "run", "volts", "amps", "watts", "window_v", "state", "cable_m"):
            self.assertIn(key, load["fixtures"][0])
        for key in ("id", "tap_v", "gauge_awg", "operating_point", "residual_a", "cable_m", "drop_v", "cables"):
            self.assertIn(key, load["runs"][0])
        for key in ("id", "rating_va", "volt_amperes", "share", "secondary_amps"):
            self.assertIn(key, load["transformers"][0])
        self.assertNotIn("compl", result.stdout)
        people = run("load", site, "--wire-table", "nec").stdout
        self.assertIn("NEC chapter 9 table 8", people)
        self.assertIn("licensed electrician", people)
        self.assertEqual(run("load", site, "--tap", "11").returncode, 2)
        self.assertEqual(run("load", site, "--wire-table", "nec", "--soil", "20").returncode, 2)
        self.assertIn("--route", run("load", SITE).stderr)

        routed = run("load", SITE, "--route", "--out", self.out)
        self.assertEqual(routed.returncode, 0, routed.stderr)
        network = json.loads((self.out / "network.json").read_text())
        text = json.loads(SITE.read_text())
        text.update(network)
        copy = self.out / "routed.site.json"
        catalogue = text.get("catalogue")
        if catalogue:
            text["catalogue"] = str((SITE.parent / catalogue).resolve())
        copy.write_text(json.dumps(text))
        again = run("load", copy)
        self.assertEqual(again.returncode, 0, again.stderr)
        self.assertIn("This works", again.stdout)

    def test_as_wired(self):
        """Filaments give less light at the end of a long cable, regulated lamps the same."""
        site = json.loads((SOURCE / "scenes/long-lot/long-lot.site.json").read_text())
        site["catalogue"] = str((SOURCE / "scenes/lamps/garden.catalogue.json").resolve())
        for fixture in site["fixtures"]:
            if fixture["id"] == "B1":
                fixture["lamp"] = "halogen-20w-36"
        site["ground"]["margin"] = "1 ft"
        site["ground_spacing"] = "4 ft"
        site["sensor_spacing"] = "2 ft"
        self.out.mkdir()
        file = self.out / "wired.site.json"
        file.write_text(json.dumps(site))
        volts = {one["id"]: one["volts"] for one in json.loads(run("load", file, "--json").stdout)["fixtures"]}
        plain, wired = (
            {
                one["id"]: one["lumens"]
                for one in json.loads(run("light", file, "--direct-only", "--json", *more).stdout)["fixtures"]
            }
            for more in ([], ["--as-wired"])
        )
        self.assertAlmostEqual(wired["B1"] / plain["B1"], (volts["B1"] / 12) ** (6.5 / 1.9), places=4)
        self.assertEqual(wired["B2"], plain["B2"])
        for lumens, more in ((plain, []), (wired, ["--as-wired"])):
            result = run("compare", file, "--variant", "aimed anew: B1 tilt=5", "--direct-only", "--json", *more)
            self.assertEqual(result.returncode, 0, result.stderr)
            for variant in json.loads(result.stdout)["variants"]:
                self.assertLess(abs(variant["lumens"] - sum(lumens.values())), 0.01)

    def test_contract(self):
        """Keys and columns that scripts rely on."""
        self.assertEqual((self.lighting.returncode, self.lighting.stderr), (0, ""))
        self.assertIn("1 fc reaches", self.lighting.stdout)
        summary = json.loads((self.lit / "summary.json").read_text())
        for key in ("site", "units", "fixtures", "surfaces", "targets", "spill", "warnings"):
            self.assertIn(key, summary)
        for key in ("id", "lamp", "lumens", "watts", "position_m", "tilt_deg", "azimuth_deg"):
            self.assertIn(key, summary["fixtures"][0])
        for key in ("id", "kind", "area_m2", "sensors", "min_lx", "mean_lx", "max_lx", "coverage", "reach"):
            self.assertIn(key, summary["surfaces"][0])
        for key in ("level_lx", "share"):
            self.assertIn(key, summary["surfaces"][0]["coverage"][0])
        for key in ("level_lx", "height_m"):
            self.assertIn(key, summary["surfaces"][0]["reach"][0])
        for key in ("id", "level_lx", "mean_lx", "coverage", "reached"):
            self.assertIn(key, summary["targets"][0])
        spill = summary["spill"]
        landed = sum(spill[part] for part in ("target_lm", "other_lm", "ground_lm", "sky_lm"))
        self.assertLess(abs(landed - spill["emitted_lm"]), 0.005 * spill["emitted_lm"])
        for surface in summary["surfaces"]:
            with open(self.lit / "maps" / (surface["id"] + ".csv"), newline="") as file:
                rows = list(csv.reader(file))
            self.assertEqual(rows[0], "x_m,y_m,z_m,nx,ny,nz,area_m2,direct_lx,bounced_lx,total_lx".split(","))
            self.assertEqual(len(rows) - 1, surface["sensors"])
            for row in rows[1:]:
                direct, bounced, total = (float(cell) for cell in row[7:])
                self.assertLess(abs(direct + bounced - total), 2e-5 * total + 1e-12)
        self.assertGreater(summary["surfaces"][0]["bounced"]["mean_lx"], 0)
        self.assertTrue((self.lit / "plates/front.png").read_bytes().startswith(b"\x89PNG"))

    def test_what_the_readme_quotes(self):
        quoted = [line.strip() for line in (SOURCE / "README.md").read_text(encoding="utf-8").splitlines()
                  if line.startswith(("    U2 (", "    Target "))]
        self.assertEqual(len(quoted), 2)
        printed = run_once("light", SITE).stdout.splitlines()
        for line in quoted:
            self.assertIn(line, printed)

    def test_page(self):
        # The program looks for the page beside itself.
        desk = Path(self.folder.name) / "desk"
        desk.mkdir()
        program = desk / "duskcast"
        shutil.copy(PROGRAM, program)
        house = desk / "house.html"
        scene = SOURCE / "scenes/front-walk/front-walk.site.json"

        def run_page(*options):
            return subprocess.run([program, "page", scene, "--out", house, *options], capture_output=True, text=True)

        result = run_page()
        self.assertEqual((result.returncode, result.stdout), (1, ""))
        self.assertIn("this duskcast was built without the page; run tools/setup --web", result.stderr)
        self.assertFalse(house.exists())
        (desk / "duskcast.html").write_text('<script id="duskcast-site">{}</script><p>')
        for options, is_client in (((), False), (("--client",), True)):
            result = run_page(*options)
            self.assertEqual(result.returncode, 0, result.stderr)
            page = house.read_text()
            self.assertTrue(page.endswith("</script><p>"))
            carried = json.loads(page.removeprefix('<script id="duskcast-site">').removesuffix("</script><p>"))
            self.assertEqual(carried["text"], scene.read_text())
            self.assertEqual(carried["is_client"], is_client)
            catalogue = base64.b64decode(carried["files"]["../lamps/garden.catalogue.json"])
            self.assertEqual(catalogue, (SOURCE / "scenes/lamps/garden.catalogue.json").read_bytes())

    def test_json_is_the_summary(self):
        printed = run_once("light", SITE, "--json")
        self.assertEqual(json.loads(printed.stdout), json.loads((self.lit / "summary.json").read_text()))

    def test_units_and_levels(self):
        result = run("light", SITE, "--direct-only", "--units", "m", "--levels", "5,,20lx")
        self.assertEqual(result.returncode, 0)
        self.assertIn("light in lx", result.stdout)
        self.assertIn(">=5 ", result.stdout)
        self.assertIn(">=20 ", result.stdout)

    @unittest.skipUnless(hasattr(os, "sched_setaffinity"), "needs a way to pin to one core")
    def test_same_bytes_from_one_core_and_all(self):
        one = Path(self.folder.name) / "one"
        core = min(os.sched_getaffinity(0))
        run("light", SITE, "--out", one, "--svg", preexec_fn=lambda: os.sched_setaffinity(0, {core}))
        names = files_in(one)
        self.assertGreater(len(names), 8)
        self.assertEqual(names, files_in(self.lit))
        self.assertEqual(filecmp.cmpfiles(one, self.lit, names, shallow=False), (names, [], []))

    def test_check(self):
        sound = run("check", SITE)
        self.assertEqual((sound.returncode, sound.stderr), (0, ""))
        self.assertIn("no problems found", sound.stdout)
        broken = Path(self.folder.name) / "broken.site.json"
        broken.write_text(SITE.read_text().replace('"tilt": 6', '"tilt": 260').replace('"lamp": "brighter-5w"', '"lamp": "brighter"'))
        result = run("check", broken)
        self.assertEqual(result.returncode, 1)
        self.assertIn("fixtures[4].tilt (U5): error: ", result.stdout)
        self.assertIn("fixtures[4].lamp (U5): error: ", result.stdout)
        self.assertIn("2 errors", result.stdout)

    def test_lamp_sheet(self):
        catalogue = SOURCE / "scenes/lamps/garden.catalogue.json"
        result = run("lamp", "led-4w-36", "--from", catalogue, "--json")
        self.assertEqual((result.returncode, result.stderr), (0, ""))
        (sheet,) = json.loads(result.stdout)
        # 280 lm in a cosine-power beam of 36 degrees: 2.3575 cd a lumen, 52.4 % of them in the beam
        # (closed forms, computed for that beam).
        self.assertAlmostEqual(sheet["max_cd"], 280 * 2.3575, delta=0.5)
        self.assertAlmostEqual(sheet["beam_lm"], 280 * 0.524, delta=0.3)
        self.assertAlmostEqual(sheet["light_loss"], 0.95 * 0.9)

        result = run("lamp", "led-4w-36", "led-5w-36", "--from", catalogue, "--out", self.out, "--svg")
        self.assertEqual(result.returncode, 0)
        names = ["led-4w-36", "led-5w-36", "together"]
        self.assertEqual(files_in(self.out), [name + end for name in names for end in (".png", ".svg")])
        for name in names:
            self.assertIn(f"wrote {self.out / name}.png", result.stdout)

    def test_lamp_as_lm63(self):
        file = Path(self.folder.name) / "wash.ies"
        catalogue = SOURCE / "scenes/lamps/garden.catalogue.json"
        self.assertEqual(run("lamp", "wash-3w", "--from", catalogue, "--as-lm63", file).returncode, 0)
        self.assertTrue(file.read_bytes().startswith(b"IES:LM-63-2019\r\n"))
        (made,) = json.loads(run("lamp", "wash-3w", "--from", catalogue, "--json").stdout)
        (read,) = json.loads(run("lamp", file, "--json").stdout)
        self.assertAlmostEqual(read["lumens"] / made["lumens"], 1, delta=2e-3)
        self.assertAlmostEqual(read["max_cd"] / made["max_cd"], 1, delta=2e-3)
        self.assertEqual(read["watts"], made["watts"])

    def test_lamp_at_fault(self):
        catalogue = SOURCE / "scenes/lamps/garden.catalogue.json"
        result = run("lamp", "led", "--from", catalogue)
        self.assertEqual(result.returncode, 1)
        self.assertIn("no lamp of this id; known are led-4w-15, ", result.stderr)
        result = run("lamp", "led-4w-15", "led-4w-24", "--from", catalogue, "--as-lm63", self.out)
        self.assertEqual(result.returncode, 2)
        self.assertIn("2 lamps do not go into one file; name one lamp", result.stderr)
        self.assertFalse(self.out.exists())
        self.assertEqual(run("lamp").returncode, 1)
        self.assertEqual(run("lamp", "--tilt", "200").returncode, 2)

    def view(self, *arguments, site=SITE, **options):
        return run("view", site, "--out", self.out, "--width", 64, "--height", 40, *arguments, **options)

    def test_view(self):
        result = self.view("--marks", "--json")
        self.assertEqual((result.returncode, result.stderr), (0, ""))
        (row,) = json.loads(result.stdout)
        self.assertEqual((row["id"], row["width"], row["height"]), ("drive", 64, 40))
        names = ["views/drive.day.png", "views/drive.luminance.png", "views/drive.night.png", "views/drive.pfm"]
        self.assertEqual(files_in(self.out), names)
        self.assertEqual(sorted(row["files"]), [str(self.out / name) for name in names])
        header = b"PF\n64 40\n-1.0\n"
        figures = (self.out / "views/drive.pfm").read_bytes()
        self.assertEqual((figures[:len(header)], len(figures)), (header, len(header) + 64 * 40 * 12))

    def test_before_is_the_night_without_fixtures(self):
        # Same bytes as of a site that has none. A pair is two pictures 64 pixels wide with 8 between them.
        # Straight light alone: how far sensors lie apart on the lawn goes by where fixtures stand.
        self.assertEqual(self.view("--only", "before,pair", "--direct-only").returncode, 0)
        self.assertEqual(files_in(self.out), ["views/drive.before.png", "views/drive.pair.png"])
        before, pair = ((self.out / f"views/drive.{what}.png").read_bytes() for what in ("before", "pair"))
        self.assertEqual(int.from_bytes(pair[16:20], "big"), 2 * 64 + 8)
        site = json.loads(SITE.read_text(encoding="utf-8")) | {"fixtures": []}
        for key in ("targets", "variants", "network", "catalogue"):
            site.pop(key, None)
        bare = Path(self.folder.name) / "bare.site.json"
        bare.write_text(json.dumps(site), encoding="utf-8")
        self.assertEqual(self.view("--only", "night", "--direct-only", site=bare).returncode, 0)
        self.assertEqual((self.out / "views/drive.night.png").read_bytes(), before)

    def test_sunny_photo_has_no_figures(self):
        # What the sun's share was is an estimate: neither figures nor a file of luminances.
        site = json.loads((SOURCE / "scenes/street-photo/street-photo.site.json").read_text(encoding="utf-8"))
        photo = site["photos"][0]
        photo |= {"file": str(SOURCE / "scenes/street-photo" / photo["file"]), "taken": "sun",
                  "sun": {"azimuth": 200, "elevation": 50}}
        sunny = Path(self.folder.name) / "sunny.site.json"
        sunny.write_text(json.dumps(site), encoding="utf-8")
        result = run("photo", sunny, "--out", self.out, "--json")
        self.assertEqual(result.returncode, 0)
        names = [f"photos/street.{end}" for end in ("camera.json", "marks.png", "night.png", "pair.png")]
        self.assertEqual(files_in(self.out), names)
        night = json.loads(result.stdout)[0]["night"]
        self.assertEqual((night["is_sunny"], night["mean_cd_m2"], night["targets"]), (True, None, []))
        self.assertEqual(sorted(night["files"]), [str(self.out / name) for name in names])

    def test_view_of_variants(self):
        # Each to the byte what the site says when the variant is written into it by hand, another season too.
        site = json.loads(self.oak.read_text(encoding="utf-8"))
        first = site["fixtures"][0]["id"]
        site["variants"] = [{"id": "winter", "season": "bare"},
                            {"id": "leaner", "changes": [{"fixtures": [first], "tilt": 20}]}]
        both, leaner = (Path(self.folder.name) / f"{name}.site.json" for name in ("both", "leaner"))
        both.write_text(json.dumps(site), encoding="utf-8")
        site["fixtures"][0]["tilt"] = 20
        leaner.write_text(json.dumps(site), encoding="utf-8")
        what = ("--only", "night,before,pair,raw", "--view", "leaving", "--direct-only")
        result = self.view(*what, "--variant", "leaner,winter", "--json", site=both)
        self.assertEqual((result.returncode, result.stderr), (0, ""))
        rows = json.loads(result.stdout)
        self.assertEqual([(row["id"], row.get("variant")) for row in rows],
                         [("leaving", None), ("leaving", "winter"), ("leaving", "leaner")])
        self.assertEqual(rows[2]["files"], [f"{self.out}/views/leaving.leaner.{end}"
                                            for end in ("night.png", "pair.png", "pfm")])
        written = {name: (self.out / name).read_bytes() for name in files_in(self.out)}
        for variant, file, season in (("", both, "in-leaf"), (".winter", both, "bare"), (".leaner", leaner, "in-leaf")):
            self.assertEqual(self.view(*what, "--season", season, site=file).returncode, 0)
            for end in ("night.png", "before.png", "pair.png", "pfm"):
                if (variant, end) != (".leaner", "before.png"):  # that of the site as it is
                    self.assertEqual(written.pop(f"views/leaving{variant}.{end}"),
                                     (self.out / f"views/leaving.{end}").read_bytes(), (variant, end))
        self.assertEqual(written, {})
        result = self.view("--variant", "summer", site=both)
        self.assertEqual(result.returncode, 2)
        self.assertIn('--variant: error: the site has no variant "summer"', result.stderr)

    def test_view_writes_all_or_nothing(self):
        # The second view's last picture cannot be put in place: nothing of either view is.
        oak = SOURCE / "scenes/broad-oak/broad-oak.site.json"
        (self.out / "views/leaving.pfm").mkdir(parents=True)
        result = self.view("--direct-only", site=oak)
        self.assertEqual(result.returncode, 1)
        self.assertIn("leaving.pfm: error: cannot be written: something else is in its place", result.stderr)
        self.assertEqual(files_in(self.out), [])
        # No view is left half done either when a later one is at fault.
        text = oak.read_text().replace('"eye": [36, 90, 4.5]', '"eye": [36, 90, -4.5]')
        broken = Path(self.folder.name) / "broken.site.json"
        broken.write_text(text)
        fresh = Path(self.folder.name) / "fresh"
        self.assertEqual(run("view", broken, "--out", fresh, "--direct-only").returncode, 1)
        self.assertFalse(fresh.exists())

    def test_view_of_choice(self):
        self.assertEqual(self.view("--view", "leaving", "--only", "night,raw", site=self.oak).returncode, 0)
        self.assertEqual(files_in(self.out), ["views/leaving.night.png", "views/leaving.pfm"])

    @unittest.skipUnless(hasattr(os, "sched_setaffinity"), "needs a way to pin to one core")
    def test_view_same_bytes_from_one_core_and_all(self):
        walk = self.make_coarse("front-walk")
        core = min(os.sched_getaffinity(0))
        self.view(site=walk, preexec_fn=lambda: os.sched_setaffinity(0, {core}))
        one = {name: (self.out / name).read_bytes() for name in files_in(self.out)}
        self.view(site=walk)
        self.assertEqual(one, {name: (self.out / name).read_bytes() for name in files_in(self.out)})
        self.assertEqual(len(one), 4)

    def test_view_at_fault(self):
        result = self.view("--view", "drife")
        self.assertEqual((result.returncode, result.stdout), (1, ""))
        self.assertEqual(result.stderr, f'{SITE}: error: there is no view called "drife"; did you mean "drive"?\n')
        broken = Path(self.folder.name) / "broken.site.json"
        for change, message in ((("eye\": [26, -60, 5.5]", "eye\": [26, -60, -5.5]"), "views[0]: error: view drive: the eye lies below the ground"),
                                (("look_at\": [22, 0, 9]", "look_at\": [26, -60, 5.5]"), "look_at"),
                                (("field_of_view\": 50", "field_of_view\": 180"), "field_of_view"),
                                (("field_of_view\": 50", "field_of_view\": 0"), "field_of_view")):
            text = SITE.read_text()
            self.assertIn(change[0], text)
            broken.write_text(text.replace(*change))
            result = self.view(site=broken)
            self.assertEqual((result.returncode, result.stdout), (1, ""), change)
            self.assertIn(message, result.stderr)
        text = SITE.read_text()
        broken.write_text(text[:text.index(',\n  "views"')] + "\n}\n")
        self.assertIn("the site has no views", self.view(site=broken).stderr)
        self.assertFalse(self.out.exists())
        for arguments in (["--only", "dusk"], ["--width", "0"], ["--exposure", "99"], ["--view", "drive", "--all"]):
            self.assertEqual(self.view(*arguments).returncode, 2, arguments)

    def test_faulty_input_writes_nothing(self):
        result = run("light", self.out / "none.site.json", "--out", self.out)
        self.assertEqual((result.returncode, result.stdout), (1, ""))
        self.assertIn("none.site.json: error: ", result.stderr)
        self.assertFalse(self.out.exists())

    def test_wrong_usage(self):
        for arguments in ([], ["glow"], ["light"], ["light", SITE, "--unit", "ft"], ["light", SITE, "--units", "yd"]):
            self.assertEqual(run(*arguments).returncode, 2, arguments)
        for arguments in (["--help"], ["light", "--help"], ["check", "--help"], ["--version"]):
            self.assertEqual(run(*arguments).returncode, 0, arguments)

    def test_seasons(self):
        """One site file in winter and in years: bare crowns catch less and let more go to the sky."""
        now = json.loads(run_once("light", self.oak, "--json").stdout)
        same = json.loads(run("light", self.oak, "--season", "in-leaf", "--years-on", "0", "--json").stdout)
        self.assertEqual(now, same)
        self.assertEqual(now["season"], {"plants": "in-leaf", "years_on": 0})
        bare = json.loads(run("light", self.oak, "--season", "bare", "--json").stdout)
        self.assertEqual(bare["season"]["plants"], "bare")
        self.assertEqual(bare["made_by"]["site_fnv1a"], now["made_by"]["site_fnv1a"])
        self.assertGreater(bare["spill"]["sky_lm"], 1.3 * now["spill"]["sky_lm"])
        self.assertGreater(bare["spill"]["target_lm"], 0)  # twigs and boughs still catch some
        result = run("light", self.oak, "--season", "baer")
        self.assertEqual((result.returncode, result.stdout), (2, ""))
        self.assertEqual(result.stderr,
                         '--season: error: there is no season "baer"; did you mean "bare"?\n')
        result = run("light", self.oak, "--years-on", "101")
        self.assertEqual((result.returncode, result.stdout), (2, ""))
        self.assertEqual(result.stderr, "--years-on: error: 101 is out of range; it must be 0 to 100 years\n")

    def test_stray(self):
        """Only where the site asks for it; the words promise nothing."""
        self.assertNotIn("stray", json.loads(run_once("light", SITE, "--json").stdout))
        self.assertNotIn("where it should not go", run_once("light", SITE).stdout)
        stray = json.loads(run_once("light", self.oak, "--json").stdout)["stray"]
        for key in ("zone", "note", "limits", "watch_points", "eyes", "upward_share", "sky_share"):
            self.assertIn(key, stray)
        for key in ("id", "kind", "position_m", "facing_deg", "direct_lx", "bounced_lx", "total_lx"):
            self.assertIn(key, stray["watch_points"][0])
        for key in ("eye", "fixture", "distance_m", "visible_share", "candela", "off_sight_deg"):
            self.assertIn(key, stray["eyes"][0])
        for limit in stray["limits"].values():
            self.assertIn("CIE 150:2003", limit["source"])
        printed = run("light", self.oak).stdout
        self.assertIn("Stray light, zone E2", printed)
        self.assertIn("Check local rules.", printed)
        self.assertNotIn("complies", printed + json.dumps(stray))

    def test_bad_level(self):
        result = run("light", SITE, "--levels", "0,1")
        self.assertEqual((result.returncode, result.stdout), (2, ""))
        self.assertEqual(result.stderr, '--levels: error: "0" is not a level of light; '
                                        "give levels above 0, for example --levels 0.5,1,2\n")

    def test_folder_that_cannot_be_written(self):
        blocker = Path(self.folder.name) / "file"
        blocker.write_text("in the way")
        result = run("light", SITE, "--out", blocker / "out")
        self.assertEqual((result.returncode, result.stdout), (1, ""))
        self.assertEqual(result.stderr, f"{blocker / 'out'}: error: cannot be written to (Not a directory); "
                                        "choose another folder with --out\n")
        self.assertEqual(blocker.read_text(), "in the way")

    @unittest.skipUnless(hasattr(signal, "SIGXFSZ"), "needs a file size limit to stand for a full disk")
    def test_full_disk_leaves_what_was_there(self):
        """Writing fails half way: the old results stay whole, nothing new is left behind."""
        shutil.copytree(self.lit, self.out)
        before = {name: (self.out / name).read_bytes() for name in files_in(self.out)}

        def limit():
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))

        for folder in (self.out, Path(self.folder.name) / "new"):
            result = run("light", SITE, "--out", folder, "--levels", "3", preexec_fn=limit)
            self.assertEqual((result.returncode, result.stdout), (1, ""))
            self.assertIn("error: ", result.stderr)
        self.assertEqual(before, {name: (self.out / name).read_bytes() for name in files_in(self.out)})
        self.assertFalse((Path(self.folder.name) / "new").exists())

    def test_quiet_in_a_pipe(self):
        self.assertEqual(run_once("light", SITE).stderr, "")


if __name__ == "__main__":
    # One test a name, so that ctest counts them.
    unittest.main(argv=["test_command_line", *sys.argv[3:]])
