#!/usr/bin/env python3
"""A result document for the photos of a sample stack, with the findings one asks for: what a job does
with a result must not depend on how well photos are read.

    make_result.py SAMPLE_DIR OUT.json [CODE:SEVERITY:SIDE:SLOT,SLOT...]...
"""
import hashlib
import json
import sys
from pathlib import Path

sample, out = Path(sys.argv[1]), Path(sys.argv[2])
findings = []
for word in sys.argv[3:]:
    code, severity, side, slots = word.split(":")
    findings.append({"code": code, "severity": severity, "side": side, "slots": [int(s) for s in slots.split(",")],
                     "message": f"{code} as asked for", "action": "look"})


def verdict(those):
    severities = {f["severity"] for f in those}
    return "fix" if "fix" in severities else "retake" if "retake" in severities else "pass"


pack = json.loads((sample / "pack.json").read_text())
photos = []
for side in pack["sides"]:
    truth = json.loads((sample / f"{side}.truth.json").read_text())
    photos.append({"file": f"{side}.jpg", "sha256": hashlib.sha256((sample / f"{side}.jpg").read_bytes()).hexdigest(),
                   "side": side, "width": truth["width"], "height": truth["height"], "exif_orientation": 1,
                   "verdict": verdict([f for f in findings if f["side"] == side]),
                   "slots": [{"slot": s["slot"], "seen": s["seen"], "face": s["face"]} for s in truth["slots"]]})
out.parent.mkdir(parents=True, exist_ok=True)
out.write_text(json.dumps({"schema": "plumbstack/result/1", "pack": pack["id"], "verdict": verdict(findings),
                           "trust_bar": {"number": 0.95, "vent": 0.99, "sign": 0.98}, "photos": photos, "findings": findings, "missing_sides": []}))
