"""The record under kills, a full disk and two writers: nothing acknowledged is lost, nothing half done
shows. Runs on SQLite, or on the PostgreSQL server that the environment names.

    faults_test.py PROGRAM IO_FAULT_LIBRARY [KILLS]
"""
import atexit
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
import unittest
from pathlib import Path

from noise_picture import png

PROGRAM, LIBRARY = sys.argv[1], sys.argv[2]
KILLS = int(sys.argv[3]) if len(sys.argv) > 3 else 25
SERVER = os.environ.get("PLUMBSTACK_TEST_POSTGRESQL")
PACK = {"schema": "plumbstack/pack/1", "id": "short-2", "name": "two", "modules": 2,
        "module_mm": {"length": 200, "height": 100, "thickness": 20},
        "sides": {"number": {"strip_mm": 200, "number": {"first": 1, "end": "right", "rotation_deg": 0}}}}
JOB = "FL-0142"


class Store:
    databases = 0

    def __init__(self):
        self.folder = Path(tempfile.mkdtemp(prefix="plumbstack."))
        atexit.register(shutil.rmtree, self.folder, ignore_errors=True)
        self.store = ["--store", str(self.folder / "store")]
        if SERVER:
            Store.databases += 1
            name = f"faults{os.getpid()}_{Store.databases}"
            host, user = SERVER.split()[0][5:], SERVER.split()[1][5:]
            subprocess.run(["/usr/lib/postgresql/15/bin/createdb", "-h", host, "-U", user, name], check=True)
            self.store = ["--store", f"host={host} user={user} dbname={name}", "--files", str(self.folder / "files")]
        (self.folder / "pack.json").write_text(json.dumps(PACK))
        opened = self.run("open", JOB, "--pack", str(self.folder / "pack.json"), "--by", "M. Fennel")
        assert opened.returncode == 0, opened.stderr
        self.photos = 0

    def command(self, *words):
        return [PROGRAM, "job", words[0], *self.store, *words[1:]]

    def run(self, *words, **fault):
        return subprocess.run(self.command(*words), env=self.environment(**fault), capture_output=True, text=True)

    def environment(self, **fault):
        env = dict(os.environ, **fault)
        if fault:  # the sanitizers' library, where there is one, need not come first
            env.update(LD_PRELOAD=LIBRARY, ASAN_OPTIONS="verify_asan_link_order=0:detect_leaks=0")
        return env

    def next_attach(self):
        self.photos += 1
        photo = self.folder / f"photo-{self.photos}.png"
        photo.write_bytes(png(self.photos))
        return ["attach", JOB, "--by", "M. Fennel", "--shows", f"photo {self.photos}", str(photo)]

    def attached(self):
        shown = self.run("show", JOB).stdout
        return [line.split("  photo ", 1)[1].split("  [")[0].strip() for line in shown.splitlines() if "  photo " in line]


class Case(unittest.TestCase):
    def whole(self, store):
        verified = store.run("verify", JOB)
        self.assertEqual(verified.returncode, 0, verified.stderr)

    def after(self, store, acknowledged, attempted):
        """Every acknowledged photo is attached, once; of the others at most those attempted."""
        self.whole(store)
        attached = store.attached()
        self.assertEqual(len(attached), len(set(attached)))
        self.assertLessEqual(set(acknowledged), set(attached))
        self.assertLessEqual(set(attached), set(attempted))
        return attached


def strike_at_every_call(store, fault, struck):
    """Attaches with the fault at the first call that changes a file, the second, ... until no call is left;
    their number differs by one or two from one attach to the next. @return the number of calls"""
    untouched, at = 0, 0
    while untouched < 3:
        at += 1
        done = store.run(*store.next_attach(), IO_FAULT=fault, IO_FAULT_AT=str(at))
        untouched = untouched + 1 if done.returncode == 0 else 0
        struck(done)
    return at - untouched


