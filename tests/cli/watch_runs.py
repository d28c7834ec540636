"""Photos that arrive in a watched folder in every way: slowly, by renaming, in bursts, again, broken, by ways
that don't tell; and go; and a watch that is killed meanwhile.

    watch_runs.py PROGRAM SOURCE_DIR NO_EVENTS_LIBRARY IO_FAULT_LIBRARY
"""
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import unittest
from pathlib import Path

PROGRAM, SOURCE, NO_EVENTS, IO_FAULT = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve(), sys.argv[3], sys.argv[4]
SAMPLES, PACKS = SOURCE / "sample_images", SOURCE / "models/packs"
TOP = SAMPLES / "fl-0146/top.jpg"  # a number twice
OTHER_TOP = SAMPLES / "fl-0149/top.jpg"  # a gap
SIDES = ["number", "vent", "terminal-a", "terminal-b"]
RESULTS = "plumbstack-results"
# Root sees what it may not, but for these two capabilities (capabilities(7)).
BOUND = ["setpriv", "--bounding-set=-dac_override,-dac_read_search"] if os.geteuid() == 0 else []
PATIENCE = 60  # seconds; far more than anything here takes


def environment(library=None, **more):
    env = dict(os.environ, PLUMBSTACK_MODELS=str(SOURCE / "models"), **more)
    if library:
        env.update(LD_PRELOAD=str(library), ASAN_OPTIONS="verify_asan_link_order=0:detect_leaks=0")
    return env


def command(folder, *words, pack="top-20", quiet=0.5):
    return [PROGRAM, "watch", "--pack", PACKS / f"{pack}.json", "--quiet-seconds", str(quiet), *words, folder]


class Watch:
    """One that runs, and what it has told."""

    def __init__(self, folder, *words, pack="top-20", before=(), **env):
        self.told = tempfile.TemporaryFile("w+")
        self.process = subprocess.Popen([*before, *command(folder, *words, pack=pack)], env=environment(**env),
                                        stdout=self.told, stderr=subprocess.STDOUT)
        self.wait_for("watching")

    def lines(self):
        self.told.seek(0)
        return self.told.read().splitlines()

    def count(self, start):
        return sum(line.startswith(start) for line in self.lines())

    def wait_for(self, start, times=1):
        end = time.monotonic() + PATIENCE
        while self.count(start) < times:
            if self.process.poll() is not None or time.monotonic() > end:
                raise AssertionError(f"never told {start!r} {times} times:\n" + "\n".join(self.lines()))
            time.sleep(0.02)
        return [line for line in self.lines() if line.startswith(start)][times - 1]

    def end(self, by=signal.SIGINT):
        if self.process.poll() is None:
            self.process.send_signal(by)
        return self.process.wait(PATIENCE)

    def close(self):
        self.end(signal.SIGKILL)
        self.told.close()


def saved(folder):
    return json.loads((folder / RESULTS / "entry.json").read_text())


class Arrivals(unittest.TestCase):
    pack = "top-20"
    env = {}

    def setUp(self):
        scratch = tempfile.TemporaryDirectory(prefix="plumbstack.")
        self.addCleanup(scratch.cleanup)
        self.root = Path(scratch.name) / "in"
        self.root.mkdir()

    def watch(self, *words, **how):
        watch = Watch(self.root, *words, pack=self.pack, **self.env, **how)
        self.addCleanup(watch.close)
        return watch

    def once(self):
        return subprocess.run(command(self.root, "--once", pack=self.pack, quiet=0.1), env=environment(), capture_output=True, text=True)

    def put_text(self, text, place):  # at once: half of it would be told too
        (self.root / ".new").write_text(text)
        (self.root / ".new").rename(self.root / place)

    def put(self, photo, place):
        target = self.root / place
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(photo, target)
        return target


