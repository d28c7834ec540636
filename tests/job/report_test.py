"""The report of a job as its readers get it: the PDF by poppler, page by page, and the HTML page.

    report_test.py PROGRAM SOURCE_DIR
"""
import hashlib
import json
import re
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import unittest
from html.parser import HTMLParser
from pathlib import Path

PROGRAM, SOURCE = (Path(word).resolve() for word in sys.argv[1:3])
SAMPLE = SOURCE / "sample_images/fl-0142"
SIDES = ("number", "vent", "terminal-a", "terminal-b")
PHOTOS = [SAMPLE / f"{side}.jpg" for side in SIDES]
JOB = "FL-0142"


def output(*words):
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout


class Job:
    def __init__(self, pack=SAMPLE / "pack.json", customer="blue one, Tuesday"):
        self.folder = Path(tempfile.mkdtemp(prefix="plumbstack."))
        self.at("open", JOB, "--pack", str(pack), "--customer", customer, "--by", "M. Fennel")

    def call(self, *words, store="store"):
        words = [PROGRAM, "job", words[0], "--store", str(self.folder / store), *words[1:]]
        return subprocess.run(words, cwd=self.folder, capture_output=True, text=True)

    def at(self, *words, status=0, **more):
        done = self.call(*words, **more)
        assert done.returncode == status, (words, done.returncode, done.stderr)
        return done

    def step(self, name, *words, by="M. Fennel", status=0):
        return self.at(name, JOB, *words, "--by", by, status=status)

    def attach_result(self, *findings, status=0):
        result = self.folder / f"{len(list(self.folder.glob('c*')))}c" / "result.json"
        subprocess.run([SOURCE / "tests/job/make_result.py", SAMPLE, result, *findings], check=True)
        self.step("attach", "--result", str(result), *map(str, PHOTOS), status=status)

    def report(self, *words, out="report", status=0, job=JOB, **more):
        self.at("report", job, "--out", out, *words, status=status, **more)
        return Report(self.folder / out)

    def database(self, *statements):
        base = sqlite3.connect(self.folder / "store/jobs.sqlite")
        for statement in ("DROP TRIGGER entries_stay", *statements): base.execute(statement)
        base.commit()


class Report:
    def __init__(self, folder):
        self.pdf, self.page = folder / "job-report.pdf", (folder / "job-report.html").read_text()
        self.info = dict(re.findall(r"^(.*?): +(.*)$", output("pdfinfo", self.pdf), re.M))
        self.pages = output("pdftotext", "-layout", self.pdf, "-").split("\f")[:-1]
        self.text = re.sub(r"\s+", " ", " ".join(self.pages))
        self.pictures = len(re.findall(r"^ *\d+ +\d+ image ", output("pdfimages", "-list", self.pdf), re.M))


def closed_job():
    job = Job()
    plan = job.folder / "plan"
    subprocess.run([PROGRAM, "plan", "--pack", SAMPLE / "pack.json", "--sheet", SAMPLE / "test-sheet.csv", "--out", plan],
                   check=True, capture_output=True)
    job.step("attach", "--plan", str(plan / "plan.json"))
    slots = json.loads((plan / "plan.json").read_text())["slots"]
    job.step("serials", *(f"{s['slot']}={s['serial']}" for s in slots))
    for line in ("service-plug", "gloves-and-tools"): job.step("tick", line)
    job.step("tick", "module-voltages", "--figures", *["7.86"] * 34)
    job.step("tick", "condition", "--note", "a little dust, no leaks")
    job.step("tick", "compressed-length", "--figures", "668")
    job.step("tick", "end-plate-torque", "--figures", "5.4")
    job.attach_result("number.unsure:retake:number:8", status=2)
    job.at("unsure", JOB, "--out", "pictures")
    job.step("confirm", "--crop", "pictures/number-slot-08-number.jpg", "--reads", "08", by="A. Reader")
    for line in ("bus-bars", "sense-leads", "sensors", "vent-hose"): job.step("tick", line)
    job.step("tick", "bus-nuts", "--figures", "6.3")
    job.step("attach", "--shows", "bussed-photo", str(SOURCE / "sample_images/annotated.jpg"))
    job.step("tick", "block-voltages", "--figures", *["15.7"] * 17)
    job.step("tick", "insulation", "--figures", "12")
    job.step("sign", by="R. Second")
    job.step("close")
    return job, slots


