"""Patches around places on the strips, as the sign and vent readers see them."""
import numpy as np
import torch

from augment import coarse, shaded, softened
from calibrate import cross_check
from data import Scenes, fill
from reader_data import coloured, cut_again_to, grey, normalised
from warp import grid, project, scale_at

ROOM = 1.75  # side of a stored patch, in sides of what the network sees: for turns and shifts
BAR = 0.99


def cut(scenes, photos, rows, px_per_mm, room, batch=512):
    """uint8 N x 3 x room x room around the places; rows of scene, x, y, class."""
    out = torch.empty((len(rows), 3, room, room), dtype=torch.uint8)
    for k in range(0, len(rows), batch):
        r, at = rows[k:k + batch], rows[k:k + batch, 0].astype(int)
        m = np.zeros((len(r), 3, 3))
        m[:, 0, 0] = m[:, 1, 1] = 1 / px_per_mm
        m[:, 2, 2] = 1
        m[:, :2, 2] = r[:, 1:3] - (room - 1) / 2 / px_per_mm
        maps = scenes.h[at] @ m
        shrunk = scale_at(maps, room / 2, room / 2)
        px = scenes.distorted(project(maps, grid(room, room, 1, scenes.device)), at)
        level = np.round(np.log2(np.maximum(1, shrunk)))
        out[k:k + batch] = (photos.sample(at, px, level) * 255).round().byte().cpu()
    return out


def patches(stems, kind, device, rng, limit, group=128):
    """Pixels and classes of at least `limit` patches, where the scenes have so many."""
    pixels, classes, count = [], [], 0
    for k in range(0, len(stems), group):
        scenes = Scenes(stems[k:k + group], device)
        rows = kind.places(scenes, rng)
        pixels.append(cut(scenes, fill(scenes, device, levels=2)[0], rows, kind.px_per_mm,
                          round(kind.size * ROOM)))
        classes.append(torch.tensor(rows[:, 3], dtype=torch.long))
        count += len(rows)
        if count >= limit:
            break
    return torch.cat(pixels).to(device), torch.cat(classes).to(device)


def batch_of(pixels, pick, kind, train):
    """Patches as the network sees them: any turn by half, mirrored, inexact in place and scale."""
    x = cut_again_to(pixels[pick].float() / 255, round(pixels.shape[2] / ROOM), 1.0 if train else 0.5)
    x = coloured(x, train) if kind.color else grey(x, train)
    if train:
        x = torch.where(torch.rand(len(x), 1, 1, 1, device=x.device) < 0.3, x.flip(3), x)
        x = torch.where(torch.rand(len(x), 1, 1, 1, device=x.device) < 0.15, 1 - x, x)
        x = softened(coarse(shaded(x)))
        strength = torch.rand(len(x), 1, 1, 1, device=x.device) ** 2 * 0.9
        x = x + torch.randn_like(x) * strength * x.std((2, 3), keepdim=True).clamp(max=0.08)
    return normalised(x)


def answers(net, pixels, kind):
    with torch.no_grad():
        out = torch.cat([net(batch_of(pixels, torch.arange(k, min(k + 1024, len(pixels))), kind, False))
                         .flatten(1).float() for k in range(0, len(pixels), 1024)])
    return out.softmax(1)


def measure(net, pixels, classes, kind):
    """Share right by class, of which the first shows nothing; trust over the bar."""
    p = answers(net, pixels, kind)
    score, said = p.max(1)
    right = said == classes
    figures = {name: {"n": int((classes == k).sum()),
                      "right": round(right[classes == k].float().mean().item(), 4)}
               for k, name in enumerate(kind.names)}
    stated = said != 0
    pairs = list(zip(score[stated].tolist(), right[stated].tolist()))
    return {**figures, "reliability": cross_check(pairs, BAR)}
