"""What goes to clients and into the garden: propose, aim-sheet, night-check, and what is refused."""
import json
import os
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

PROGRAM, SOURCE = sys.argv[1], Path(sys.argv[2])

# A bare wall with two uplights: quick to light.
SITE = {
    "duskcast": 1, "name": "Bare <wall>", "units": "ft", "light": "fc", "sensor_spacing": "1 ft",
    "ground": {"margin": "2 ft",
               "areas": [{"id": "bed", "kind": "mulch", "outline": [[0, -4], [30, -4], [30, 0], [0, 0]]}]},
    "walls": [{"id": "front", "path": [[0, 0], [30, 0]], "height": "9 ft", "finish": "stucco white"}],
    "lamps": [{"id": "l", "name": "lamp 5 W", "watts": 5, "lumens": 300, "beam": 40}],
    "fixtures": [{"id": f"U{i}", "kind": "uplight", "lamp": "l", "wall": "front", "along": f"{10 * i} ft",
                  "setback": "15 in", "tilt": 8} for i in (1, 2)],
    "views": [{"id": "arriving", "eye": [15, -40, 5], "look_at": [15, 0, 5]}],
}


def run(*arguments, **options):
    return subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True, **options)


class OnPaper(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.at = Path(self.folder.name)
        self.site = self.at / "bare.site.json"
        self.site.write_text(json.dumps(SITE), encoding="utf-8")

    def tearDown(self):
        self.folder.cleanup()

    def write(self, name, text):
        (self.at / name).write_bytes(text.encode() if isinstance(text, str) else text)
        return self.at / name

    def business(self, **keys):
        return self.write("b.business.json", json.dumps({"duskcast_business": 1, "name": "Ash"} | keys))

    def propose(self, *more, **options):
        return run("propose", self.site, "--out", self.at / "out", "--draft", *more, **options)

    def test_a_proposal_is_written_with_texts_that_stay_text(self):
        done = self.propose("--business", self.business(terms="<script>alert(1)</script>"),
                            "--client", "A & <b>B</b>")
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        page = (self.at / "out/proposal.html").read_text(encoding="utf-8")
        self.assertIn("Bare &lt;wall&gt;", page)
        self.assertIn("A &amp; &lt;b&gt;B&lt;/b&gt;", page)
        self.assertNotIn("<script", page)
        self.assertIn("Prices follow separately.", page)
        self.assertTrue((self.at / "out/technical.html").exists())
        self.assertEqual(self.propose("--business", self.business(terms="<script>alert(1)</script>"),
                                      "--client", "A & <b>B</b>").returncode, 0)
        self.assertEqual((self.at / "out/proposal.html").read_text(encoding="utf-8"), page)

    def test_faults_of_the_business_file_are_named_and_nothing_is_written(self):
        self.write("note.txt", "no picture")
        for keys, what in [({"logo": "missing.png"}, "logo: error: the logo \"missing.png\" cannot be read"),
                           ({"logo": "note.txt"}, "logo: error: the logo \"note.txt\" is no picture"),
                           ({"colour": "blue"}, "colour: error: \"blue\" is no colour"),
                           ({"name": " "}, "name: error: the name of the business is empty")]:
            done = self.propose("--business", self.business(**keys))
            with self.subTest(keys):
                self.assertEqual(done.returncode, 1)
                self.assertIn(what, done.stderr)
                self.assertFalse((self.at / "out").exists())

    def test_missing_prices_are_named(self):
        prices = self.write("p.csv", "kind,id,description,unit,price,labour_hours,taxed\n"
                            "fixture,uplight,,each,,0.5,no\nlamp,l,,each,10,0,no\n")
        done = self.propose("--prices", prices)
        self.assertEqual(done.returncode, 0)
        for what in ('price of fixture "uplight"', 'mount "spike"', "price of an hour of labour"):
            self.assertIn("missing: " + what, done.stderr)
        page = (self.at / "out/proposal.html").read_text(encoding="utf-8")
        self.assertIn("to be confirmed", page)
        self.assertIn("price of fixture &quot;uplight&quot;", page)

    def test_pages_are_drawn_again_only_where_something_changed(self):
        prices = self.write("p.csv", "kind,id,description,unit,price,labour_hours,taxed\nfixture,uplight,,each,5,,no\n")
        words = ["--prices", prices, "--business", self.business()]
        first = self.propose(*words)
        self.assertEqual(first.returncode, 0)
        pages = [self.at / "out/proposal.html", self.at / "out/technical.html"]

        def made():  # a page that is written again is newer
            return [(page.stat().st_mtime_ns, page.read_bytes()) for page in pages]

        before = made()
        again = self.propose(*words)
        self.assertEqual((again.returncode, again.stdout, again.stderr), (0, first.stdout, first.stderr))
        self.assertEqual(made(), before)
        for change in [lambda: pages[0].write_bytes(b"edited"), lambda: pages[1].unlink(),
                       lambda: words.extend(["--client", "A"]), lambda: self.business(tagline="Light"),
                       lambda: prices.write_text(prices.read_text().replace("each,5", "each,6")),
                       lambda: self.site.write_text(self.site.read_text().replace("Bare", "Plain"))]:
            change()
            self.assertEqual(self.propose(*words).returncode, 0)
            after = made()
            self.assertTrue(all(new[0] != old[0] for new, old in zip(after, before)))
            before = after
        # Coverage pictures beside them leave them alone.
        done = self.propose("--images")
        self.assertEqual((done.returncode, len(done.stdout.split())), (0, 2), done.stderr)
        self.assertEqual(made(), before)

    def test_a_pdf_needs_a_browser(self):
        done = self.propose("--pdf", env=os.environ | {"DUSKCAST_BROWSER": str(self.at / "none")})
        self.assertEqual(done.returncode, 2)
        self.assertIn("--pdf: error: no browser was found that makes PDFs", done.stderr)
        self.assertFalse((self.at / "out").exists())
        # One that fails, and one that writes what it is asked for.
        for script, status in [("#!/bin/sh\nexit 3\n", 2),
                               ('#!/bin/sh\nfor a; do case $a in --print-to-pdf=*) echo PDF > "${a#*=}";; esac; done\n', 0)]:
            browser = self.write("browser", script)
            browser.chmod(0o755)
            done = self.propose("--pdf", env=os.environ | {"DUSKCAST_BROWSER": str(browser)})
            self.assertEqual(done.returncode, status, done.stderr)
            self.assertEqual((self.at / "out/proposal.pdf").exists(), status == 0)

    def test_a_site_without_views_cannot_be_shown(self):
        self.site.write_text(json.dumps({key: SITE[key] for key in SITE if key != "views"}), encoding="utf-8")
        done = self.propose()
        self.assertEqual(done.returncode, 1)
        self.assertIn("a proposal shows the property from its views", done.stderr)

    def test_a_night_goes_round(self):
        sheet = self.at / "for tonight/sheet.html"  # a folder that is not there yet
        done = run("aim-sheet", self.site, "--out", sheet)
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        self.assertIn("2 fixtures, 6 places to read light", done.stdout)
        self.assertIn("Bare &lt;wall&gt;", sheet.read_text(encoding="utf-8"))
        readings = self.write("night.csv", "\ufefffixture;point;footcandles;volts;note\r\n"
                              "U1;1;2,1;;\r\nU1;2;4,8;;\r\nU1;3;20,5;;\r\n")
        done = run("night-check", self.site, readings, "--out", self.at / "built")
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        self.assertIn("U1: turned about ", done.stdout)
        self.assertIn("to the right", done.stdout)
        self.assertIn("No light was read at U2.", done.stdout)
        built = json.loads((self.at / "built/as-built.site.json").read_text(encoding="utf-8"))
        self.assertGreater(built["fixtures"][0]["turn"], 2)
        self.assertEqual(run("check", self.at / "built/as-built.site.json").returncode, 0)
        self.assertTrue((self.at / "built/as-built.html").exists())

    def test_faulty_readings_are_refused_with_their_place(self):
        for text, what in [("fixture,point,lux\nU9,1,5\n", ':2:1: error: there is no fixture "U9"; did you mean "U1"?'),
                           ("fixture,point,lux\nU1,1,-5\n", ":2:6: error: -5 is no reading"),
                           ("fixture,point,lux\nU1,1,\"1,5\"\n", ':2:6: error: "1,5" is not a number'),
                           ("", "there is nothing in this file")]:
            done = run("night-check", self.site, self.write("night.csv", text), "--out", self.at / "built")
            with self.subTest(text):
                self.assertEqual(done.returncode, 1)
                self.assertIn(what, done.stderr)
                self.assertFalse((self.at / "built").exists())


unittest.main(argv=sys.argv[:1])
