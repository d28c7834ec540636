"""Rows -> the figures of one run, as a table of (name, value, how many of how many)."""
import os
from collections import defaultdict

import numpy as np

from figures import bounds, detection, lower_bound, repeatability, spread
from outcomes import MARKS, kind_of_error

FACE_OVERLAP = 0.7
LEAST_MM = 0.1     # smaller staggers are no fault to find
TARGETS_ASKED = 60  # by MIL-HDBK-1823A


def share(part, whole):
    if not whole:
        return "none"
    low, high = bounds(part, whole)
    return f"{100 * part / whole:.2f} % ({part} of {whole}; 95 %: {100 * low:.2f} to {100 * high:.2f})"


def share_at_most(part, whole):
    return f"{100 * (1 - lower_bound(whole - part, whole)):.2f} %" if whole else "none"


def errors_of(photos):
    """Names by kind of error."""
    found = defaultdict(list)
    for photo in photos:
        if kind := kind_of_error(photo):
            found[kind].append(photo["name"])
    return found


def counts_of(marks, kind):
    """right, wrong, unsure; what the truth itself calls hard to read and nobody told is left out."""
    outcomes = [m["outcome"] for m in marks if m["kind"] == kind]
    return [outcomes.count(o) for o in ("right", "wrong", "unsure")]


def stagger_of(slots):
    told = [s for s in slots if s["stagger"] is not None and s["measured"] is not None]
    return ([s["measured"] - s["stagger"] for s in told], [s["sd"] or 0.0 for s in told])


def detection_of(photos, slots):
    """Hit: a finding names the slot as off. Returns sizes, hits and the fit."""
    checked = {p["name"] for p in photos if p.get("limit")}
    off = [s for s in slots if s["name"] in checked and s["stagger"] is not None and abs(s["stagger"]) >= LEAST_MM]
    sizes, hits = [abs(s["stagger"]) for s in off], [s["named"] for s in off]
    return sizes, hits, detection(sizes, hits) if off else None


def repeats_of(photos, slots):
    """Stagger measured on several photos of one side of one stack, against the band between both limits."""
    where = {p["name"]: (os.path.dirname(p["name"]), p["stack"], p["side"]) for p in photos if p["stack"]}
    limits = [p["limit"] for p in photos if p.get("limit")]
    groups = defaultdict(list)
    for s in slots:
        if s["name"] in where and s["measured"] is not None:
            groups[where[s["name"]] + (s["slot"],)].append(s["measured"])
    return repeatability(groups.values(), 2 * min(limits)) if limits else None


def times_of(photos):
    """{stage: milliseconds of every photo}, the total first."""
    stages = defaultdict(list)
    for photo in photos:
        for stage, ms in photo["ms"].items():
            stages[stage].append(ms)
    return dict(sorted(stages.items(), key=lambda s: -np.median(s[1])))


def table_of(rows):
    photos, marks, slots = rows["photos"], rows["marks"], rows["slots"]
    errors = errors_of(photos)
    unfair = lambda verdict: sum(verdict not in p["accept"] for p in photos)
    retakes = [p for p in photos if p["expect"] == "retake"]
    caught = sum(p["verdict"] in p["accept"] for p in retakes)
    table = [("photos", str(len(photos))), ("broken answers", str(len(errors["broken"]))),
             ("escapes, of photos that must not pass", share(len(errors["escape"]), unfair("pass"))),
             ("share of escapes, at most, with 95 % confidence", share_at_most(len(errors["escape"]), unfair("pass"))),
             ("false alarms, of photos without a fault", share(len(errors["false alarm"]), unfair("fix"))),
             ("needless retakes, of photos that can be judged",
              share(len(errors["needless retake"]), unfair("retake"))),
             ("retakes caught, of photos that cannot be judged", share(caught, len(retakes)))]
    if stacks := rows.get("stacks"):
        errors = errors_of(stacks)
        must_not = lambda verdict: sum(verdict not in s["accept"] for s in stacks)
        table += [("whole stacks, all sides together", f"{len(stacks)}, {len(errors['broken'])} answers broken"),
                  ("escapes, of stacks that must not pass", share(len(errors["escape"]), must_not("pass"))),
                  ("false alarms, of stacks without a fault", share(len(errors["false alarm"]), must_not("fix"))),
                  ("needless retakes, of stacks that can be judged",
                   share(len(errors["needless retake"]), must_not("retake")))]
    for kind in MARKS:
        right, wrong, unsure = counts_of(marks, kind)
        if total := right + wrong + unsure:
            table += [(f"{kind}s right", share(right, total)), (f"{kind}s wrong", share(wrong, total))]
    if slots:
        table.append((f"faces, overlap at least {FACE_OVERLAP}",
                      share(sum(s["iou"] >= FACE_OVERLAP for s in slots), len(slots))))
    errors_mm, deviations = stagger_of(slots)
    if errors_mm:
        rms, one, two = spread(errors_mm, deviations)
        table += [("stagger, rms of the error", f"{rms:.3f} mm ({len(errors_mm)} slots)"),
                  ("stagger within one and two stated deviations (68 and 95 % are honest)",
                   f"{100 * one:.1f} and {100 * two:.1f} %")]
    sizes, hits, fit = detection_of(photos, slots)
    if fit:
        limit = min(p["limit"] for p in photos if p.get("limit"))
        targets = sum(size >= limit / 2 for size in sizes)
        few = f"; the handbook asks for {TARGETS_ASKED}" if targets < TARGETS_ASKED else ""
        table.append(("stagger found nine times in ten (a90), and so with 95 % confidence (a90/95)",
                      f"{fit.a90:.2f} and {fit.a90_95:.2f} mm ({targets} of at least half the limit, "
                      f"{sum(hits)} named{few})"))
    if repeat := repeats_of(photos, slots):
        sd, part, band, freedom = repeat
        table.append(("stagger, repeatability as a share of the tolerance",
                      f"{100 * part:.0f} %, {band} (deviation {sd:.3f} mm, {freedom} degrees of freedom)"))
    if times := times_of(photos).get("total"):
        table.append(("time of one photo, median and slowest", f"{np.median(times):.0f} and {max(times):.0f} ms"))
    return table
