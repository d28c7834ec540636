"""From a network's score to the measured share of right answers."""
import math


def joined(low, high):
    """Two blocks as one. Where both shares are the same the lower one's start is kept: there is
    nothing to even out between them."""
    scores, right, n = low[0] + high[0], low[1] + high[1], low[2] + high[2]
    same = low[1] * high[2] == high[1] * low[2]
    return [scores, right, n, low[3] if same else scores / n]


def falls(low, high):
    """The share of right ones does not rise."""
    return low[1] * high[2] >= high[1] * low[2]


def monotone_blocks(pairs, least=20, bins=40):
    """Blocks [sum of scores, right, n, score from which their share holds] of (score, right) pairs,
    the share of right ones rising from block to block (pool adjacent violators). Equal scores stay
    in one block: which of them were right, their score doesn't tell."""
    pairs = sorted(pairs)
    size = max(least, len(pairs) // bins)
    blocks, i = [], 0
    while i < len(pairs):
        end = min(i + size, len(pairs))
        while end < len(pairs) and pairs[end][0] == pairs[end - 1][0]:
            end += 1
        part, i = pairs[i:end], end
        scores = sum(s for s, _ in part)
        blocks.append([scores, sum(bool(r) for _, r in part), len(part), scores / len(part)])
        while len(blocks) > 1 and (falls(*blocks[-2:]) or blocks[-1][2] < least):
            blocks[-2:] = [joined(*blocks[-2:])]
    return blocks


def table(pairs, points=20):
    """Rows of score, probability, right, n: one for each block, at the mean of its scores; between
    rows the probability is to be interpolated, beyond them it stays (centred isotonic regression,
    Oron and Flournoy 2017: a block's share is right for its middle, not for its ends). The
    probability is (right + 1/2) / (n + 1): what a block of n answers, all right, can show and no
    more."""
    blocks = monotone_blocks(pairs)
    while len(blocks) > points:  # join the two neighbours that differ least, in their odds
        odds = [math.log((b[1] + 0.5) / (b[2] - b[1] + 0.5)) for b in blocks]
        k = min(range(len(blocks) - 1), key=lambda i: odds[i + 1] - odds[i])
        blocks[k:k + 2] = [joined(*blocks[k:k + 2])]
    rows = [{"score": round(start, 5), "probability": round((right + 0.5) / (n + 1), 5),
             "right": right, "n": n} for _, right, n, start in blocks]
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
    rows = table(first)
    promised = [(look_up(rows, s), bool(r)) for s, r in second]
    sure = [r for p, r in promised if p >= bar]
    return {"n": len(promised), "promised": round(sum(p for p, _ in promised) / len(promised), 4),
            "came": round(sum(r for _, r in promised) / len(promised), 4),
            "over_bar": len(sure), "over_bar_wrong": len(sure) - sum(sure)}
