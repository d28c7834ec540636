"""Photos that arrive in a watched folder in every way: slowly, by renaming, in bursts, again, broken, by ways
that don't tell; and go.

    watch_runs.py PROGRAM SOURCE_DIR NO_EVENTS_LIBRARY IO_FAULT_LIBRARY
"""
import json
import os
import shutil
import signal
import subprocess
import sys
import time
import unittest

from watch_support import (
    PROGRAM, NO_EVENTS, PACKS, TOP, OTHER_TOP, RESULTS, BOUND, environment, command, saved, Arrivals)


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


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
