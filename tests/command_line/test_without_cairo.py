"""The program of a build without cairo: pictures are SVG, said once, and nothing else changes."""
import subprocess
import sys
import tempfile
import unittest
import xml.etree.ElementTree as xml
from pathlib import Path

PROGRAM, SOURCE = sys.argv[1], Path(sys.argv[2])
SITE = SOURCE / "tests/words/porch.site.json"
NOTE = "this duskcast was built without cairo, so its pictures are SVG files\n"


def run(*arguments):
    return subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True)


class WithoutCairo(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.out = Path(self.folder.name) / "out"

    def tearDown(self):
        self.folder.cleanup()

    def check_pictures(self, folder):
        pictures = sorted(folder.rglob("*.svg"))
        self.assertEqual(list(folder.rglob("*.png")), [])
        for picture in pictures:
            self.assertEqual(xml.parse(picture).getroot().tag, "{http://www.w3.org/2000/svg}svg", picture)
        return [str(picture.relative_to(folder)) for picture in pictures]

    def test_light(self):
        result = run("light", SITE, "--direct-only", "--out", self.out)
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertEqual(result.stderr.count(NOTE), 1)
        self.assertIn("plates/porch.svg", self.check_pictures(self.out))
        self.assertTrue((self.out / "summary.json").exists())

    def test_nothing_drawn(self):
        result = run("light", SITE, "--direct-only", "--json")
        self.assertEqual((result.returncode, result.stderr.count(NOTE)), (0, 0))

    def test_load(self):
        result = run("load", SOURCE / "scenes/long-lot/long-lot.site.json", "--out", self.out)
        self.assertEqual((result.returncode, result.stderr.count(NOTE)), (0, 1))
        self.assertEqual(self.check_pictures(self.out), ["cable-plan.svg", "one-line.svg"])

    def test_view(self):
        result = run("view", SOURCE / "scenes/two-gables/two-gables.site.json", "--direct-only", "--width", 120,
                     "--height", 80, "--only", "night", "--only", "raw", "--out", self.out)
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertTrue(all(name.endswith(".night.svg") for name in self.check_pictures(self.out / "views")))
        self.assertTrue(list(self.out.glob("views/*.pfm")))


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
