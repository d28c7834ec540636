"""From a network's score to the measured share of right answers."""
import math


def joined(low, high):
    return [low[0], high[1], low[2] + high[2], low[3] + high[3]]


def falls(low, high):
    """The share of right ones does not rise."""
    return low[2] * high[3] >= high[2] * low[3]


def monotone_blocks(pairs, least=20, bins=40):
    """Blocks [lowest score, highest score, right, n] of (score, right) pairs, the share of right
    ones rising from block to block (pool adjacent violators)."""
    pairs = sorted(pairs)
    size = max(least, len(pairs) // bins)
    blocks = []
    for i in range(0, len(pairs), size):
        part = pairs[i:i + size]
        blocks.append([part[0][0], part[-1][0], sum(bool(r) for _, r in part), len(part)])
        while len(blocks) > 1 and (falls(*blocks[-2:]) or blocks[-1][3] < least):
            blocks[-2:] = [joined(*blocks[-2:])]
    return blocks


def table(pairs, points=20):
    """Rows of score, probability, right, n: two for each block, its lowest and highest score. The
    probability is to be interpolated between rows and stays beyond them. It is (right + 1/2) /
    (n + 1): what a block of n answers, all right, can show and no more."""
    blocks = monotone_blocks(pairs)
    while len(blocks) > points // 2:  # join the two neighbours that differ least, in their odds
        odds = [math.log((b[2] + 0.5) / (b[3] - b[2] + 0.5)) for b in blocks]
        k = min(range(len(blocks) - 1), key=lambda i: odds[i + 1] - odds[i])
        blocks[k:k + 2] = [joined(*blocks[k:k + 2])]
    rows = []
    for low, high, right, n in blocks:
        p = (right + 0.5) / (n + 1)
        rows += [{"score": round(s, 5), "probability": round(p, 5), "right": right, "n": n}
                 for s in (low, high)]
    best = 0.0
    for row in rows:  # a small top block may show less than the one below it: never falling
        best = row["probability"] = max(best, row["probability"])
    return rows


def look_up(rows, score):
    """The probability that the table gives for a score."""
    if not rows:
        return 0.0
    if score <= rows[0]["score"]:
        return rows[0]["probability"]
    for a, b in zip(rows, rows[1:]):
        if score <= b["score"]:
            span = max(b["score"] - a["score"], 1e-9)
            share = (score - a["score"]) / span
            return a["probability"] + share * (b["probability"] - a["probability"])
    return rows[-1]["probability"]


def cross_check(pairs, bar):
    """The table of one half of the data, tried on the other half: what it promised and what came,
    and how many answers over `bar` there were and how many of those were wrong."""
    first, second = pairs[0::2], pairs[1::2]
    if not second:
        return {}
    promised = [(look_up(table(first), s), bool(r)) for s, r in second]
    sure = [r for p, r in promised if p >= bar]
    return {"n": len(promised), "promised": round(sum(p for p, _ in promised) / len(promised), 4),
            "came": round(sum(r for _, r in promised) / len(promised), 4),
            "over_bar": len(sure), "over_bar_wrong": len(sure) - sum(sure)}