class Kills(Case):
    def test_at_every_call_that_changes_a_file(self):
        store = Store()
        attempted, acknowledged = [], []

        def struck(done):
            self.assertIn(done.returncode, (0, -9), done.stderr)
            attempted.append(f"photo {store.photos}")
            if done.stdout: acknowledged.append(attempted[-1])
            self.after(store, acknowledged, attempted)

        calls = strike_at_every_call(store, "kill", struck)
        self.assertGreater(calls, 3)
        print(f"killed at each of {calls} calls; {len(store.attached())} of {len(attempted)} attached")

    def test_at_any_moment(self):
        store = Store()
        start = time.monotonic()
        self.assertEqual(store.run(*store.next_attach()).returncode, 0)
        duration = time.monotonic() - start
        attempted, acknowledged = ["photo 1"], ["photo 1"]
        moment = random.Random(20260302)
        for _ in range(KILLS):
            words = store.next_attach()
            process = subprocess.Popen(store.command(*words), env=store.environment(), stdout=subprocess.PIPE, text=True)
            time.sleep(moment.uniform(0, 1.3) * duration)
            process.kill()
            attempted.append(f"photo {store.photos}")
            if "entry" in process.communicate()[0]: acknowledged.append(attempted[-1])
            self.after(store, acknowledged, attempted)
        attached = store.attached()
        print(f"{KILLS} kills: {len(acknowledged) - 1} acknowledged, {len(attached) - 1} attached")
        self.assertGreater(len(acknowledged), 1, "all kills came before the work was done")
        self.assertLess(len(acknowledged), len(attempted), "all kills came after the work was done")


class FullDisk(Case):
    def test_from_every_call_on(self):
        store = Store()
        attempted, acknowledged = [], []

        def struck(done):
            attempted.append(f"photo {store.photos}")
            if done.returncode == 0:
                acknowledged.append(attempted[-1])
            else:
                self.assertEqual(done.returncode, 74, done.stderr)
                self.assertRegex(done.stderr, r"\Aplumbstack: .*can't be (written|made a folder).*\n\Z")
            self.after(store, acknowledged, attempted)

        self.assertGreater(strike_at_every_call(store, "full", struck), 3)
        self.assertEqual(store.run(*store.next_attach()).returncode, 0)
        self.whole(store)

    def test_while_a_store_is_made(self):
        store = Store()
        for at in range(1, 600, 7):
            fresh = ["--store", str(store.folder / f"other-{at}")]
            words = [PROGRAM, "job", "open", *fresh, JOB, "--pack", str(store.folder / "pack.json"), "--by", "M. Fennel"]
            done = subprocess.run(words, env=store.environment(IO_FAULT="full", IO_FAULT_AT=str(at)), capture_output=True, text=True)
            self.assertIn(done.returncode, (0, 74), done.stderr)
            if done.returncode == 0: return
            # Where the last flush failed the job is there all the same: not acknowledged, but whole.
            again = subprocess.run(words, capture_output=True, text=True)
            self.assertTrue(again.returncode == 0 or "is there already" in again.stderr, again.stderr)
            verified = subprocess.run([PROGRAM, "job", "verify", JOB, *fresh], capture_output=True, text=True)
            self.assertEqual(verified.returncode, 0, verified.stderr)
        self.fail("never enough space")


class TwoTechnicians(Case):
    def test_at_once(self):
        store = Store()
        each = 15
        def work(name):
            script = "; ".join(f"{' '.join(map(quoted, store.command('lift', JOB, '--by', name, '--slots', '1', '--reason', f'{name} {i}')))}"
                               for i in range(each))
            return subprocess.Popen(["bash", "-c", "set -e; " + script], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        quoted = lambda word: "'" + word.replace("'", "'\\''") + "'"
        processes = [work(name) for name in ("M. Fennel", "R. Second")]
        for process in processes:
            out, err = process.communicate()
            self.assertEqual(process.returncode, 0, err)
            self.assertEqual(out.count(" lifted"), each)
        self.whole(store)
        shown = store.run("show", JOB).stdout
        for name in ("M. Fennel", "R. Second"):
            for i in range(each): self.assertIn(f"  {name} {i}  [{name}]", shown)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
