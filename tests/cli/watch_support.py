"""A watch that runs, and the folder that photos arrive in; the programs come from the command line:

    PROGRAM SOURCE_DIR NO_EVENTS_LIBRARY IO_FAULT_LIBRARY
"""
import json
import os
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
