#!/usr/bin/env python3
"""What a second reading is worth: from the lines of read_twice to the table second.calibration.json.

  build/release/bin/read_twice models/nets 1 SCENES/val_*.truth.json > readings.jsonl
  tools/train/calibrate_second.py readings.jsonl models/nets/second.calibration.json

Three tables of the probability that the networks' reading is right, over its score: where the second
reader agrees, is silent, or disagrees. Only scenes held out of training count."""
import json
import sys

from calibrate import look_up, table

STATES = ("agrees", "silent", "disagrees")


def state(line):
    if not line["second"]:
        return "silent"
    return "agrees" if line["second"] == line["net"] else "disagrees"


def pairs(lines):
    """(score, right) of each state; readings without a text are nobody's to trust, and four digits
    are no module's number."""
    found = {s: [] for s in STATES}
    for line in lines:
        if 0 < len(line["net"]) < 4:
            found[state(line)].append((line["score"], line["net"] == line["text"]))
    return found


def agreeing(found):
    """Hardly an agreement is wrong, so that a table of agreements alone would be worth as much at a
    doubtful score as at a sure one. Agreement multiplies the odds that a score has by itself by how
    much likelier it is for a right reading than for a wrong one; but it is never worth more than all
    agreements together have shown."""
    everything, agreed = sum(found.values(), []), found["agrees"]
    right, agreed_right = (sum(r for _, r in pairs) for pairs in (everything, agreed))
    of_wrong = (len(agreed) - agreed_right + 0.5) / (len(everything) - right + 1)
    factor = agreed_right / right / of_wrong
    most = (agreed_right + 0.5) / (len(agreed) + 1)
    rows = table(everything)
    for row in rows:
        odds = factor * row["probability"] / (1 - row["probability"])
        row["probability"] = round(min(most, odds / (1 + odds)), 5)
    return rows


def tables(lines):
    found = pairs(lines)
    return {s: [] if not p else agreeing(found) if s == "agrees" else table(p)
            for s, p in found.items()}


def cross_check(lines):
    """The tables of one half of the photos, tried on the other half."""
    files = sorted({line["file"] for line in lines})
    half = set(files[::2])
    known = tables([line for line in lines if line["file"] in half])
    rest = pairs([line for line in lines if line["file"] not in half])
    for s in STATES:
        n = len(rest[s])
        if not n or not known[s]:
            continue
        promised = sum(look_up(known[s], score) for score, _ in rest[s]) / n
        came = sum(right for _, right in rest[s]) / n
        print(f"{s:10} {n:6} readings, promised {promised:.4f}, came {came:.4f}")


def main():
    if len(sys.argv) != 3:
        sys.exit("usage: calibrate_second.py READINGS.jsonl TABLE.json")
    with open(sys.argv[1]) as lines_file:
        lines = [json.loads(line) for line in lines_file]
    if not lines:
        sys.exit(f"calibrate_second.py: {sys.argv[1]} holds no readings")
    answered = [line for line in lines if line["second"]]
    right = sum(line["second"] == line["text"] for line in answered)
    print(f"{len(lines)} writings, second reader answers {len(answered)}, {right} of them right, "
          f"{sum(line['ms'] for line in lines) / len(lines):.1f} ms each")
    cross_check(lines)
    out = tables(lines)
    for s in STATES:
        print(f"{s:10} {len(pairs(lines)[s]):6} readings, "
              f"{sum(r for _, r in pairs(lines)[s])} right")
    with open(sys.argv[2], "w") as table_file:
        json.dump(out, table_file, indent=1)
        table_file.write("\n")


if __name__ == "__main__":
    main()
