"""Figures with their uncertainty: shares, reliability, probability of detection, repeatability, paired differences.

Sources: Clopper and Pearson 1934 (exact bounds of a share); MIL-HDBK-1823A (hit/miss probability of detection by a
generalised linear model with a logit link, a90 and a90/95); AIAG, Measurement Systems Analysis, 4th ed. (six sigma of
the repeatability as a share of the tolerance; bands 10 and 30 %); McNemar 1947, exact form (paired differences).
"""
from collections import namedtuple

import numpy as np
from scipy import stats

Detection = namedtuple("Detection", "intercept slope covariance a90 a90_95")


def bounds(right, count, level=0.95):
    """Two-sided Clopper-Pearson bounds of a share; (0, 1) where nothing was counted."""
    if count == 0:
        return 0.0, 1.0
    tail = (1 - level) / 2
    low = stats.beta.ppf(tail, right, count - right + 1) if right else 0.0
    high = stats.beta.ppf(1 - tail, right + 1, count - right) if right < count else 1.0
    return float(low), float(high)


def lower_bound(right, count, level=0.95):
    """One-sided."""
    return float(stats.beta.ppf(1 - level, right, count - right + 1)) if right else 0.0


def reliability(confidence, right, edges):
    """[mean confidence, share right, low, high, count] of each bin that holds anything."""
    confidence, right = np.asarray(confidence, float), np.asarray(right, bool)
    found = []
    for low, high in zip(edges, edges[1:]):
        inside = (confidence >= low) & ((confidence < high) | (high == edges[-1]))
        if inside.any():
            k, n = int(right[inside].sum()), int(inside.sum())
            found.append([float(confidence[inside].mean()), k / n, *bounds(k, n), n])
    return found


def detection(sizes, hits):
    """Probability of detection over the logarithm of a fault's size (mm): logit P = intercept + slope ln a.
    a90 is found nine times in ten; that is so with 95 % confidence at a90/95, from the covariance (Wald). None
    where hits and misses do not overlap or only one of them is there: such a fit has no finite answer."""
    import statsmodels.api as sm
    x, hits = np.log(np.asarray(sizes, float)), np.asarray(hits, float)
    if hits.min() == hits.max() or x[hits == 1].min() >= x[hits == 0].max():
        return None
    fit = sm.GLM(hits, sm.add_constant(x), family=sm.families.Binomial()).fit()
    (intercept, slope), v = fit.params, fit.cov_params()
    if slope <= 0:
        return None
    aim, z = np.log(9), stats.norm.ppf(0.95)
    a90 = float(np.exp((aim - intercept) / slope))
    # Where the lower confidence bound of intercept + slope x reaches the aim: a quadratic in x.
    a, b, c = (slope ** 2 - z ** 2 * v[1, 1], 2 * ((intercept - aim) * slope - z ** 2 * v[0, 1]),
               (intercept - aim) ** 2 - z ** 2 * v[0, 0])
    root = b * b - 4 * a * c
    a90_95 = float(np.exp((-b + np.sqrt(root)) / (2 * a))) if a > 0 and root >= 0 else float("inf")
    return Detection(float(intercept), float(slope), v, a90, a90_95)


def repeatability(groups, tolerance):
    """Of values measured several times: (pooled standard deviation, six of it as a share of the tolerance, AIAG's
    band, degrees of freedom); None without repeats."""
    groups = [np.asarray(g, float) for g in groups if len(g) > 1]
    freedom = sum(len(g) - 1 for g in groups)
    if not freedom:
        return None
    sd = float(np.sqrt(sum(((g - g.mean()) ** 2).sum() for g in groups) / freedom))
    share = 6 * sd / tolerance
    band = "acceptable" if share < 0.1 else "conditional" if share <= 0.3 else "not acceptable"
    return sd, share, band, freedom


def paired(before, after):
    """Of pairs of right or not: (gained, lost, probability of a split as uneven as this by chance)."""
    gained = sum(b and not a for a, b in zip(before, after))
    lost = sum(a and not b for a, b in zip(before, after))
    p = stats.binomtest(gained, gained + lost).pvalue if gained + lost else 1.0
    return gained, lost, float(p)


def spread(errors, deviations):
    """rms, and the shares of errors within one and two of the stated deviations."""
    e, s = np.asarray(errors, float), np.asarray(deviations, float)
    return float(np.sqrt((e ** 2).mean())), float((abs(e) <= s).mean()), float((abs(e) <= 2 * s).mean())
