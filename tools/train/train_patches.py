"""Readers of small patches around places on a strip.

sign: neither, plus or minus. vent: none or a vent.
"""
import json
import os
from collections import namedtuple

import numpy as np
import torch
import torch.nn.functional as F

from clock import Clock, autocast, base_options, save_weights, setup, started, step_of
from data import STUD, scene_stems
from export import export_net
from nets import NETS
from patches import batch_of, measure, patches

PLUS, MINUS, VENT = 1, 2, 1  # classes; 0 = none of them
SIGN_APART_MM, VENT_APART_MM = 7.0, 10.0  # what is further from every mark than this shows none


def anywhere(scenes, i, kinds, rng):
    """A place on the strips, half of the time near one of the `kinds` (lists of places)."""
    kinds = [k for k in kinds if len(k)]
    if kinds and rng.random() < 0.5:
        pool = kinds[rng.integers(len(kinds))]
        return pool[rng.integers(len(pool))] + rng.normal(0, 2, 2)
    return rng.random(2) * scenes.extent[i]


def beside(marks, low, high, rng):
    angle = rng.uniform(0, 2 * np.pi)
    return marks[rng.integers(len(marks))] + rng.uniform(low, high) * np.array(
        [np.cos(angle), np.sin(angle)])


def apart(place, marks, mm):
    return len(marks) == 0 or np.hypot(*(marks - place).T).min() > mm


def parts_of(scenes, i):
    """Marks, places of the signs, of the vents and of the writing of scene i."""
    marks = scenes.marks[i].cpu().numpy()
    texts = scenes.texts[i, :scenes.text_count[i], :2].cpu().numpy()
    return marks, marks[marks[:, 2] > 0, :2], marks[marks[:, 2] == 0, :2], texts


def sign_places(scenes, rng):
    """Rows of scene, x, y, class: every uncovered sign, every stud that is none, and about half as
    many other places."""
    rows = []
    for i in np.nonzero(scenes.stack)[0]:
        marks, signs, vents, texts = parts_of(scenes, i)
        shown = marks[(marks[:, 2] > 0) & (marks[:, 3] == 0)]
        rows += [(i, m[0], m[1], PLUS if m[2] == 1 else MINUS) for m in shown]
        studs = marks[marks[:, 2] == STUD, :2]
        rows += [(i, *place, 0) for place in studs if apart(place, signs, SIGN_APART_MM)]
        for _ in range(6 + len(shown) // 2):
            place = anywhere(scenes, i, (vents, texts), rng)
            if len(signs) and rng.random() < 0.33:  # where a finder may err
                place = beside(signs, 8, 14, rng)
            if apart(place, signs, SIGN_APART_MM):
                rows.append((i, *place, 0))
    return np.array(rows, float).reshape(-1, 4)


def vent_places(scenes, rng):
    """Every uncovered vent; as often the place where it would be on a turned module; and about
    half as many others."""
    rows = []
    for i in np.nonzero(scenes.stack)[0]:
        marks, signs, vents, texts = parts_of(scenes, i)
        if not len(vents):
            continue
        shown = marks[(marks[:, 2] == 0) & (marks[:, 3] == 0), :2]
        rows += [(i, *place, VENT) for place in shown]
        others = [np.array([scenes.extent[i][0] - x, y]) + rng.normal(0, 1, 2) for x, y in vents]
        for _ in range(3 + len(shown) // 2):
            others.append(anywhere(scenes, i, (signs, texts), rng) if rng.random() < 0.6 else
                          beside(vents, 10, 40, rng))
        rows += [(i, *place, 0) for place in others if apart(place, vents, VENT_APART_MM)]
    return np.array(rows, float).reshape(-1, 4)


# `places(scenes, rng)` gives rows of scene, x, y, class; the network sees `size` pixels, in grey or in
# `color`.
Kind = namedtuple("Kind", "places px_per_mm size color names")
KINDS = {"sign": Kind(sign_places, 4.0, 48, True, ("neither", "plus", "minus")),
         "vent": Kind(vent_places, 1.25, 32, False, ("none", "vent"))}


def main():
    args = base_options(1024)
    args.add_argument("--net", choices=KINDS, required=True)
    args.add_argument("--limit", type=int, default=150000, help="patches to train on")
    args = args.parse_args()
    device, rng, kind = setup(14), np.random.default_rng(14), KINDS[args.net]
    load = lambda prefix, limit: patches(scene_stems(args.scenes, prefix), kind, device, rng, limit)
    pixels, classes = load("", args.limit)
    held = load("val_", args.limit // 4)
    print(args.net, "patches", len(classes), len(held[1]), flush=True)
    net = started(NETS[args.net][0](), args.net, args, device,
                  batch_of(pixels, torch.arange(min(256, len(classes))), kind, True))
    optimizer = torch.optim.AdamW(net.parameters(), 1e-3, weight_decay=0.02)
    clock = Clock(args.minutes, optimizer, args.peak)
    while clock.tick():
        pick = torch.randint(0, len(classes), (args.batch,), device=device)
        x = batch_of(pixels, pick, kind, True)
        with autocast(device):
            out = net(x.contiguous(memory_format=torch.channels_last))
        loss = F.cross_entropy(out.flatten(1).float(), classes[pick], label_smoothing=0.01)
        step_of(net, optimizer, loss)
        if clock.steps % 200 == 0:
            print(args.net, clock.steps, round(loss.item(), 4), flush=True)
    save_weights(net, os.path.join(args.out, args.net + ".pt"))
    export_net(args.net, args.out)
    net.eval()
    figures = {"steps": clock.steps, "batch": args.batch, "training_patches": len(classes),
               **measure(net, *held, kind)}
    json.dump(figures, open(os.path.join(args.out, args.net + ".figures.json"), "w"), indent=1)
    print(args.net, figures, flush=True)


if __name__ == "__main__":
    main()
