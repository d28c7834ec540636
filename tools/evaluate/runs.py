"""Runs the product over the photos of sets with truth (NAME.truth.json beside each photo, folders within folders)."""
import glob
import json
import os
import subprocess
from concurrent.futures import ThreadPoolExecutor

import stacks
from outcomes import rows_of

SECONDS = 120  # for one photo


def photos_of(sets, only=""):
    """(name, truth file) of every photo: the name is its path within the set, so that two runs meet."""
    found = []
    for folder in sets:
        files = sorted(glob.glob(os.path.join(folder, "**", "*.truth.json"), recursive=True))
        for file in files:
            name = os.path.relpath(file, folder)[:-len(".truth.json")]
            if only in name:
                found.append((name, file))
    if len({name for name, _ in found}) < len(found):
        raise SystemExit("evaluate: two photos of the same name; give the folder that holds both sets")
    return found


def command_of(program, truth, file, out):
    pack = os.path.join(out, "pack.json")
    with open(pack, "w") as f:
        json.dump(truth["pack"], f)
    start = [] if "number" in truth["pack"]["sides"][truth["side"]] else ["--slot-1", truth["slot_1_at"]]
    photo = os.path.join(os.path.dirname(file), truth["file"])
    return [program, "check", "--pack", pack, "--out", out, *start, f"{truth['side']}={photo}"]


def answer(command, out):
    """The product's result. One that is missing or contradicts its exit status raises OSError, ValueError, KeyError
    or TimeoutExpired."""
    run = subprocess.run(command, capture_output=True, timeout=SECONDS)
    with open(os.path.join(out, "result.json")) as f:
        result = json.load(f)
    if run.returncode != {"pass": 0, "fix": 1, "retake": 2}[result["verdict"]]:
        raise ValueError(f"verdict {result['verdict']}, exit status {run.returncode}")
    return result


BROKEN = (OSError, ValueError, KeyError, IndexError, subprocess.TimeoutExpired)


def check(program, name, file, out):
    """(photo row, mark rows, slot rows). A broken answer ends nothing."""
    with open(file) as f:
        truth = json.load(f)
    os.makedirs(out, exist_ok=True)
    try:
        photo, marks, slots = rows_of(name, truth, answer(command_of(program, truth, file, out), out))
    except BROKEN as why:
        photo, marks, slots = {"name": name, "stack": truth.get("stack_id"), "side": truth["side"],
                               "expect": truth["expect"], "accept": truth.get("accept", []), "verdict": None,
                               "broken": f"{type(why).__name__}: {why}", "ms": {}}, [], []
    photo["truth_file"], photo["out"] = os.path.abspath(file), os.path.abspath(out)
    return photo, marks, slots


def check_stack(program, name, truths, out):
    os.makedirs(out, exist_ok=True)
    row = {**stacks.row_of(name, truths), "out": os.path.abspath(out)}
    try:
        row["verdict"] = answer(stacks.command_of(program, truths, out), out)["verdict"]
    except BROKEN as why:
        row["broken"] = f"{type(why).__name__}: {why}"
    return row


def run_all(program, photos, out, jobs, tell, whole=False):
    """{"photos", "marks", "slots"}: rows of all photos in their order; `whole`: also "stacks", each of them checked
    once more with all its sides."""
    rows = {"photos": [], "marks": [], "slots": [], "stacks": []}
    one = lambda item: check(program, item[0], item[1], os.path.join(out, "runs", item[0]))
    with ThreadPoolExecutor(jobs) as pool:
        for k, (photo, marks, slots) in enumerate(pool.map(one, photos), 1):
            rows["photos"].append(photo)
            rows["marks"] += marks
            rows["slots"] += slots
            tell(k, len(photos))
        together = lambda stack: check_stack(program, *stack, os.path.join(out, "stacks", stack[0]))
        rows["stacks"] = list(pool.map(together, stacks.stacks_of(photos) if whole else []))
    return rows
