"""Processes and files: shared folders, links, devices, lost streams, signals."""
import os
import signal
import stat
import subprocess
import sys
import tempfile
import time
import unittest
from pathlib import Path

PROGRAM, SOURCE = sys.argv[1], Path(sys.argv[2])
SITE = SOURCE / "scenes/two-gables/two-gables.site.json"
CATALOGUE = SOURCE / "scenes/lamps/garden.catalogue.json"
SMALL = """{"duskcast": 1, "name": "small", "units": "m", "sensor_spacing": 0.5,
 "walls": [{"id": "%s", "path": [[0, 0], [4, 0]], "height": 3}],
 "lamps": [{"id": "spot", "watts": 5, "lumens": 350, "beam": 36}],
 "fixtures": [{"id": "U1", "kind": "uplight", "lamp": "spot", "wall": "%s", "along": 2, "setback": 0.4, "tilt": 8}],
 "views": [{"id": "street", "eye": [2, -9, 1.6], "look_at": [2, 0, 1.5]}]}"""


def run(*arguments, **options):
    return subprocess.run([PROGRAM, *map(str, arguments)], text=True, **{"capture_output": True, **options})


class Files(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.here = Path(self.folder.name)
        self.out = self.here / "out"
        self.site = self.here / "small.site.json"
        self.site.write_text(SMALL % ("front", "front"))

    def tearDown(self):
        self.folder.cleanup()

    def visible(self):
        return sorted(
            str(path.relative_to(self.out)) for path in self.out.rglob("*") if path.is_file() and path.suffix != ".files"
        )

    def test_light_and_view_share_a_folder(self):
        self.assertEqual(run("light", self.site, "--out", self.out).returncode, 0)
        self.assertEqual(run("view", self.site, "--out", self.out, "--width", 32, "--height", 20).returncode, 0)
        both = self.visible()
        self.assertIn("summary.json", both)
        self.assertIn("views/street.night.png", both)
        # A wall with another name, and SVG no longer asked for: nothing of before is left, the views are.
        self.assertEqual(run("light", self.site, "--out", self.out, "--svg").returncode, 0)
        self.assertIn("plates/front.svg", self.visible())
        self.site.write_text(SMALL % ("back", "back"))
        self.assertEqual(run("light", self.site, "--out", self.out).returncode, 0)
        self.assertEqual([name for name in self.visible() if "front" in name or name.endswith(".svg")], [])
        self.assertIn("views/street.night.png", self.visible())

    def test_two_runs_at_once(self):
        """Whichever ends last wins, whole; one that fails takes nothing from the other."""
        broken = self.here / "broken.site.json"
        broken.write_text(self.site.read_text().replace('"lamp": "spot"', '"lamp": "sopt"'))
        for _ in range(3):
            runs = [
                subprocess.Popen([PROGRAM, "light", str(site), "--out", str(self.out)], stdout=subprocess.DEVNULL,
                                 stderr=subprocess.DEVNULL)
                for site in (self.site, self.site, broken)
            ]
            self.assertEqual([one.wait() for one in runs], [0, 0, 1])
            self.assertIn("maps/front.csv", self.visible())
            self.assertEqual([path.name for path in self.out.glob(".duskcast-*")], [".duskcast-light.files"])

    def test_own_files_stay(self):
        (self.out / ".draft").mkdir(parents=True)
        (self.out / ".draft/mine.txt").write_text("mine")
        (self.out / "maps").mkdir()
        (self.out / "maps/mine.csv").write_text("mine")
        for site in (self.site, self.here / "none.site.json", self.site):
            run("light", site, "--out", self.out)
        self.assertEqual((self.out / ".draft/mine.txt").read_text(), "mine")
        self.assertEqual((self.out / "maps/mine.csv").read_text(), "mine")

    def test_a_link_that_leads_nowhere_is_refused_and_kept(self):
        link = self.here / "link"
        link.symlink_to(self.here / "nowhere")
        result = run("light", self.site, "--out", link)
        self.assertEqual(result.returncode, 1)
        self.assertIn("cannot be written to", result.stderr)
        self.assertTrue(link.is_symlink())

    def test_lm63_through_links_devices_and_pipes(self):
        lamp = ("lamp", "led-5w-24", "--from", CATALOGUE, "--as-lm63")
        real, link = self.here / "real.ies", self.here / "link.ies"
        real.write_text("old")
        link.symlink_to("real.ies")
        self.assertEqual(run(*lamp, link).returncode, 0)
        self.assertTrue(link.is_symlink())
        self.assertTrue(real.read_text().startswith("IES:LM-63-2019"))
        full = run(*lamp, "/dev/full")
        self.assertEqual(full.returncode, 1)
        self.assertIn("No space left on device", full.stderr)
        self.assertTrue(stat.S_ISCHR(os.stat("/dev/full").st_mode))
        printed = run(*lamp, "/dev/stdout", "--json")
        self.assertTrue(printed.stdout.startswith("IES:LM-63-2019"))
        pipe = self.here / "pipe"
        os.mkfifo(pipe)
        reader = subprocess.Popen(["cat", str(pipe)], stdout=subprocess.PIPE, text=True)
        self.assertEqual(run(*lamp, pipe).returncode, 0)
        self.assertTrue(reader.communicate()[0].startswith("IES:LM-63-2019"))
        self.assertTrue(stat.S_ISFIFO(os.stat(pipe).st_mode))

    def test_lamps_of_one_name(self):
        """Two files of one name would overwrite each other's picture."""
        for folder in ("a", "b"):
            (self.here / folder).mkdir()
            run("lamp", "led-5w-24", "--from", CATALOGUE, "--as-lm63", self.here / folder / "lamp.ies")
        result = run("lamp", self.here / "a/lamp.ies", self.here / "b/lamp.ies", "--out", self.out)
        self.assertEqual(result.returncode, 1)
        self.assertIn("two results of this run would have this name", result.stderr)
        self.assertFalse(self.out.exists())
        together = self.here / "together.ies"
        (self.here / "a/lamp.ies").rename(together)
        result = run("lamp", together, self.here / "b/lamp.ies", "--out", self.out)
        self.assertEqual(result.returncode, 1, result.stdout)

    def test_views_named_twice(self):
        run("view", self.site, "--out", self.out, "--width", 32, "--height", 20)
        before = (self.out / "views/street.night.png").read_bytes()
        result = run("view", self.site, "--out", self.out, "--view", "street,street", "--width", 64, "--height", 40)
        self.assertEqual(result.returncode, 1)
        self.assertEqual((self.out / "views/street.night.png").read_bytes(), before)

    def test_pipes_as_input_are_refused_at_once(self):
        pipe = self.here / "pipe"
        os.mkfifo(pipe)
        for command in (("check", pipe), ("merge", pipe, "--out", self.out), ("lamp", pipe)):
            self.assertEqual(run(*command, timeout=10).returncode, 1, command)

    def test_lost_output_is_no_success(self):
        with open("/dev/full", "w") as full:
            result = run("check", SITE, stdout=full, capture_output=False, stderr=subprocess.PIPE)
        self.assertEqual(result.returncode, 1)
        self.assertIn("what should have been printed is lost (No space left on device)", result.stderr)
        closed = subprocess.run(["sh", "-c", f"'{PROGRAM}' check '{SITE}' >&-"], stderr=subprocess.PIPE, text=True)
        self.assertEqual(closed.returncode, 1)
        self.assertIn("is lost", closed.stderr)

    def test_lost_warnings_stop_nothing(self):
        warned = self.here / "warned.site.json"
        warned.write_text(self.site.read_text().replace('"setback": 0.4', '"setback": 1.4'))
        self.assertIn("warning", run("light", warned).stderr)
        for streams in ("2>&-", "2>/dev/full"):
            result = subprocess.run(["sh", "-c", f"'{PROGRAM}' light '{warned}' {streams}"], stdout=subprocess.PIPE)
            self.assertEqual(result.returncode, 0, streams)

    def test_closed_streams_do_not_leak_into_results(self):
        """The first file opened would take the number of a closed stream, and what is printed land in it."""
        whole = self.here / "whole"
        self.assertEqual(run("light", self.site, "--out", whole).returncode, 0)
        command = f"'{PROGRAM}' light '{self.site}' --out '{self.out}' <&- >&- 2>&-"
        self.assertEqual(subprocess.run(["sh", "-c", command]).returncode, 1)
        for name in self.visible():
            self.assertEqual((self.out / name).read_bytes(), (whole / name).read_bytes(), name)

    def test_signals_leave_nothing_behind(self):
        for number, status in ((signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGHUP, 129)):
            process = subprocess.Popen(
                [PROGRAM, "view", str(SITE), "--out", str(self.out), "--width", "4000", "--height", "4000"],
                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            )
            until = time.monotonic() + 30
            while not list(self.here.glob("out/.duskcast-*")) and time.monotonic() < until:
                time.sleep(0.02)
            process.send_signal(number)
            self.assertEqual(process.wait(), status)
            self.assertFalse(self.out.exists())

    def test_a_killed_run_is_tidied_up_after(self):
        process = subprocess.Popen([PROGRAM, "view", str(SITE), "--out", str(self.out), "--width", "4000", "--height",
                                    "4000"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        until = time.monotonic() + 30
        while not list(self.here.glob("out/.duskcast-*")) and time.monotonic() < until:
            time.sleep(0.02)
        process.kill()
        process.wait()
        self.assertEqual(len(list(self.out.glob(".duskcast-*.draft"))), 1)
        self.assertEqual(run("light", self.site, "--out", self.out).returncode, 0)
        self.assertEqual([path.name for path in self.out.glob(".duskcast-*")], [".duskcast-light.files"])

    def test_a_mistyped_command(self):
        result = run("ligth", SITE)
        self.assertEqual(result.returncode, 2)
        self.assertIn('there is no command "ligth"; did you mean "light"?', result.stderr)
        self.assertIn("the commands are", run("zzzzzzzzzz").stderr)


if __name__ == "__main__":
    unittest.main(argv=["test_files", *sys.argv[3:]])
