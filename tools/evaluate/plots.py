"""The page's plots, each one SVG."""
import os

import matplotlib

matplotlib.use("svg")
import matplotlib.pyplot as plt  # noqa: E402
import numpy as np  # noqa: E402

from figures import reliability  # noqa: E402
from outcomes import MARKS  # noqa: E402
from summary import detection_of, stagger_of, times_of  # noqa: E402

INK, SECOND, FAINT = "#1f3a4d", "#b3541e", "#9aa5ab"
EDGES = [0, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 1.0]
plt.rcParams.update({"svg.hashsalt": "plumbstack", "font.size": 9, "axes.spines.top": False,
                     "axes.spines.right": False})


def saved(figure, out, name):
    figure.savefig(os.path.join(out, name), bbox_inches="tight", metadata={"Date": None})
    plt.close(figure)
    return name


def reliability_plot(marks, out):
    """Against the share of doubt on a logarithmic scale, where the trust bars lie."""
    figure, panels = plt.subplots(1, len(MARKS), figsize=(10, 3.4), sharey=True)
    for panel, kind in zip(panels, MARKS):
        told = [m for m in marks if m["kind"] == kind and m["got"] is not None]
        bins = reliability([m["confidence"] for m in told], [m["got"] == m["truth"] for m in told], EDGES)
        line = np.linspace(0, 0.9999, 400)
        panel.plot(1 - line, 1 - line, color=FAINT, lw=1)
        for confidence, right, low, high, count in bins:
            doubt, wrong = max(1 - confidence, 1e-4), max(1 - right, 1e-4)
            panel.plot([doubt, doubt], [max(1 - high, 1e-4), max(1 - low, 1e-4)], color=INK, lw=1)
            panel.plot(doubt, wrong, "o", color=INK, ms=4)
            panel.annotate(str(count), (doubt, wrong), textcoords="offset points", xytext=(5, 3),
                           color=FAINT, fontsize=7)
        panel.set(xscale="log", yscale="log", xlim=(1.2, 8e-5), ylim=(8e-5, 1.2), title=kind + "s",
                  xlabel="stated doubt (1 - confidence)")
    panels[0].set_ylabel("share that was wrong, with 95 % bounds")
    return saved(figure, out, "reliability.svg")


def stagger_plot(slots, out):
    errors, _ = stagger_of(slots)
    if not errors:
        return None
    figure, panel = plt.subplots(figsize=(4.8, 3.2))
    panel.hist(np.clip(errors, -0.6, 0.6), bins=np.linspace(-0.6, 0.6, 61), color=INK)
    panel.set(xlabel="error of the stagger, mm (beyond 0.6 counted at 0.6)", ylabel="slots")
    return saved(figure, out, "stagger.svg")


def detection_plot(photos, slots, out):
    sizes, hits, fit = detection_of(photos, slots)
    if not fit:
        return None
    figure, panel = plt.subplots(figsize=(4.8, 3.2))
    rng = np.random.default_rng(1)
    panel.plot(sizes, np.where(hits, 1.0, 0.0) + rng.uniform(-0.03, 0.03, len(sizes)), ".", color=FAINT, ms=3)
    a = np.geomspace(min(sizes), max(sizes), 300)
    x = np.stack([np.ones_like(a), np.log(a)])
    line = fit.intercept + fit.slope * x[1]
    doubt = 1.645 * np.sqrt(np.einsum("in,ij,jn->n", x, fit.covariance, x))
    shown = lambda z: 1 / (1 + np.exp(-z))
    panel.plot(a, shown(line), color=INK)
    panel.plot(a, shown(line - doubt), color=INK, lw=0.8, ls="--")
    for at, name in ((fit.a90, "a90"), (fit.a90_95, "a90/95")):
        if np.isfinite(at):
            panel.axvline(at, color=SECOND, lw=0.8)
            panel.annotate(f"{name} {at:.2f}", (at, 0.45 if name == "a90" else 0.3), color=SECOND)
    panel.set(xlabel="true stagger, mm", ylabel="named by a finding", ylim=(-0.06, 1.06))
    return saved(figure, out, "detection.svg")


def time_plot(photos, out):
    times = times_of(photos)
    if not times:
        return None
    figure, panel = plt.subplots(figsize=(4.8, 0.5 + 0.32 * len(times)))
    panel.boxplot(list(times.values())[::-1], vert=False, whis=(0, 100), medianprops={"color": SECOND})
    panel.set_yticklabels(list(times)[::-1])
    panel.set_xlabel("ms of wall time; box: middle half, whiskers: all")
    return saved(figure, out, "time.svg")
