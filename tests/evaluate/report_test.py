"""A run over two drawn photos with a program that answers as told: report, rows, exit status."""
import json
import os
import subprocess
import sys
import tempfile
import unittest

from PIL import Image, ImageDraw

HERE = os.path.dirname(os.path.abspath(__file__))
EVALUATE = os.path.join(HERE, "..", "..", "tools", "evaluate", "evaluate")
FACE, BACKGROUND = (200, 60, 50), (90, 110, 120)
PROGRAM = """#!{python}
import json, os, sys
out = sys.argv[sys.argv.index("--out") + 1]
photos = [a.split("=")[1] for a in sys.argv[sys.argv.index("--out") + 2:] if "=" in a]
answers = [json.load(open(photo + ".answer")) for photo in photos]
answer = max(answers, key=lambda a: {{0: 0, 2: 1, 1: 2}}.get(a["status"], 3))  # fix before retake before pass
if answer["result"]:
    json.dump(answer["result"], open(os.path.join(out, "result.json"), "w"))
sys.exit(answer["status"])
"""


SIDES = {"top": "number", "vent": "vent"}


def put(path, value):
    with open(path, "w") as f:
        json.dump(value, f)


class Report(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.set, self.out = (os.path.join(folder.name, n) for n in ("set", "out"))
        os.makedirs(os.path.join(self.set, "one"))
        self.program = os.path.join(folder.name, "program")
        with open(self.program, "w") as f:
            f.write(PROGRAM.format(python=sys.executable))
        os.chmod(self.program, 0o755)

    def photo(self, name, expect, verdict, status, number="7", stack="s", side="top"):
        face = [[10, 10], [90, 12], [90, 30], [10, 28]]
        path = os.path.join(self.set, "one", name)
        picture = Image.new("RGB", (100, 60), BACKGROUND)
        ImageDraw.Draw(picture).polygon([tuple(p) for p in face], FACE)
        picture.save(path + ".jpg", quality=95)
        put(path + ".truth.json", {
            "file": name + ".jpg", "side": side, "stack_id": stack, "expect": expect, "accept": [expect],
            "slot_1_at": "top", "pack": {"stagger_limit_mm": 1.0, "sides": {side: {SIDES[side]: {}}}},
            "findings": [] if expect == "pass" else [{"code": "number.order", "slots": [1]}],
            "slots": [{"slot": 1, "seen": True, "face": face, "number": {"text": "7"}, "stagger_mm": 0.0}]})
        slot = {"slot": 1, "seen": True, "face": face, "number": {"text": number, "confidence": 0.99},
                "stagger_mm": 0.1, "stagger_sd_mm": 0.1}
        result = {"verdict": verdict, "findings": [], "photos": [{"slots": [slot]}], "ms": {"total": 5.0, "marks": 3.0}}
        put(path + ".jpg.answer", {"result": verdict and result, "status": status})

    def run_it(self, out, *more):
        return subprocess.run([sys.executable, "-B", EVALUATE, out, self.set, "--program", self.program, *more],
                              capture_output=True, text=True)

    def test_good_photos(self):
        self.photo("a", "pass", "pass", 0)
        self.photo("b", "pass", "retake", 2)
        run = self.run_it(self.out)
        self.assertEqual(run.returncode, 0, run.stderr)
        self.assertIn("1 of 2", run.stdout)  # the needless retake
        page = open(os.path.join(self.out, "index.html")).read()
        self.assertIn("needless retake: 1", page)
        for plot in ("reliability.svg", "stagger.svg", "time.svg"):
            self.assertGreater(os.path.getsize(os.path.join(self.out, plot)), 1000)
        again = self.run_it(self.out + "2", "--against", self.out)
        self.assertEqual(again.returncode, 0, again.stderr)
        self.assertIn("Against the other run", open(os.path.join(self.out + "2", "index.html")).read())

    def test_escape_wrong_reading_and_broken_answers(self):
        self.photo("escape", "fix", "pass", 0)
        self.photo("misread", "fix", "fix", 1, number="1")
        self.photo("silent", "pass", None, 3)
        self.photo("liar", "pass", "pass", 1)
        run = self.run_it(self.out)
        self.assertEqual(run.returncode, 1)
        rows = json.load(open(os.path.join(self.out, "rows.json")))
        self.assertEqual([bool(p.get("broken")) for p in rows["photos"]], [False, True, False, True])  # by name
        page = open(os.path.join(self.out, "index.html")).read()
        self.assertIn("escape: 1", page)
        self.assertIn("97.47 %", page)  # one of two: the root of 0.95
        self.assertIn("Wrong readings: 1", page)
        for crop in ("one-escape-1.png", "one-misread-1.png"):
            with Image.open(os.path.join(self.out, "crops", crop)) as picture:
                middle, corner = (picture.getpixel(at) for at in ((picture.width // 2, 55), (3, 3)))
                self.assertLess(max(abs(a - b) for a, b in zip(middle, FACE)), 12)
                self.assertLess(max(abs(a - b) for a, b in zip(corner, BACKGROUND)), 12)

    def test_stacks_are_checked_whole(self):
        self.photo("a", "pass", "pass", 0, stack="good")
        self.photo("b", "pass", "retake", 2, stack="good", side="vent")
        self.photo("c", "fix", "pass", 0, stack="bad")
        self.photo("d", "pass", "pass", 0, stack="bad", side="vent")
        self.photo("e", "pass", "pass", 0, stack="alone")
        run = self.run_it(self.out, "--stacks")
        self.assertEqual(run.returncode, 1, run.stderr)
        rows = json.load(open(os.path.join(self.out, "rows.json")))["stacks"]
        self.assertEqual([(s["name"], s["sides"], s["expect"], s["accept"], s["verdict"]) for s in rows],
                         [("one/bad", ["top", "vent"], "fix", ["fix"], "pass"),
                          ("one/good", ["top", "vent"], "pass", ["pass"], "retake")])
        self.assertIn("whole stacks, all sides together", run.stdout)
        self.assertIn("Whole stacks", open(os.path.join(self.out, "index.html")).read())

    def test_nothing_to_check(self):
        run = self.run_it(self.out)
        self.assertEqual(run.returncode, 1)
        self.assertIn("no NAME.truth.json", run.stderr)


if __name__ == "__main__":
    unittest.main()
