"""An archive under what goes wrong: folders that can't be read, photos that change meanwhile, a full disk, kills.

    archive_faults.py PROGRAM SOURCE_DIR IO_FAULT_LIBRARY
"""
import json
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
import unittest
from hashlib import sha256
from pathlib import Path

PROGRAM, SOURCE, IO_FAULT = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve(), sys.argv[3]
PACK = SOURCE / "models/packs/top-20.json"
TWICE, GAP = SOURCE / "sample_images/fl-0146/top.jpg", SOURCE / "sample_images/fl-0149/top.jpg"
WHOLE = ["results.jsonl", "failures.jsonl", "summary.csv", "index.html", "batch.json", "findings.sarif"]
# Root reads and writes what it may not, but for these two capabilities (capabilities(7)).
BOUND = ["setpriv", "--bounding-set=-dac_override,-dac_read_search"] if os.geteuid() == 0 else []


def lines(file):
    return [json.loads(line) for line in file.read_text().splitlines()]


def small_files():
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)  # else a write beyond the limit kills
    resource.setrlimit(resource.RLIMIT_FSIZE, (100 << 10, resource.RLIM_INFINITY))


class ArchiveFaults(unittest.TestCase):
    def setUp(self):
        scratch = tempfile.TemporaryDirectory(prefix="plumbstack.")
        self.addCleanup(scratch.cleanup)
        self.folder = Path(scratch.name)
        self.archive, self.out = self.folder / "archive", self.folder / "out"

    def put(self, stack, photo):
        (self.archive / stack).mkdir(parents=True, exist_ok=True)
        shutil.copyfile(photo, self.archive / stack / "top.jpg")

    def small_archive(self):
        for k in range(3):
            self.put(f"s/{k}", [TWICE, GAP][k % 2])
        (self.archive / "bad").mkdir()
        (self.archive / "bad/top.jpg").write_text("no picture")

    def batch(self, *words, out=None, before=(), **how):
        env = dict(os.environ, PLUMBSTACK_MODELS=str(SOURCE / "models"), **how.pop("env", {}))
        if "IO_FAULT" in env:
            env.update(LD_PRELOAD=IO_FAULT, ASAN_OPTIONS="verify_asan_link_order=0:detect_leaks=0")
        return subprocess.run([*before, PROGRAM, "batch", "--pack", PACK, "--out", out or self.out, *words, self.archive],
                              env=env, capture_output=True, text=True, **how)

    def reference(self):
        self.assertEqual(self.batch(out=self.folder / "reference").returncode, 3)
        return [(self.folder / "reference" / name).read_bytes() for name in WHOLE]

    def check_resumed(self, reference):
        resumed = self.batch("--resume")
        self.assertEqual(resumed.returncode, 3, resumed.stderr)
        self.assertEqual([(self.out / name).read_bytes() for name in WHOLE], reference)
        self.assertEqual(list(self.out.rglob("*.part")), [])

    def check_whole(self):
        """What is there is whole, however little that is."""
        for file in [*self.out.rglob("*.json"), *self.out.rglob("*.sarif")]:
            json.loads(file.read_text())
        for file in self.out.glob("*.jsonl"):
            text = file.read_text()
            self.assertTrue(text == "" or text.endswith("\n"), file)
            lines(file)

    def check_refused(self, run, status):
        self.assertEqual(run.returncode, status, run.stdout + run.stderr)
        self.assertEqual(len(run.stderr.splitlines()), 1)
        self.assertFalse((self.out / "results.jsonl").exists())
        self.check_whole()

    def closed(self, place):
        place.chmod(0)
        self.addCleanup(place.chmod, 0o700)

    def test_a_folder_that_can_not_be_read_is_told_and_the_others_are_checked(self):
        self.put("a", TWICE)
        self.put("b/c", GAP)
        self.closed(self.archive / "b")
        self.assertNotEqual(subprocess.run([*BOUND, "ls", self.archive / "b"], capture_output=True).returncode, 0)
        run = self.batch(before=BOUND)
        self.assertEqual(run.returncode, 1, run.stderr)
        self.assertEqual([r["stack"] for r in lines(self.out / "results.jsonl")], ["a"])
        self.assertEqual(json.loads((self.out / "batch.json").read_text())["unplaced"],
                         [{"file": "b", "why": "the folder can't be read: Permission denied"}])

    def test_a_photo_that_can_not_be_read_costs_its_own_stack(self):
        self.put("a", TWICE)
        self.put("b", GAP)
        self.closed(self.archive / "b/top.jpg")
        self.assertEqual(self.batch(before=BOUND).returncode, 3)
        self.assertEqual(lines(self.out / "failures.jsonl"),
                         [{"stack": "b", "failure": "b/top.jpg: can't be read; check its permissions"}])
        self.assertEqual([r["stack"] for r in lines(self.out / "results.jsonl")], ["a"])

    def test_a_manifest_that_can_not_be_read_is_no_missing_one(self):
        self.put("a", TWICE)
        (self.archive / "manifest.csv").write_text("stack,side,file\na,top,a/top.jpg\n")
        self.closed(self.archive / "manifest.csv")
        run = self.batch(before=BOUND)
        self.check_refused(run, 65)
        self.assertIn("manifest.csv: can't be read", run.stderr)

    def test_an_output_folder_that_can_not_be_written(self):
        self.small_archive()
        self.out.mkdir()
        self.out.chmod(0o500)
        self.check_refused(self.batch(before=BOUND), 74)

    def test_a_manifest_row_without_a_file_costs_its_own_stack(self):
        self.put("a", TWICE)
        (self.archive / "manifest.csv").write_text("stack,side,file\none,top,a/top.jpg\ntwo,top,a/none.jpg\n")
        self.assertEqual(self.batch().returncode, 3)
        self.assertEqual([r["stack"] for r in lines(self.out / "results.jsonl")], ["one"])
        self.assertEqual(lines(self.out / "failures.jsonl"),
                         [{"stack": "two", "failure": "a/none.jpg: is not there; check its name"}])

    def test_two_stacks_of_one_name_are_refused(self):
        self.put("a", TWICE)
        self.put("b", GAP)
        (self.archive / "manifest.csv").write_text("stack,side,file\none,top,a/top.jpg\none,top,b/top.jpg\n")
        run = self.batch()
        self.check_refused(run, 65)
        self.assertIn("line 3: a second photo for side top of stack one", run.stderr)

    def test_a_result_is_of_the_bytes_whose_hash_it_names(self):
        """Photos change places all the time; each result must be that of the photo whose hash it has."""
        stacks = [f"s/{k}" for k in range(6)]
        for stack in stacks:
            self.put(stack, TWICE)
        swaps, done = [0], threading.Event()

        def swap():
            while not done.is_set():
                for stack in stacks:
                    other = [TWICE, GAP][swaps[0] % 2]
                    shutil.copyfile(other, self.archive / stack / ".new")
                    (self.archive / stack / ".new").rename(self.archive / stack / "top.jpg")
                    swaps[0] += 1
                time.sleep(0.002)

        swapping = threading.Thread(target=swap)
        swapping.start()
        try:
            self.assertEqual(self.batch().returncode, 1)
        finally:
            done.set()
            swapping.join()
        self.assertGreater(swaps[0], 50)
        sign_of = {sha256(TWICE.read_bytes()).hexdigest(): "number.duplicate", sha256(GAP.read_bytes()).hexdigest(): "seat.gap"}
        results = lines(self.out / "results.jsonl")
        self.assertEqual([r["stack"] for r in results], stacks)
        for result in results:
            codes = [f["code"] for f in result["findings"] if f["severity"] == "fix"]
            expected = sign_of[result["photos"][0]["sha256"]]
            self.assertIn(expected, codes)
            for other in set(sign_of.values()) - {expected}:
                self.assertNotIn(other, codes)

    def test_a_full_disk_is_told_and_the_rest_is_done_once_there_is_room(self):
        self.small_archive()
        reference = self.reference()
        for at in (1, 4, 9, 14, 20):  # of each process: the folder, pictures, entries, files of the whole
            full = self.batch(*(["--resume"] if self.out.exists() else []), env={"IO_FAULT": "full", "IO_FAULT_AT": str(at)})
            self.check_refused(full, 74)
        self.check_resumed(reference)

    def test_a_disk_that_is_really_full(self):
        """A file system of 1 MiB where it may be mounted, else files of at most 100 KiB."""
        self.small_archive()
        reference = self.reference()
        self.out.mkdir()
        mounted = os.geteuid() == 0 and subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=1m", "none", self.out], capture_output=True).returncode == 0
        if mounted:
            self.addCleanup(subprocess.run, ["umount", self.out], check=True)
            full = self.batch()
        else:
            full = self.batch(preexec_fn=small_files)
        self.check_refused(full, 74)
        self.assertIn("can't be written", full.stderr)
        if mounted:
            subprocess.run(["mount", "-o", "remount,size=64m", self.out], check=True)
        self.check_resumed(reference)

    def test_no_old_verdict_stands_where_the_worker_died(self):
        self.put("a", TWICE)
        self.assertEqual(self.batch().returncode, 1)
        self.put("a", GAP)
        killed = self.batch("--resume", env={"IO_FAULT": "kill-worker", "IO_FAULT_AT": "1"})  # before it took anything away
        self.assertEqual(killed.returncode, 3, killed.stderr)
        self.assertEqual(lines(self.out / "failures.jsonl"), [{"stack": "a", "failure": "brought the check down"}])
        self.assertEqual(sorted(p.name for p in (self.out / "stacks/a").iterdir()), ["entry.json", "result.previous.json"])

    def test_killed_at_calls_that_change_a_file(self):
        self.small_archive()
        reference = self.reference()
        killed = 0
        for at in range(1, 60, 3):
            shutil.rmtree(self.out, ignore_errors=True)
            run = self.batch(env={"IO_FAULT": "kill", "IO_FAULT_AT": str(at)})
            self.check_whole()
            self.check_resumed(reference)
            killed += run.returncode < 0
            if run.returncode >= 0:
                break  # the process that hands out the work has fewer
        self.assertGreater(killed, 5)

    def test_killed_at_any_moment(self):
        self.small_archive()
        reference, lot = self.reference(), random.Random(2)
        for _ in range(6):
            shutil.rmtree(self.out, ignore_errors=True)
            for _ in range(3):  # killed again while it goes on
                process = subprocess.Popen([PROGRAM, "batch", "--resume", "--pack", PACK, "--out", self.out, self.archive],
                                           env=dict(os.environ, PLUMBSTACK_MODELS=str(SOURCE / "models")),
                                           stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
                time.sleep(lot.uniform(0.1, 1.2))
                stood = {p: p.read_bytes() for p in self.out.rglob("entry.json") if json.loads(p.read_text())["result"]}
                process.kill()
                process.wait()
                self.check_whole()
                for entry, text in stood.items():
                    self.assertEqual(entry.read_bytes(), text)
            self.check_resumed(reference)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
