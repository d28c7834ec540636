"""From the rows of mark_scores to what the product ships:
  make_tables.py ROWS.tsv OUT_DIR MARKS.calibration.json
OUT_DIR holds reader.figures.json and places.figures.json of the training (for the temperatures).
Prints the weights of src/2_stack/module_odds.cpp, fitted to the rows `outer`."""
import json
import os
import sys

import numpy as np

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "train"))
from calibrate import cross_check, look_up, table  # noqa: E402

KINDS = ("number", "vent", "sign")
MOST_WRONG = 0.0025    # of all readings over the bar: half of what the product may get wrong
LEAST_TRUSTED = 0.95  # no single reading less probable than this is ever trusted


def rows_of(path):
    pairs, outer = {kind: [] for kind in KINDS}, []
    for line in open(path):
        if line.startswith("#"):
            continue
        kind, *values = line.split("\t")
        if kind == "outer":
            outer.append([float(v) for v in values])
        else:
            pairs[kind].append((float(values[0]), bool(int(values[1]))))
    return pairs, np.array(outer)


def bar_of(pairs, rows):
    """TrustBar of include/plumbstack/marks.hpp: the lowest probability over which at most MOST_WRONG
    of the readings are wrong; with it the readings over it and the wrong ones of these."""
    stated = [(look_up(rows, score), right) for score, right in pairs]
    for bar in sorted({row["probability"] for row in rows if row["probability"] >= LEAST_TRUSTED}):
        over = [right for p, right in stated if p >= bar]
        wrong = len(over) - sum(over)
        if wrong <= MOST_WRONG * len(over):
            return bar, len(over), wrong
    return None


def figures_of(likeness):
    """The figures as module_probability uses them: border, ends, misfit, log of surface, one."""
    border, left, right, misfit, surface = likeness.T
    ends = np.minimum(left, 1.5) + np.minimum(right, 1.5)
    return np.stack([np.minimum(border, 1.5), ends, misfit, np.log(np.clip(surface, 0.5, 6)),
                     np.ones_like(border)], 1)


def logistic(x, y, ridge=0.1):
    """Weights by Newton's method, the constant without a penalty."""
    w, penalty = np.zeros(x.shape[1]), np.diag([ridge] * (x.shape[1] - 1) + [1e-6])
    for _ in range(50):
        p = 1 / (1 + np.exp(-x @ w))
        step = np.linalg.solve((x.T * (p * (1 - p))) @ x + penalty, x.T @ (p - y) + penalty @ w)
        w -= step
    return w


def main():
    pairs, outer = rows_of(sys.argv[1])
    temperature = lambda name: json.load(
        open(os.path.join(sys.argv[2], name + ".figures.json")))["temperature"]
    shipped = {"reader_temperature": temperature("reader"),
               "places_temperature": temperature("places")}
    for kind in KINDS:
        shipped[kind] = table(pairs[kind])
        bar = bar_of(pairs[kind], shipped[kind])
        print(kind, len(pairs[kind]), "readings; bar, readings over it, wrong:", bar)
        if bar:
            print("  one half by the other's table:", cross_check(pairs[kind], bar[0]))
    json.dump(shipped, open(sys.argv[3], "w"), indent=1)
    x, y = figures_of(outer[:, :5]), outer[:, 5]
    w = logistic(x, y)
    p = 1 / (1 + np.exp(-x @ w))
    print("module odds: border %.2f ends %.2f misfit %.2f surface %.2f constant %.2f" % tuple(w))
    print(f"{len(y)} outer intervals, right {np.mean((p > 0.5) == y):.4f}, wrong by over 0.95 "
          f"{np.mean(np.where(y > 0, p < 0.05, p > 0.95)):.4f}")


if __name__ == "__main__":
    main()
