"""From the rows of mark_scores to what the product ships:
  make_tables.py ROWS.tsv OUT_DIR MARKS.calibration.json
OUT_DIR holds reader.figures.json and places.figures.json of the training (for the temperatures).
Prints the weights of src/2_stack/module_odds.cpp, fitted to the rows `outer`, and those of
src/4_marks/number_odds.cpp; the table of numbers is made with the ones that are shipped."""
import json
import os
import sys

import numpy as np

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "train"))
from calibrate import cross_check, table  # noqa: E402

SHIPPED_MODULE_ODDS = np.array([4.09, 2.82, -8.95, -1.85, -3.05])  # in module_odds.cpp
# In number_odds.cpp: of reading (the constant last) and of hiding.
SHIPPED_NUMBER_ODDS = (np.array([1.081, 0.282, 0.653, -0.430, 3.842]),
                       np.array([0.285, 0.982, -1.458]))
BARS = {"number": 0.995, "vent": 0.99, "sign": 0.99}  # TrustBar in include/plumbstack/marks.hpp


def rows_of(path):
    pairs, outer, numbers = {kind: [] for kind in BARS}, [], []
    for line in open(path):
        if line.startswith("#"):
            continue
        kind, *values = line.split("\t")
        if kind == "outer":
            outer.append([float(v) for v in values])
        else:
            pairs[kind].append((float(values[0]), bool(int(values[1]))))
        if kind == "number":
            numbers.append([float(v) for v in values[1:2] + values[4:]])
    return pairs, np.array(outer), np.array(numbers)


def log_odds(p, least):
    p = np.clip(p, least, 1 - least)
    return np.log(p / (1 - p))


def probability(x, w):
    return 1 / (1 + np.exp(-x @ w))


def number_weights(numbers):
    """From rows (right, places, columns, nothing, way, covered, off column, hidden): weights of
    reading, the constant last, and of hiding, fitted to them, and the scores that
    number_probability gives them with the shipped ones. Hidden numbers say nothing of reading, nor
    does a doubtful way round."""
    right, places, columns, nothing, way, covered, off, hidden = numbers.T
    one = np.ones_like(right)
    # However sure the networks are that they see a number: a part of it may be hidden.
    unsure_of_all = log_odds(nothing, 0.03)
    nothing = log_odds(nothing, 1e-4)
    read = np.stack([log_odds(places, 1e-4), log_odds(columns, 1e-4), nothing,
                     np.minimum(off, 6), one], 1)
    hide = np.stack([log_odds(covered, 1e-3), unsure_of_all, one], 1)
    clear = (hidden == 0) & (way > 0.9)
    of_reading = logistic(read[clear], right[clear], 1.0)
    of_hiding = logistic(hide, hidden * (1 - right), 1.0)
    read_odds, hide_odds = SHIPPED_NUMBER_ODDS
    scores = way * probability(read, read_odds) * (1 - probability(hide, hide_odds))
    return of_reading, of_hiding, scores


def figures_of(likeness):
    """The figures as module_probability uses them: border, ends, misfit, log of surface, one; and
    of the marks how much is missing."""
    border, left, right, misfit, surface, marks = likeness.T
    ends = np.minimum(left, 1.5) + np.minimum(right, 1.5)
    return (np.stack([np.minimum(border, 1.5), ends, misfit, np.log(np.clip(surface, 0.5, 6)),
                      np.ones_like(border)], 1), 1 - np.minimum(marks / 0.6, 1))


def logistic(x, y, ridge=0.1, offset=0.0):
    """Weights by Newton's method, the last without a penalty; `offset`: log odds known before."""
    w, penalty = np.zeros(x.shape[1]), np.diag([ridge] * (x.shape[1] - 1) + [1e-6])
    for _ in range(50):
        p = 1 / (1 + np.exp(-(x @ w + offset)))
        step = np.linalg.solve((x.T * (p * (1 - p))) @ x + penalty, x.T @ (p - y) + penalty @ w)
        w -= step
    return w


def main():
    pairs, outer, numbers = rows_of(sys.argv[1])
    of_reading, of_hiding, scores = number_weights(numbers)
    print("number odds: places %.3f columns %.3f nothing %.3f off column %.3f constant %.3f;"
          % tuple(of_reading), "hidden: covered %.3f nothing %.3f constant %.3f" % tuple(of_hiding))
    pairs["number"] = list(zip(scores, numbers[:, 0] > 0))
    temperature = lambda name: json.load(
        open(os.path.join(sys.argv[2], name + ".figures.json")))["temperature"]
    shipped = {"reader_temperature": temperature("reader"),
               "places_temperature": temperature("places")}
    for kind, bar in BARS.items():
        shipped[kind] = table(pairs[kind])
        print(kind, len(pairs[kind]), "readings; one half by the other's table:",
              cross_check(pairs[kind], bar))
    json.dump(shipped, open(sys.argv[3], "w"), indent=1)
    (x, unmarked), y = figures_of(outer[:, :6]), outer[:, 6]
    held = x @ SHIPPED_MODULE_ODDS
    w, marks = logistic(x, y), logistic(unmarked[:, None], y, offset=held)[0]
    p = 1 / (1 + np.exp(-(held + marks * unmarked)))
    print("module odds: border %.2f ends %.2f misfit %.2f surface %.2f constant %.2f" % tuple(w))
    print(f"with the shipped ones: marks {marks:.2f}; {len(y)} outer intervals, right "
          f"{np.mean((p > 0.5) == y):.4f}, wrong by over 0.95 "
          f"{np.mean(np.where(y > 0, p < 0.05, p > 0.95)):.4f}")


if __name__ == "__main__":
    main()
