"""From the rows of mark_scores to what the product ships:
  make_tables.py ROWS.tsv OUT_DIR MARKS.calibration.json
OUT_DIR holds reader.figures.json and places.figures.json of the training (for the temperatures).
Prints the weights of src/2_stack/module_odds.cpp, fitted to the rows `outer`."""
import json
import os
import sys

import numpy as np

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "train"))
from calibrate import cross_check, table  # noqa: E402

BARS = {"number": 0.995, "vent": 0.99, "sign": 0.99}  # TrustBar in include/plumbstack/marks.hpp


def rows_of(path):
    pairs, outer = {kind: [] for kind in BARS}, []
    for line in open(path):
        if line.startswith("#"):
            continue
        kind, *values = line.split("\t")
        if kind == "outer":
            outer.append([float(v) for v in values])
        else:
            pairs[kind].append((float(values[0]), bool(int(values[1]))))
    return pairs, np.array(outer)


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
    for kind, bar in BARS.items():
        shipped[kind] = table(pairs[kind])
        print(kind, len(pairs[kind]), "readings; one half by the other's table:",
              cross_check(pairs[kind], bar))
    json.dump(shipped, open(sys.argv[3], "w"), indent=1)
    x, y = figures_of(outer[:, :5]), outer[:, 5]
    w = logistic(x, y)
    p = 1 / (1 + np.exp(-x @ w))
    print("module odds: border %.2f ends %.2f misfit %.2f surface %.2f constant %.2f" % tuple(w))
    print(f"{len(y)} outer intervals, right {np.mean((p > 0.5) == y):.4f}, wrong by over 0.95 "
          f"{np.mean(np.where(y > 0, p < 0.05, p > 0.95)):.4f}")


if __name__ == "__main__":
    main()
