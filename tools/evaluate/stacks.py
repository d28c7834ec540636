"""Whole stacks: one photo of each side that the set has, checked together.

A `stack` row: name, sides, expect, accept, verdict, broken. What may be said of a stack follows from its photos:
pass where each of them may pass, fix or retake where one of them asks for it.
"""
import json
import os
from collections import defaultdict


def stacks_of(photos):
    """(name, truths) of every stack with two sides or more; photos: (name, truth file). Each truth has its `file`
    made whole. Of several photos of one side the first by name is taken."""
    found = defaultdict(dict)
    for name, file in sorted(photos):
        with open(file) as f:
            truth = json.load(f)
        if not truth.get("stack_id"):
            continue
        truth["file"] = os.path.join(os.path.dirname(file), truth["file"])
        found[os.path.join(os.path.dirname(name), truth["stack_id"])].setdefault(truth["side"], truth)
    return [(name, list(sides.values())) for name, sides in sorted(found.items()) if len(sides) > 1]


def accepted(truths):
    ways = [truth.get("accept", [truth["expect"]]) for truth in truths]
    return ([v for v in ("fix", "retake") if any(v in way for way in ways)] +
            ["pass"] * all("pass" in way for way in ways))


def expected(truths):
    asked = {truth["expect"] for truth in truths}
    return next(v for v in ("fix", "retake", "pass") if v in asked)


def command_of(program, truths, out):
    pack = {**truths[0]["pack"], "sides": {t["side"]: t["pack"]["sides"][t["side"]] for t in truths}}
    path = os.path.join(out, "pack.json")
    with open(path, "w") as f:
        json.dump(pack, f)
    sides = [t["side"] + ("" if "number" in t["pack"]["sides"][t["side"]] else "@" + t["slot_1_at"]) for t in truths]
    return [program, "check", "--pack", path, "--out", out, *(f"{s}={t['file']}" for s, t in zip(sides, truths))]


def row_of(name, truths):
    return {"name": name, "sides": [t["side"] for t in truths], "expect": expected(truths),
            "accept": accepted(truths), "verdict": None}
