"""Sign reader: a small patch around a place on a strip -> neither, plus or minus."""
import json
import os

import numpy as np
import torch
import torch.nn.functional as F

from augment import coarse, shaded, softened
from calibrate import cross_check
from clock import Clock, autocast, base_options, save_weights, setup, started, step_of
from data import Scenes, fill, scene_stems
from export import export_net
from nets import Sign
from reader_data import cut_again_to, grey, normalised
from warp import grid, project, scale_at

SIZE, PX_PER_MM = 32, 2.5  # what the network sees
ROOM = 56                  # a stored patch: wider, for turns and shifts
NEITHER, PLUS, MINUS = 0, 1, 2
APART_MM = 7.0             # what is further than this from every sign shows neither
BAR = 0.99


def other_places(scenes, i, count, rng):
    """Places that hold no sign: vents, writing, anywhere on the strips."""
    marks = scenes.marks[i].cpu().numpy()
    signs, vents = marks[marks[:, 2] > 0, :2], marks[marks[:, 2] == 0, :2]
    texts = scenes.texts[i, :scenes.text_count[i], :2].cpu().numpy()
    kinds = [k for k in (vents, texts) if len(k)]
    out = []
    for _ in range(count):
        place = rng.random(2) * scenes.extent[i]
        if kinds and rng.random() < 0.5:
            pool = kinds[rng.integers(len(kinds))]
            place = pool[rng.integers(len(pool))] + rng.normal(0, 2, 2)
        elif len(signs) and rng.random() < 0.5:  # beside a sign, where a finder may err
            angle = rng.uniform(0, 2 * np.pi)
            place = signs[rng.integers(len(signs))] + rng.uniform(8, 14) * np.array(
                [np.cos(angle), np.sin(angle)])
        if len(signs) == 0 or np.hypot(*(signs - place).T).min() > APART_MM:
            out.append((i, *place, NEITHER))
    return out


def places(scenes, rng):
    """Rows of scene, x, y, class: every uncovered sign, and about half as many other places."""
    rows = []
    for i in np.nonzero(scenes.stack)[0]:
        marks = scenes.marks[i].cpu().numpy()
        shown = marks[(marks[:, 2] > 0) & (marks[:, 3] == 0)]
        rows += [(i, m[0], m[1], PLUS if m[2] == 1 else MINUS) for m in shown]
        rows += other_places(scenes, i, 6 + len(shown) // 2, rng)
    return np.array(rows, float).reshape(-1, 4)


def cut(scenes, photos, rows, batch=512):
    """uint8 N x 3 x ROOM x ROOM around the places."""
    out = torch.empty((len(rows), 3, ROOM, ROOM), dtype=torch.uint8)
    for k in range(0, len(rows), batch):
        r, at = rows[k:k + batch], rows[k:k + batch, 0].astype(int)
        m = np.zeros((len(r), 3, 3))
        m[:, 0, 0] = m[:, 1, 1] = 1 / PX_PER_MM
        m[:, 2, 2] = 1
        m[:, :2, 2] = r[:, 1:3] - (ROOM - 1) / 2 / PX_PER_MM
        maps = scenes.h[at] @ m
        shrunk = scale_at(maps, ROOM / 2, ROOM / 2)
        px = scenes.distorted(project(maps, grid(ROOM, ROOM, 1, scenes.device)), at)
        level = np.round(np.log2(np.maximum(1, shrunk)))
        out[k:k + batch] = (photos.sample(at, px, level) * 255).round().byte().cpu()
    return out


def patches(stems, device, rng, limit, group=128):
    pixels, classes = [], []
    for k in range(0, len(stems), group):
        scenes = Scenes(stems[k:k + group], device)
        rows = places(scenes, rng)
        pixels.append(cut(scenes, fill(scenes, device, levels=2)[0], rows))
        classes.append(torch.tensor(rows[:, 3], dtype=torch.long))
        if sum(map(len, classes)) >= limit:
            break
    return torch.cat(pixels).to(device), torch.cat(classes).to(device)


def batch_of(pixels, pick, train):
    """Patches as the network sees them: any turn by half, mirrored (a plus stays a plus), inexact
    in place and scale."""
    x = cut_again_to(pixels[pick].float() / 255, SIZE, 1.0 if train else 0.5)
    x = grey(x, train)
    if train:
        x = torch.where(torch.rand(len(x), 1, 1, 1, device=x.device) < 0.3, x.flip(3), x)
        x = torch.where(torch.rand(len(x), 1, 1, 1, device=x.device) < 0.15, 1 - x, x)
        x = softened(coarse(shaded(x)))
        strength = torch.rand(len(x), 1, 1, 1, device=x.device) ** 2 * 0.9
        x = x + torch.randn_like(x) * strength * x.std((2, 3), keepdim=True).clamp(max=0.08)
    return normalised(x)


def answers(net, pixels, classes):
    with torch.no_grad():
        out = torch.cat([net(batch_of(pixels, torch.arange(k, min(k + 1024, len(classes))), False))
                         .flatten(1).float() for k in range(0, len(classes), 1024)])
    return out.softmax(1)


def measure(net, pixels, classes):
    """Share right by class; trust over the bar."""
    p = answers(net, pixels, classes)
    score, said = p.max(1)
    right = said == classes
    figures = {name: {"n": int((classes == k).sum()),
                      "right": round(right[classes == k].float().mean().item(), 4)}
               for k, name in ((NEITHER, "neither"), (PLUS, "plus"), (MINUS, "minus"))}
    stated = said != NEITHER
    pairs = list(zip(score[stated].tolist(), right[stated].tolist()))
    return {**figures, "reliability": cross_check(pairs, BAR)}


def main():
    args = base_options(1024)
    args.add_argument("--limit", type=int, default=150000, help="patches to train on")
    args = args.parse_args()
    device, rng = setup(14), np.random.default_rng(14)
    pixels, classes = patches(scene_stems(args.scenes, ""), device, rng, args.limit)
    held = patches(scene_stems(args.scenes, "val_"), device, rng, args.limit // 4)
    print("sign patches", len(classes), len(held[1]), flush=True)
    net = started(Sign(), "sign", args, device, batch_of(pixels, torch.arange(256), True))
    optimizer = torch.optim.AdamW(net.parameters(), 1e-3, weight_decay=0.02)
    clock = Clock(args.minutes, optimizer, args.peak)
    while clock.tick():
        pick = torch.randint(0, len(classes), (args.batch,), device=device)
        x = batch_of(pixels, pick, True)
        with autocast(device):
            out = net(x.contiguous(memory_format=torch.channels_last))
        loss = F.cross_entropy(out.flatten(1).float(), classes[pick], label_smoothing=0.01)
        step_of(net, optimizer, loss)
        if clock.steps % 200 == 0:
            print("sign", clock.steps, round(loss.item(), 4), flush=True)
    save_weights(net, os.path.join(args.out, "sign.pt"))
    export_net("sign", args.out)
    net.eval()
    figures = {"steps": clock.steps, "batch": args.batch, "training_patches": len(classes),
               **measure(net, *held)}
    json.dump(figures, open(os.path.join(args.out, "sign.figures.json"), "w"), indent=1)
    print("sign", figures, flush=True)


if __name__ == "__main__":
    main()