class OneSide(Arrivals):
    def test_a_photo_that_is_copied_or_renamed_into_place(self):
        watch = self.watch()
        self.put(TOP, "a/top.jpg")
        self.assertIn("slot 3 reads 1", watch.wait_for("a: "))
        self.put(OTHER_TOP, ".b.part").rename(self.root / "top.jpg")
        self.assertIn("gap of", watch.wait_for(".: "))
        self.assertEqual(sorted(p.name for p in (self.root / "a" / RESULTS).iterdir()),
                         ["entry.json", "report.html", "result.json", "top.annotated.jpg", "top.small.jpg"])
        self.assertEqual(watch.end(), 0)
        self.assertEqual(watch.lines()[-1], "Stopped. 2 stacks: 0 pass, 2 to fix, 0 to photograph again, 0 that could not be checked")

    def test_a_photo_that_is_written_slowly_is_looked_at_once_it_is_whole(self):
        (self.root / "slow").mkdir()
        watch = self.watch()
        data = TOP.read_bytes()
        with open(self.root / "slow/top.jpg", "wb") as out:
            for at in range(0, len(data), len(data) // 3 + 1):
                out.write(data[at:at + len(data) // 3 + 1])
                out.flush()
                time.sleep(1.2)  # over twice as long as a file must be quiet that nobody tells of
            self.assertEqual(watch.count("slow: "), 0)
        self.assertIn("slot 3 reads 1", watch.wait_for("slow: "))

    def test_a_burst_of_stacks(self):
        watch = self.watch()
        for k in range(8):
            self.put(TOP, f"shop/{k // 4}/{k}/top.jpg")
        for k in range(8):
            watch.wait_for(f"shop/{k // 4}/{k}: fix")
        self.assertEqual(watch.end(signal.SIGTERM), 0)
        self.assertEqual(watch.count("shop"), 8)

    def test_a_photo_that_is_replaced_is_checked_anew(self):
        watch = self.watch()
        place = self.put(TOP, "a/top.jpg")
        watch.wait_for("a: fix")
        first = saved(place.parent)["key"]
        self.put(OTHER_TOP, "a/top.jpg")  # in place
        self.assertIn("gap of", watch.wait_for("a: ", 2))
        self.assertNotEqual(saved(place.parent)["key"], first)
        self.put(TOP, "a/.new").rename(place)
        self.assertIn("slot 3 reads 1", watch.wait_for("a: ", 3))
        self.assertEqual(saved(place.parent)["key"], first)

    def test_a_broken_one_is_recorded_and_the_watch_goes_on(self):
        watch = self.watch()
        (self.root / "bad").mkdir()
        (self.root / "bad/top.jpg").write_text("no picture")
        self.assertIn("is not a JPEG", watch.wait_for("bad: unread"))
        self.assertIsNone(saved(self.root / "bad")["result"])
        (self.root / "bad/top.jpg").write_bytes(TOP.read_bytes()[:100_000])
        self.assertIn("cut short", watch.wait_for("bad: unread", 2))
        self.put(TOP, "bad/top.jpg")
        watch.wait_for("bad: fix")
        self.put(TOP, "good/top.jpg")
        watch.wait_for("good: fix")

    def test_no_old_verdict_stands_beside_a_photo_that_can_not_be_read(self):
        watch = self.watch()
        self.put(TOP, "a/top.jpg")
        watch.wait_for("a: fix")
        (self.root / "a/top.jpg").write_text("no picture")
        watch.wait_for("a: unread")
        self.assertEqual(sorted(p.name for p in (self.root / "a" / RESULTS).iterdir()),
                         ["entry.json", "result.previous.json"])

    def test_photos_that_go_take_their_verdict_along(self):
        watch = self.watch()
        place = self.put(TOP, "a/top.jpg")
        watch.wait_for("a: fix")
        place.unlink()
        watch.wait_for("a: its photos are gone")
        self.assertEqual([p.name for p in (self.root / "a" / RESULTS).iterdir()], ["result.previous.json"])
        self.put(TOP, "b/top.jpg")
        watch.wait_for("b: fix")
        watch.end()
        shutil.move(self.root / "b/top.jpg", self.root / "elsewhere.jpg")
        self.watch().wait_for("b: its photos are gone")  # while nobody watched

    def test_photos_that_go_before_they_are_looked_at_again_take_their_verdict_along(self):
        place = self.put(TOP, "a/top.jpg")
        self.assertEqual(self.once().returncode, 1)
        watch = self.watch()  # which waits for the photo to be quiet
        place.unlink()
        watch.wait_for("a: its photos are gone, its verdict with them")
        self.assertFalse((self.root / "a" / RESULTS / "result.json").exists())

    def test_a_folder_that_can_not_be_read_for_a_moment_keeps_its_verdict(self):
        place = self.put(TOP, "s/a/top.jpg")
        watch = self.watch(before=BOUND)
        watch.wait_for("s/a: fix")
        for folder, mode, told in (("s", 0, "not placed: s: the folder can't be read"),
                                   ("s/a", 0o400, "s/a: its photos can't be seen")):
            (self.root / folder).chmod(mode)
            self.addCleanup((self.root / folder).chmod, 0o700)
            watch.wait_for(told)
            time.sleep(1)  # for another look
            (self.root / folder).chmod(0o700)
        self.put(OTHER_TOP, "b/top.jpg")
        watch.wait_for("b: fix")
        self.assertEqual(watch.count("s/a: its photos are gone"), 0)
        self.assertEqual(watch.count("s/a: fix"), 1)
        result = self.root / "s/a" / RESULTS / "result.json"
        self.assertTrue(result.exists())
        place.unlink()
        watch.wait_for("s/a: its photos are gone, its verdict with them")
        self.assertFalse(result.exists())

    def test_what_was_checked_before_is_not_checked_again(self):
        watch = self.watch()
        place = self.put(TOP, "a/top.jpg")
        watch.wait_for("a: fix")
        entry = self.root / "a" / RESULTS / "entry.json"
        before = entry.stat()
        os.utime(place)
        time.sleep(2)
        watch.end()
        again = self.watch()
        again.wait_for("1 stack stands as checked before")
        self.assertEqual(again.count("a: "), 0)
        again.end()
        self.assertEqual((entry.stat().st_ino, entry.stat().st_mtime_ns), (before.st_ino, before.st_mtime_ns))

    def test_a_definition_that_changes_is_used(self):
        self.put(TOP, "a/top.jpg")
        watch = self.watch()
        watch.wait_for("a: fix")
        pack = json.loads((PACKS / "top-20.json").read_text())
        pack["sides"]["top"]["number"]["first"] = 101
        self.put_text(json.dumps(pack), "a/pack.json")
        watch.wait_for("a: ", 2)
        self.assertIn("this pack has 101 to 120", " ".join(f["message"] for f in saved(self.root / "a")["result"]["findings"]))
        (self.root / "a/pack.json").write_text("{")
        watch.wait_for("a: unread")

    def test_no_link_leads_out_and_what_is_no_side_is_told(self):
        outside = self.root.parent / "outside"
        outside.mkdir()
        shutil.copyfile(TOP, outside / "top.jpg")
        (self.root / "out").symlink_to(outside)
        (self.root / "a").mkdir()
        (self.root / "a/top.jpg").symlink_to(outside / "top.jpg")
        watch = self.watch()
        watch.wait_for("not placed: out: a link to a folder is not followed")
        watch.wait_for("not placed: a/top.jpg: a link out of the archive is not followed")
        self.put(TOP, "a/IMG_0001.jpg")
        watch.wait_for("not placed: a/IMG_0001.jpg: pack top-20 has no side IMG_0001")
        self.assertFalse((outside / RESULTS).exists())

    def test_no_link_leads_the_results_out(self):
        outside = self.root.parent / "outside"
        outside.mkdir()
        (outside / "report.html").write_text("of somebody else")
        (self.root / "a").mkdir()
        (self.root / "a" / RESULTS).symlink_to(outside)
        watch = self.watch()
        self.put(TOP, "a/top.jpg")
        self.assertIn("a link leads its results elsewhere", watch.wait_for("a: unread"))
        (self.root / "a/top.jpg").unlink()
        watch.wait_for("a: its photos are gone")
        self.assertEqual([p.name for p in outside.iterdir()], ["report.html"])

    def test_no_link_leads_the_results_into_those_of_another_stack(self):
        self.put(TOP, "a/top.jpg")
        self.assertEqual(self.once().returncode, 1)
        before = (self.root / "a" / RESULTS / "result.json").read_bytes()
        place = self.put(OTHER_TOP, "b/top.jpg")
        (self.root / "b" / RESULTS).symlink_to(self.root / "a" / RESULTS)
        watch = self.watch()
        self.assertIn("a link leads its results elsewhere", watch.wait_for("b: unread"))
        place.unlink()
        watch.wait_for("b: its photos are gone")
        self.assertEqual((self.root / "a" / RESULTS / "result.json").read_bytes(), before)

    def test_results_that_can_not_be_written_cost_their_own_stack(self):
        watch = self.watch()
        (self.root / "a").mkdir()
        (self.root / "a" / RESULTS).write_text("in the way")
        self.put(TOP, "a/top.jpg")
        self.assertIn("can't be made a folder", watch.wait_for("a: unread"))
        self.put(TOP, "b/top.jpg")
        watch.wait_for("b: fix")

    def test_a_huge_file_in_a_photo_s_place_is_not_read_into_memory(self):
        place = self.put(TOP, "a/top.jpg")
        self.assertEqual(self.once().returncode, 1)
        os.truncate(place, 1 << 30)  # more than any photo has
        again = subprocess.Popen(command(self.root, "--once", quiet=0.1), env=environment(), stdout=subprocess.PIPE, text=True)
        self.assertIn("larger file than any photo", again.stdout.read())
        again.stdout.close()
        _, status, used = os.wait4(again.pid, 0)
        again.returncode = os.waitstatus_to_exitcode(status)
        self.assertEqual(again.returncode, 3)
        self.assertLess(used.ru_maxrss, 800 << 10)  # KiB, of its largest worker

    def test_one_process_watches_a_folder(self):
        self.watch()
        second = self.once()
        self.assertEqual(second.returncode, 64)
        self.assertIn("is watched already", second.stderr)

    def test_a_folder_that_goes_and_comes_again(self):
        self.put(TOP, "a/top.jpg")
        watch = self.watch()
        watch.wait_for("a: fix")
        away = self.root.parent / "away"
        self.root.rename(away)
        time.sleep(1.5)
        away.rename(self.root)
        self.put(TOP, "b/top.jpg")
        watch.wait_for("b: fix")
        self.assertEqual(watch.count("a: "), 1)

    def test_batch_finds_the_same_and_leaves_the_results_alone(self):
        for k in range(3):
            self.put([TOP, OTHER_TOP][k % 2], f"s/{k}/top.jpg")
        self.assertEqual(self.once().returncode, 1)
        out = self.root.parent / "out"
        batch = subprocess.run([PROGRAM, "batch", "--pack", PACKS / "top-20.json", "--out", out, self.root],
                               env=environment(), capture_output=True, text=True)
        self.assertEqual(batch.returncode, 1, batch.stderr)
        results = [json.loads(line) for line in (out / "results.jsonl").read_text().splitlines()]
        self.assertEqual(results, [saved(self.root / f"s/{k}")["result"] for k in range(3)])
        self.assertEqual(json.loads((out / "batch.json").read_text())["unplaced"], [])


class Untold(Arrivals):
    """Where the system tells nothing of files."""
    env = {"library": NO_EVENTS}
    test_a_burst_of_stacks = OneSide.test_a_burst_of_stacks
    test_a_photo_that_is_copied_or_renamed_into_place = OneSide.test_a_photo_that_is_copied_or_renamed_into_place
    test_a_photo_that_is_replaced_is_checked_anew = OneSide.test_a_photo_that_is_replaced_is_checked_anew
    test_photos_that_go_take_their_verdict_along = OneSide.test_photos_that_go_take_their_verdict_along

    # Nothing tells that it is not whole: it is taken as it is, and anew when there is more of it.
    def test_a_photo_that_is_written_slowly_is_looked_at_once_it_is_whole(self):
        watch = self.watch()
        data = TOP.read_bytes()
        (self.root / "slow").mkdir()
        with open(self.root / "slow/top.jpg", "wb") as out:
            out.write(data[:100_000])
            out.flush()
            watch.wait_for("slow: unread")
            out.write(data[100_000:])
        self.assertIn("slot 3 reads 1", watch.wait_for("slow: fix"))


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
