"""A disk that is really full: a small file system in memory, in a mount space of the test's own. What was
acknowledged stays, nothing half done is left, and with space the same step goes on.

    full_disk_test.py PROGRAM SOURCE_DIR      exit status 77: this machine lets nobody mount
"""
import os
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

from noise_picture import png

PROGRAM, SOURCE = (Path(word).resolve() for word in sys.argv[1:3])
JOB = "FL-0142"


def mount(folder, size, again=False):
    options = f"{'remount,' if again else ''}size={size}"
    return subprocess.run(["mount", "-t", "tmpfs", "-o", options, "tmpfs", folder], capture_output=True).returncode == 0


class Case(unittest.TestCase):
    def setUp(self):
        self.folder = Path(tempfile.mkdtemp(prefix="plumbstack."))
        self.disk = self.folder / "disk"
        self.disk.mkdir()
        self.photos = 0

    def tearDown(self):
        subprocess.run(["umount", self.disk], capture_output=True)
        subprocess.run(["rm", "-r", self.folder], check=True)

    def job(self, store, step, *words):
        words = [PROGRAM, "job", step, "--store", store, *words]
        return subprocess.run(words, capture_output=True, text=True, cwd=self.folder)

    def open(self, store):
        opened = self.job(store, "open", JOB, "--pack", SOURCE / "models/packs/top-20.json", "--by", "M. Fennel")
        self.assertEqual(opened.returncode, 0, opened.stderr)

    def attach(self, store):
        self.photos += 1
        photo = self.folder / f"{self.photos}.png"
        photo.write_bytes(png(self.photos))
        return self.job(store, "attach", JOB, "--shows", f"view {self.photos}", photo, "--by", "M. Fennel")

    def full(self, done):
        self.assertEqual(done.returncode, 74, done.stderr)
        self.assertRegex(done.stderr, r"\Aplumbstack: [^\n]*(No space left on device|the disk is full)[^\n]*\n\Z")

    def whole(self, store):
        verified = self.job(store, "verify", JOB)
        self.assertEqual(verified.returncode, 0, verified.stderr)


class Attaching(Case):
    def test_what_was_acknowledged_stays(self):
        self.assertTrue(mount(self.disk, "900k"))
        store, acknowledged = self.disk / "store", []
        self.open(store)
        for _ in range(20):
            done = self.attach(store)
            if done.returncode != 0: break
            acknowledged.append(f"view {self.photos}")
        self.full(done)
        self.assertGreater(len(acknowledged), 1)
        self.whole(store)
        shown = self.job(store, "show", JOB).stdout
        for view in acknowledged: self.assertIn(f" {view}  [", shown)
        self.assertNotIn(f"view {self.photos}", shown)
        self.assertTrue(mount(self.disk, "9m", again=True))
        again = self.job(store, "attach", JOB, "--shows", "view again", self.folder / f"{self.photos}.png", "--by", "M. Fennel")
        self.assertEqual(again.returncode, 0, again.stderr)
        self.whole(store)

    def test_a_disk_without_room_for_an_entry(self):
        self.assertTrue(mount(self.disk, "900k"))
        store = self.disk / "store"
        self.open(store)
        with open(self.disk / "filler", "wb", buffering=0) as filler:
            try:
                while filler.write(bytes(4096)): pass
            except OSError:
                pass
        ticked = self.job(store, "tick", JOB, "service-plug", "--by", "M. Fennel")
        self.full(ticked)
        self.assertEqual(ticked.stdout, "")
        (self.disk / "filler").unlink()
        self.whole(store)
        self.assertNotIn("ticked", self.job(store, "show", JOB).stdout)


class Exporting(Case):
    def setUp(self):
        super().setUp()
        self.store = self.folder / "store"
        self.open(self.store)
        for _ in range(3): self.assertEqual(self.attach(self.store).returncode, 0)

    def test_a_folder_appears_whole_or_not_at_all(self):
        for size in ("16k", "200k", "600k"):
            self.assertTrue(mount(self.disk, size))
            self.full(self.job(self.store, "export", JOB, "--out", self.disk / "carried"))
            self.assertEqual(list(self.disk.iterdir()), [], size)
            self.whole(self.store)
            subprocess.run(["umount", self.disk], check=True)
        self.assertTrue(mount(self.disk, "9m"))
        done = self.job(self.store, "export", JOB, "--out", self.disk / "carried")
        self.assertEqual(done.returncode, 0, done.stderr)
        taken = self.job(self.folder / "elsewhere", "import", self.disk / "carried")
        self.assertEqual(taken.returncode, 0, taken.stderr)

    def test_an_older_report_is_kept_aside(self):
        self.assertTrue(mount(self.disk, "9m"))
        self.assertEqual(self.job(self.store, "report", JOB, "--out", self.disk / "r").returncode, 0)
        used = sum(file.stat().st_size for file in (self.disk / "r").iterdir())
        self.assertTrue(mount(self.disk, used + 65536, again=True))
        self.full(self.job(self.store, "report", JOB, "--out", self.disk / "r"))
        self.assertEqual(sorted(file.name for file in (self.disk / "r").iterdir()),
                         ["job-report.previous.html", "job-report.previous.pdf"])


if __name__ == "__main__":
    if "OWN_MOUNTS" not in os.environ:
        words = ["unshare", "-m" if os.getuid() == 0 else "-rm", sys.executable, "-B", *sys.argv]
        if subprocess.run([*words[:2], "true"], capture_output=True).returncode != 0:
            print("skipped: this machine lets nobody mount a file system, so no disk can be filled")
            sys.exit(77)
        os.execvpe(words[0], words, {**os.environ, "OWN_MOUNTS": "yes"})
    unittest.main(argv=sys.argv[:1], verbosity=2)
