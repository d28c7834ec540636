"""From the rows of mark_scores to what the product ships:
  make_tables.py ROWS.tsv OUT_DIR MARKS.calibration.json
OUT_DIR holds reader.figures.json and places.figures.json of the training (for the temperatures).
Prints the weights of src/2_stack/module_odds.cpp, fitted to the rows `outer`, and those of number_odds.cpp
and resolve_sign.cpp in src/4_marks; the tables of numbers and signs are made with the ones that are shipped."""
import json
import os
import sys

import numpy as np

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "train"))
from calibrate import cross_check, table  # noqa: E402

SHIPPED_MODULE_ODDS = np.array([4.09, 2.82, -8.95, -1.85, -3.05])  # in module_odds.cpp
# In number_odds.cpp: of reading (the constant last) and of hiding.
SHIPPED_NUMBER_ODDS = (np.array([0.917, 0.345, 0.560, -0.580, 3.556]),
                       np.array([0.014, 0.652, -1.051, -2.280]))
# In resolve_sign.cpp: shape and first sight of a sign's own end, then of the other; paint.
SHIPPED_SIGN_ODDS = np.array([0.95, 1.29, 0.94, 0.53, 5.40])
FULL_SIGN_ODDS = 15
BARS = {"number": 0.995, "vent": 0.99, "sign": 0.98}  # TrustBar in include/plumbstack/marks.hpp


def rows_of(path):
    pairs, outer, numbers, signs = {kind: [] for kind in BARS}, [], [], []
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
        if kind == "sign":
            true = {"+": 1, "-": -1}.get(values[3], 0)
            signs.append([true, float(values[0])] + [float(v) for v in values[4:]])
    return pairs, np.array(outer), np.array(numbers), np.array(signs)


def log_odds(p, least):
    p = np.clip(p, least, 1 - least)
    return np.log(p / (1 - p))


def probability(x, w):
    return 1 / (1 + np.exp(-x @ w))


def number_weights(numbers):
    """From rows (right, places, columns, nothing, way, covered, off column, others, hidden): weights of
    reading, the constant last, and of hiding, fitted to them, and the scores that
    number_probability gives them with the shipped ones. Hidden numbers say nothing of reading, nor
    does a doubtful way round."""
    right, places, columns, nothing, way, covered, off, others, hidden = numbers.T
    one = np.ones_like(right)
    # However sure the networks are that they see a number: a part of it may be hidden.
    unsure_of_all = log_odds(nothing, 0.03)
    nothing = log_odds(nothing, 1e-4)
    read = np.stack([log_odds(places, 1e-4), log_odds(columns, 1e-4), nothing,
                     np.minimum(off, 6), one], 1)
    hide = np.stack([log_odds(covered, 1e-3), unsure_of_all, log_odds(others, 0.02), one], 1)
    clear = (hidden == 0) & (way > 0.9)
    of_reading = logistic(read[clear], right[clear], 1.0)
    of_hiding = logistic(hide, hidden * (1 - right), 1.0)
    read_odds, hide_odds = SHIPPED_NUMBER_ODDS
    scores = way * probability(read, read_odds) * (1 - probability(hide, hide_odds))
    return of_reading, of_hiding, scores


def sign_weights(signs):
    """From rows (true sign or 0 where it is hidden, score, and plus, minus, seen plus, seen minus, colour of
    both ends, what the paint is worth beside the others', how sure those are and to what they lean): weights
    fitted to them, and the scores that resolve_signs gives with the shipped ones, each with whether it was
    right. What contradicts itself scores 0."""
    true, score = signs[:, 0], signs[:, 1]
    columns = []
    for end, way in ((signs[:, 2:6], 1), (signs[:, 7:11], -1)):
        plus, minus, seen_plus, seen_minus = end.T
        nothing = np.maximum(0, 1 - plus - minus) / 2
        columns += [way * np.log((1e-5 + plus + nothing) / (1e-5 + minus + nothing)),
                    way * np.log((0.05 + seen_plus) / (0.05 + seen_minus))]
    painted = np.clip(signs[:, 6] - signs[:, 11], -1, 1) * signs[:, 12]
    x = np.stack([*columns, painted], 1)
    shown = true != 0
    fitted = logistic(x[shown], true[shown] > 0, 1.0, bare=False)
    odds = x @ SHIPPED_SIGN_ODDS
    in_common = np.maximum(0, np.sign(odds) * signs[:, 14])
    told = np.clip((np.abs(odds) - in_common) * signs[:, 13] ** 4 / FULL_SIGN_ODDS, 0, 1)
    told[score == 0] = 0
    return fitted, list(zip(told, np.sign(odds) == true))


def figures_of(likeness):
    """The figures as module_probability uses them: border, ends, misfit, log of surface, one; and
    of the marks how much is missing."""
    border, left, right, misfit, surface, marks = likeness.T
    ends = np.minimum(left, 1.5) + np.minimum(right, 1.5)
    return (np.stack([np.minimum(border, 1.5), ends, misfit, np.log(np.clip(surface, 0.5, 6)),
                      np.ones_like(border)], 1), 1 - np.minimum(marks / 0.6, 1))


def logistic(x, y, ridge=0.1, offset=0.0, bare=True):
    """Weights by Newton's method, the last without a penalty where `bare`; `offset`: log odds known
    before."""
    w = np.zeros(x.shape[1])
    penalty = np.diag([ridge] * (len(w) - 1) + [1e-6 if bare else ridge])
    for _ in range(50):
        p = 1 / (1 + np.exp(-(x @ w + offset)))
        step = np.linalg.solve((x.T * (p * (1 - p))) @ x + penalty, x.T @ (p - y) + penalty @ w)
        w -= step
    return w


def main():
    pairs, outer, numbers, signs = rows_of(sys.argv[1])
    of_reading, of_hiding, scores = number_weights(numbers)
    print("number odds: places %.3f columns %.3f nothing %.3f off column %.3f constant %.3f;"
          % tuple(of_reading), "hidden: covered %.3f nothing %.3f others %.3f constant %.3f" % tuple(of_hiding))
    pairs["number"] = list(zip(scores, numbers[:, 0] > 0))
    fitted, pairs["sign"] = sign_weights(signs)
    print("sign odds: shape %.2f first sight %.2f; of the other end %.2f %.2f; paint %.2f" % tuple(fitted))
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
