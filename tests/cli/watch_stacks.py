"""Stacks of several sides and manifests in a watched folder, and a watch that is killed.

    watch_stacks.py PROGRAM SOURCE_DIR NO_EVENTS_LIBRARY IO_FAULT_LIBRARY
"""
import json
import random
import signal
import subprocess
import sys
import time
import unittest

from watch_support import (
    IO_FAULT, SAMPLES, TOP, OTHER_TOP, SIDES, RESULTS, PATIENCE, environment, command, saved, Arrivals)


class FourSides(Arrivals):
    pack = "long-34"

    def put_side(self, side):
        return self.put(SAMPLES / f"fl-0142/{side}.jpg", f"FL-0142/{side}.jpg")

    def test_a_missing_side_keeps_it_from_passing(self):
        watch = self.watch()
        for side in SIDES[1:]:
            self.put_side(side)
        self.assertEqual(watch.wait_for("FL-0142: "), "FL-0142: retake: no photo of number")
        number = self.put_side("number")
        self.assertEqual(watch.wait_for("FL-0142: ", 2), "FL-0142: pass")
        number.unlink()
        self.assertEqual(watch.wait_for("FL-0142: ", 3), "FL-0142: retake: no photo of number")
        self.assertFalse((self.root / "FL-0142" / RESULTS / "number.annotated.jpg").exists())

    def test_a_manifest_names_what_has_not_arrived(self):
        rows = [f"FL-0142,{side},photos/{k}.jpg\n" for k, side in enumerate(SIDES)]
        (self.root / "manifest.csv").write_text("stack,side,file\n" + "".join(rows))
        watch = self.watch()
        for k, side in enumerate(SIDES):
            self.put(SAMPLES / f"fl-0142/{side}.jpg", f"photos/{k}.jpg")
        watch.wait_for("FL-0142: pass")
        self.assertTrue((self.root / "FL-0142" / RESULTS / "result.json").exists())


    def test_a_manifest_that_is_broken_is_told_each_time(self):
        manifest = self.root / "manifest.csv"
        watch = self.watch()
        self.put(SAMPLES / "fl-0142/vent.jpg", "photos/1.jpg")
        for times in (1, 2):
            self.put_text("no manifest", "manifest.csv")
            watch.wait_for(str(manifest), times)
            time.sleep(1)  # for another look, which tells nothing new
            self.put_text(f"stack,side,file\n{times},vent,photos/1.jpg\n", "manifest.csv")
            watch.wait_for(f"{times}: retake")
        self.assertEqual(watch.count(str(manifest)), 2)

    def test_once_ends_where_the_manifest_breaks_meanwhile(self):
        self.put(SAMPLES / "fl-0142/vent.jpg", "FL-0142/vent.jpg")
        once = subprocess.Popen(command(self.root, "--once", pack=self.pack, quiet=3), env=environment(),
                                stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        self.addCleanup(once.kill)
        time.sleep(1)
        self.put_text("no manifest", "manifest.csv")
        _, told = once.communicate(timeout=PATIENCE)
        self.assertEqual(once.returncode, 65, told)
        self.assertIn("manifest.csv", told)

    def test_photos_of_a_manifest_that_go_while_nobody_watches(self):
        (self.root / "manifest.csv").write_text("stack,side,file\none,vent,photos/1.jpg\n")
        place = self.put(SAMPLES / "fl-0142/vent.jpg", "photos/1.jpg")
        self.assertEqual(self.once().returncode, 2)
        place.unlink()
        self.watch().wait_for("one: its photos are gone, its verdict with them")
        self.assertFalse((self.root / "one" / RESULTS / "result.json").exists())


class Kills(Arrivals):
    def check_whole(self):
        for file in self.root.rglob("*.json"):
            json.loads(file.read_text())  # half a file is none

    def test_killed_at_any_moment_it_goes_on_where_it_stood(self):
        lot = random.Random(1)
        for k in range(6):
            self.put([TOP, OTHER_TOP][k % 2], f"s/{k}/top.jpg")
        for _ in range(8):
            watch = self.watch("--workers", "2")
            time.sleep(lot.uniform(0.2, 1.5))
            stood = {p: p.read_bytes() for p in self.root.rglob("entry.json")}
            watch.end(signal.SIGKILL)
            self.check_whole()
            for entry, text in stood.items():  # what was there stays
                self.assertEqual(entry.read_bytes(), text)
        done = self.once()
        self.assertEqual(done.returncode, 1, done.stdout + done.stderr)
        self.assertEqual(len(list(self.root.rglob("entry.json"))), 6)
        self.assertEqual(list(self.root.rglob("*.part")), [])

    def test_killed_at_each_call_that_changes_a_file(self):
        # Each round the photo is another, so that there is an older verdict that must not stand.
        self.put(OTHER_TOP, "a/top.jpg")
        self.assertEqual(self.once().returncode, 1)
        for at in range(1, 60, 2):
            photo = [TOP, OTHER_TOP][at // 2 % 2]
            self.put(photo, "a/top.jpg")
            fault = environment(IO_FAULT, IO_FAULT="kill", IO_FAULT_AT=str(at))
            killed = subprocess.run(command(self.root, "--once", quiet=0.1), env=fault, capture_output=True, text=True)
            self.check_whole()
            if "brought the check down" not in killed.stdout and killed.returncode >= 0:
                break  # fewer calls than that
            result = self.root / "a" / RESULTS / "result.json"
            if at == 1:  # before it was taken away, and then nobody takes it for one of this photo
                self.assertFalse(result.with_name("entry.json").exists())
            elif result.exists():  # whole and of this photo, or not there
                self.assertEqual(self.hash_in(result), self.hash_of(photo))
            done = self.once()
            self.assertEqual(done.returncode, 1, done.stdout + done.stderr)
            self.assertEqual(self.hash_in(result), self.hash_of(photo))
        self.assertGreater(at, 10)
        self.assertLess(at, 59)

    def test_no_old_verdict_stands_where_the_worker_died(self):
        self.put(TOP, "a/top.jpg")
        self.assertEqual(self.once().returncode, 1)
        self.put(OTHER_TOP, "a/top.jpg")
        fault = environment(IO_FAULT, IO_FAULT="kill-worker", IO_FAULT_AT="1")  # before it took anything away
        killed = subprocess.run(command(self.root, "--once", quiet=0.1), env=fault, capture_output=True, text=True)
        self.assertEqual(killed.returncode, 3, killed.stdout + killed.stderr)
        self.assertEqual(saved(self.root / "a")["failure"], "brought the check down")
        self.assertEqual(sorted(p.name for p in (self.root / "a" / RESULTS).iterdir()), ["entry.json", "result.previous.json"])

    @staticmethod
    def hash_in(result):
        return json.loads(result.read_text())["photos"][0]["sha256"]

    @staticmethod
    def hash_of(photo):
        return subprocess.run(["sha256sum", photo], capture_output=True, text=True, check=True).stdout.split()[0]

    def test_a_full_disk_is_told_and_the_stack_is_done_once_there_is_room(self):
        self.put(TOP, "a/top.jpg")
        for at in (1, 3, 5):
            full = subprocess.run(command(self.root, "--once", quiet=0.1), env=environment(IO_FAULT, IO_FAULT="full", IO_FAULT_AT=str(at)),
                                  capture_output=True, text=True)
            self.assertEqual(full.returncode, 74, full.stdout + full.stderr)
            self.assertFalse((self.root / "a" / RESULTS / "result.json").exists())
        self.assertEqual(self.once().returncode, 1)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
