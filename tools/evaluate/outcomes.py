"""One photo's result against its truth -> rows: what was said of it and of each slot, and whether it was so.

A row is a dict. `photo` rows: set, name, stack, side, expect, accept, verdict, ms, broken. `mark` rows (numbers,
vents, signs of slots that the truth calls seen, in photos that it does not call retake): name, slot, kind, truth, got,
confidence, outcome. `slot` rows: name, slot, iou of the faces, stagger and gap in mm, true and measured, with the
measured deviation; and whether a finding names the slot as off.
Outcomes: right, wrong (stated over the trust bar and not so), unsure; "spared" is unsure where the truth itself
calls the mark hard to read.
"""
MARKS = {"number": "text", "vent": "end", "sign": "sign"}


def area(polygon):
    ring = list(polygon)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:] + ring[:1])) / 2


def common_part(subject, window):
    """The part of a polygon inside a convex one (Sutherland and Hodgman 1974)."""
    window = list(window) if area(window) > 0 else list(window)[::-1]
    kept = [tuple(p) for p in subject]
    for (ax, ay), (bx, by) in zip(window, window[1:] + window[:1]):
        side = lambda p: (bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax)
        points, kept = kept, []
        for p, q in zip(points, points[1:] + points[:1]):
            from_p, from_q = side(p), side(q)
            if (from_p >= 0) != (from_q >= 0):
                t = from_p / (from_p - from_q)
                kept.append((p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])))
            if from_q >= 0:
                kept.append(q)
        if not kept:
            break
    return kept


def overlap(a, b):
    """Intersection over union of two convex quadrilaterals."""
    both = common_part(a, b)
    shared = abs(area(both)) if len(both) > 2 else 0.0
    union = abs(area(a)) + abs(area(b)) - shared
    return shared / union if union > 0 else 0.0


def named_slots(result, code):
    return {s for f in result["findings"] if f["code"] == code for s in f.get("slots", [])}


def mark_row(kind, want, have, unsure):
    """None where the truth says nothing of this mark."""
    truth = want.get(kind)
    if kind not in want or (kind != "number" and not truth):
        return None
    truth, got = truth or {}, have.get(kind) or {}
    wanted, said = truth.get(MARKS[kind]), got.get(MARKS[kind])
    if not have.get("seen") or want["slot"] in unsure:
        outcome = "spared" if truth.get("hard") else "unsure"
    else:
        outcome = "right" if said == wanted else "wrong"
    return {"kind": kind, "slot": want["slot"], "truth": wanted, "got": said,
            "confidence": got.get("confidence", 0.0), "outcome": outcome}


def slot_row(want, have, named, gaps):
    face = have.get("face")
    return {"slot": want["slot"], "iou": overlap(face, want["face"]) if face and have.get("seen") else 0.0,
            "stagger": want.get("stagger_mm"), "measured": have.get("stagger_mm"),
            "sd": have.get("stagger_sd_mm"), "named": want["slot"] in named,
            "gap": gaps.get(want["slot"]), "measured_gap": have.get("gap_mm")}


def rows_of(name, truth, result):
    """(photo row, mark rows, slot rows) of one photo checked alone."""
    photo = {"name": name, "stack": truth.get("stack_id"), "side": truth["side"], "expect": truth["expect"],
             "accept": truth.get("accept", [truth["expect"]]), "verdict": result["verdict"],
             "fault": truth.get("capture_fault", "none"), "limit": truth["pack"].get("stagger_limit_mm"),
             "faulty": sorted({s for f in truth["findings"] for s in f.get("slots", [])}), "ms": result.get("ms", {})}
    if truth["expect"] == "retake":
        return photo, [], []
    have = {s["slot"]: s for s in result["photos"][0]["slots"]}
    unsure = {kind: named_slots(result, kind + ".unsure") for kind in MARKS}
    named = named_slots(result, "stagger.over")
    gaps = dict(enumerate(truth.get("gap_mm", [])[:-1], 1))  # towards the next slot
    marked = truth["pack"]["sides"][truth["side"]]
    marks, slots = [], []
    for want in truth["slots"]:
        if not want.get("seen", True):
            continue
        got = have.get(want["slot"], {})
        slots.append({"name": name, **slot_row(want, got, named, gaps)})
        for kind in MARKS:
            row = mark_row(kind, want, got, unsure[kind]) if kind in marked else None
            if row:
                marks.append({"name": name, **row})
    return photo, marks, slots


def kind_of_error(photo):
    """escape, false alarm, needless retake, or None where the verdict is fair. What could not be answered at
    all is broken."""
    if photo.get("broken"):
        return "broken"
    if photo["verdict"] in photo["accept"]:
        return None
    return {"pass": "escape", "fix": "false alarm", "retake": "needless retake"}[photo["verdict"]]