class Case(unittest.TestCase):
    def paged(self, report, headline):
        """Every page has its number, the job and how it stands."""
        self.assertEqual(len(report.pages), int(report.info["Pages"]))
        for i, page in enumerate(report.pages, 1):
            self.assertIn(f"page {i} of {len(report.pages)}", page)
            head = page.strip().splitlines()[0]
            self.assertRegex(head, rf"^Job {JOB} +{re.escape(headline)}$")
        self.assertIn(f"<b>{headline}</b>", report.page)


class Closed(Case):
    @classmethod
    def setUpClass(cls):
        cls.job, cls.slots = closed_job()

    def test_both_papers(self):
        for paper, size in (("a4", "595.276 x 841.89 pts (A4)"), ("letter", "612 x 792 pts (letter)")):
            report = self.job.report("--paper", paper, out=paper)
            self.assertEqual(report.info["Page size"], size)
            self.paged(report, "CLOSED: PASS")
            self.assertEqual(report.pictures, 4 + 1 + 1)  # photos of the sides, crop, the pack bussed
            self.assertLess(report.pdf.stat().st_size, 2 << 20)

    def test_everything_is_there(self):
        report = self.job.report()
        head = self.job.at("verify", JOB).stdout.split()[-1]
        for text in ("blue one, Tuesday", "long-34, 34 long modules, one stack", "M. Fennel", "A. Reader reads number 8",
                     "signed by R. Second, closed by M. Fennel", "Check 1 of 1: RETAKE, lifted by what a person reads",
                     "number.unsure as asked for", "a little dust, no leaks", "12 MΩ", "verified, entries 1 to 21", head,
                     "about 286 V DC: that kills", "Local codes, licensed practice", "Made by plumbstack"):
            self.assertIn(text, report.text)
        for slot in self.slots:
            self.assertRegex(report.text, rf" {slot['slot']} {slot['number']} {slot['serial']} read off the module")
        for file in (*PHOTOS, SAMPLE / "pack.json", self.job.folder / "plan/plan.json",
                     self.job.folder / "pictures/number-slot-08-number.jpg", SOURCE / "sample_images/annotated.jpg"):
            digest = output("sha256sum", file).split()[0]
            self.assertEqual(digest, hashlib.sha256(file.read_bytes()).hexdigest())
            self.assertIn(digest, report.text)
            self.assertIn(digest, report.page)

    def test_the_same_record_gives_the_same_bytes(self):
        one, two = self.job.report(out="one"), self.job.report(out="two")
        self.assertEqual(one.pdf.read_bytes(), two.pdf.read_bytes())
        self.assertEqual(one.page, two.page)

    def test_an_export_holds_it_and_another_store_makes_the_same(self):
        self.job.at("export", JOB, "--out", "carried")
        exported = self.job.folder / "carried/job-report.pdf"
        self.assertEqual(exported.read_bytes(), self.job.report().pdf.read_bytes())
        # What is not read is not believed: a forged report changes nothing.
        exported.write_bytes(b"%PDF-1.5 forged")
        self.job.at("import", "carried", store="elsewhere")
        there = self.job.report(out="there", store="elsewhere")
        self.assertEqual(there.pdf.read_bytes(), self.job.report().pdf.read_bytes())

    def test_an_older_report_does_not_stay_in_place(self):
        before = self.job.report(out="twice").page
        self.job.report(out="twice")
        self.assertEqual((self.job.folder / "twice/job-report.previous.html").read_text(), before)


class NotAPass(Case):
    def test_fix_and_check_again(self):
        job = Job()
        job.attach_result("number.order:fix:number:2,3", status=1)
        report = job.report()
        self.paged(report, "OPEN: FIX")
        self.assertIn("Why: number.order: number.order as asked for", report.text)
        job.step("lift", "--slots", "2,3", "--reason", "swapped back")
        self.assertIn("lifted, slots 2, 3: swapped back", job.report().text)

    def test_a_pass_taken_back(self):
        job = Job()
        job.attach_result()
        self.paged(job.report(), "OPEN: NOT FINISHED")
        job.step("lift", "--slots", "7", "--reason", "a stud was loose")
        report = job.report()
        self.paged(report, "OPEN: PASS TAKEN BACK")
        self.assertIn("Check 1 of 1: PASS, no longer valid", report.text)
        self.assertIn("slot 7 lifted: a stud was loose", report.text)
        job.step("close", "--abandon", "customer took it back")
        self.paged(job.report(), "CLOSED UNFINISHED: NO PASS")

    def test_a_record_that_was_changed(self):
        job = Job()
        job.attach_result()
        job.step("tick", "service-plug")
        job.database("UPDATE entries SET text = replace(text, 'service', 'servile') WHERE place = 3")
        self.paged(job.report(status=65), "NOT VERIFIED: RECORD DAMAGED")
        self.assertIn("Entries 1 to 2 are as they were written", job.report(status=65).text)
        job.at("export", JOB, "--out", "carried", status=65)

    def test_a_photo_that_is_lost(self):
        job = Job()
        job.attach_result()
        digest = hashlib.sha256(PHOTOS[1].read_bytes()).hexdigest()
        (job.folder / "store/files" / digest[:2] / digest).unlink()
        report = job.report(status=65)
        self.paged(report, "NOT VERIFIED: RECORD DAMAGED")
        self.assertIn("vent.jpg can't be shown: it is missing", report.text)
        self.assertEqual(report.pictures, 3)


class Tags(HTMLParser):
    def __init__(self, page):
        super().__init__()
        self.seen = set()
        self.feed(page)

    def handle_starttag(self, tag, attributes):
        self.seen.add(tag)
        self.seen.update(name for name, _ in attributes)


class Large(Case):
    def test_forty_modules_ten_photos_and_long_names(self):
        job = Job(SOURCE / "models/packs/short-40.json",
                  "<script>alert(1)</script> <i onload=x> Ελένη Юлия 高橋 " + "W" * 300)
        job.step("serials", *(f"{slot}=<b>SERIAL-{slot:02d}-{'0' * 80}" for slot in range(1, 41)))
        for i in range(10):
            photo = job.folder / f"{i}.jpg"
            photo.write_bytes((SAMPLE / "number.jpg").read_bytes() + bytes([i]))
            job.step("attach", "--shows", f"view {i}", str(photo))
        words = " ".join(f"rust{i}" for i in range(250))
        job.step("tick", "condition", "--note", words)
        report = job.report("--paper", "letter")
        self.paged(report, "OPEN: NOT CHECKED YET")
        self.assertEqual(report.pictures, 10)
        for i in range(250): self.assertEqual(len(re.findall(rf"\brust{i}\b", report.text)), 2, i)  # list and entries
        for slot in range(1, 41): self.assertIn(f"<b>SERIAL-{slot:02d}-000", report.text)
        for i in range(10): self.assertIn(f"view {i}", report.text)
        for text in ("Ελένη", "Юлия"): self.assertIn(text, report.text)
        titled = [page for page in report.pages if "read off the module" in page]
        self.assertGreater(len(titled), 1)
        for page in titled: self.assertIn("How it is known", page)  # the titles stand again on every page
        seen = Tags(report.page).seen
        self.assertFalse(seen & {"script", "i", "onload"})
        self.assertIn("高橋", report.page)


if __name__ == "__main__":
    folders = []
    made, tempfile.mkdtemp = tempfile.mkdtemp, lambda **how: folders.append(made(**how)) or folders[-1]
    try:
        unittest.main(argv=sys.argv[:1], verbosity=2)
    finally:
        for folder in folders: shutil.rmtree(folder, ignore_errors=True)
