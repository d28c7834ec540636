"""Coarse stack finder: photo -> for each cell, is it the photographed side, and where on it."""
import json
import os

import numpy as np
import torch
import torch.nn.functional as F

from augment import tinted
from clock import Clock, autocast, base_options, save_weights, setup, started, step_of
from data import Scenes, fill, scene_stems
from export import export_net
from nets import Finder
from warp import grid, project, project_each, scale_at

SIZE, CELLS, STORED = 384, 96, 768
EVERYWHERE = 1e4  # px; coordinates beyond this say no more than "outside"


def letterbox(sizes):
    """Network pixel -> photo pixel: scaled to fit, centred (B x 3 x 3)."""
    scale = sizes.max(1) / SIZE
    m = np.zeros((len(sizes), 3, 3))
    m[:, 0, 0] = m[:, 1, 1] = scale
    m[:, 2, 2] = 1
    m[:, :2, 2] = (sizes[:, ::-1] - 1) / 2 - scale[:, None] * (SIZE - 1) / 2
    return m


def jitter(count, rng):
    """Network pixel -> letterbox pixel: zoom, quarter turns, tilt, shift, mirror."""
    zoom = np.exp(rng.uniform(-0.35, 0.28, count))
    angle = np.radians(rng.uniform(-15, 15, count)) + np.pi / 2 * rng.integers(0, 4, count)
    mirrored = rng.random(count) < 0.5
    c, s, middle = np.cos(angle) * zoom, np.sin(angle) * zoom, (SIZE - 1) / 2
    flip = np.where(mirrored, -1, 1)
    m = np.zeros((count, 3, 3))
    m[:, 0, 0], m[:, 0, 1], m[:, 1, 0], m[:, 1, 1], m[:, 2, 2] = c * flip, -s, s * flip, c, 1
    shift = rng.uniform(-0.12, 0.12, (count, 2)) * SIZE
    m[:, :2, 2] = middle + shift - (m[:, :2, :2] @ np.full(2, middle))
    return m, mirrored


def axis_in(scenes, at, window):
    """Direction of the stack's axis at its middle, in network pixels (B x 2)."""
    middle = scenes.extent[at] / 2
    ends = []
    for step in (-5.0, 5.0):
        p = np.einsum("bij,bj->bi", scenes.h[at], np.c_[middle[:, 0], middle[:, 1] + step,
                                                        np.ones(len(at))])
        ends.append(p[:, :2] / p[:, 2:])
    return np.einsum("bij,bj->bi", np.linalg.inv(window[:, :2, :2]), ends[1] - ends[0])


def make(scenes, photos, at, rng=None):
    """A batch: images B x 3 x 384 x 384, labels B x 4 x 96 x 96 (mask, u, v, lying)."""
    device = scenes.device
    window, mirrored = letterbox(scenes.sizes[at]), np.zeros(len(at), bool)
    if rng is not None:
        moved, mirrored = jitter(len(at), rng)
        window = window @ moved
    px = project(window, grid(SIZE, SIZE, 1, device))
    size = torch.tensor(scenes.sizes[at][:, ::-1].copy(), dtype=torch.float32, device=device)
    inside = ((px > -0.5) & (px < size[:, None, None] - 0.5)).all(-1)[:, None]
    level = np.log2(np.maximum(1, scale_at(window, SIZE / 2, SIZE / 2) * photos.scale[at]))
    level += rng.uniform(-0.5, 0.5, len(at)) if rng is not None else 0
    image = torch.where(inside, photos.sample(at, px, np.round(level)),
                        torch.full((), 0.5, device=device))
    cells = project(window, grid(CELLS, CELLS, 4, device)).clamp(-EVERYWHERE, EVERYWHERE)
    mm = project_each(np.linalg.inv(scenes.h[at]), scenes.ideal(cells, at).flatten(1, 2))
    uv = mm / torch.tensor(scenes.extent[at], dtype=torch.float32, device=device)[:, None]
    axis = axis_in(scenes, at, window)
    lying = np.abs(axis[:, 0]) > np.abs(axis[:, 1])
    turned = np.where(lying, axis[:, 0], axis[:, 1]) < 0
    # A mirrored stack is seen as a stack whose strips run the other way; never a mirrored frame.
    flip = torch.tensor(np.stack([turned ^ mirrored, turned], 1), device=device)[:, None]
    uv = torch.where(flip, 1 - uv, uv).transpose(1, 2).reshape(-1, 2, CELLS, CELLS)
    stack = torch.tensor(scenes.stack[at], device=device).view(-1, 1, 1, 1)
    mask = (((uv > 0) & (uv < 1)).all(1, keepdim=True) & stack).float()
    lie = torch.tensor(lying, dtype=torch.float32, device=device).view(-1, 1, 1, 1)
    return image, torch.cat([mask, uv.clamp(-3, 4), lie.expand_as(mask)], 1)


def loss_of(out, label):
    mask, uv = label[:, 0], label[:, 1:3]
    p = torch.sigmoid(out[:, 0])
    bce = F.binary_cross_entropy_with_logits(out[:, 0], mask)
    overlap = (2 * (p * mask).sum((1, 2)) + 20) / ((p + mask).sum((1, 2)) + 20)
    near = F.max_pool2d(mask[:, None], 5, 1, 2)[:, 0]
    weight = near / near.sum().clamp(min=1)
    error = (out[:, 1:3] - uv).abs().mean(1)
    log_b = out[:, 4].clamp(-7, 1)
    # The error teaches u and v evenly; the scale of the Laplace law only learns how large it is.
    laplace = (weight * (error.detach() * torch.exp(-log_b) + log_b)).sum()
    lying = (weight * F.binary_cross_entropy_with_logits(out[:, 3], label[:, 3],
                                                         reduction="none")).sum()
    place = 10 * (weight * error).sum() + 0.05 * laplace
    return 2 * bce + (1 - overlap).mean() + place + 0.5 * lying


def fitted_corners(uv, log_b, mask):
    """The side's corners in cells by weighted linear least squares over the mask, or None."""
    y, x = np.nonzero(mask)
    if len(x) < 30:
        return None
    u, v, w = uv[0][y, x], uv[1][y, x], np.exp(-log_b[y, x])
    one, nil = np.ones_like(u), np.zeros_like(u)
    rows = np.concatenate([np.stack([u, v, one, nil, nil, nil, -x * u, -x * v], 1),
                           np.stack([nil, nil, nil, u, v, one, -y * u, -y * v], 1)])
    w = np.concatenate([w, w])
    h = np.linalg.lstsq(rows * w[:, None], np.concatenate([x, y]) * w, rcond=None)[0]
    corners = np.array([[0, 0, 1], [1, 0, 1], [1, 1, 1], [0, 1, 1.0]])
    corners = corners @ np.append(h, 1).reshape(3, 3).T
    return corners[:, :2] / corners[:, 2:]


def measure_one(out, label, stack, figures):
    seen, want = out[0] > 0, label[0] > 0.5
    if not stack:
        figures["false_mask_share"].append(float(seen.mean()))
        return
    figures["iou"].append((seen & want).sum() / max(1, (seen | want).sum()))
    if not (seen & want).any():
        return
    both = seen & want
    figures["uv"].append(float(np.abs(out[1:3] - label[1:3]).mean(0)[both].mean()))
    figures["lying"].append(float(((out[3] > 0) == (label[3] > 0.5))[both].mean() > 0.5))
    true = fitted_corners(label[1:3], np.zeros_like(out[4]), want)
    got = fitted_corners(out[1:3], np.clip(out[4], -7, 1), seen)
    if true is not None and got is not None:
        span = np.linalg.norm(true[2] - true[0])
        figures["corner"].append(float(np.linalg.norm(got - true, axis=1).max() / span))


def measure(net, scenes, photos):
    figures = {k: [] for k in ("iou", "uv", "lying", "corner", "false_mask_share")}
    with torch.no_grad():
        for i in range(0, len(scenes), 32):
            at = np.arange(i, min(i + 32, len(scenes)))
            image, label = make(scenes, photos, at)
            out = net(image).float().cpu().numpy()
            for k, one in zip(at, range(len(at))):
                measure_one(out[one], label[one].cpu().numpy(), scenes.stack[k], figures)
    of = lambda name, how: round(float(how(figures[name])), 5) if figures[name] else None
    share = lambda name, q: of(name, lambda values: np.quantile(values, q))
    mean = lambda name: of(name, np.mean)
    return {"scenes": len(scenes), "without_stack": len(figures["false_mask_share"]),
            "mask_iou_mean": mean("iou"),
            "mask_iou_p05": share("iou", 0.05),
            "uv_error_median": share("uv", 0.5), "uv_error_p95": share("uv", 0.95),
            "corner_error_of_diagonal_median": share("corner", 0.5),
            "corner_error_of_diagonal_p95": share("corner", 0.95),
            "lying_right": mean("lying"),
            "false_mask_share_max": share("false_mask_share", 1.0)}


def options():
    args = base_options(64)
    args.add_argument("--gigabytes", type=float, default=16, help="of photos on the device")
    return args.parse_args()


def main():
    args = options()
    device, rng = setup(11), np.random.default_rng(11)
    stems = scene_stems(args.scenes, "")[: int(args.gigabytes * 1e9 / (STORED * STORED * 3))]
    train, held = Scenes(stems, device), Scenes(scene_stems(args.scenes, "val_"), device)
    photos, held_photos = fill(train, device, STORED)[0], fill(held, device, STORED)[0]
    print("finder scenes", len(train), len(held), flush=True)
    first = make(train, photos, np.arange(min(32, len(train))), rng)[0]
    net = started(Finder(), "finder", args, device, first)
    optimizer = torch.optim.AdamW(net.parameters(), 1e-3, weight_decay=0.01)
    clock, weights = Clock(args.minutes, optimizer, args.peak), os.path.join(args.out, "finder.pt")
    while clock.tick():
        image, label = make(train, photos, rng.integers(0, len(train), args.batch), rng)
        with autocast(device):
            out = net(tinted(image).contiguous(memory_format=torch.channels_last))
        loss = step_of(net, optimizer, loss_of(out.float(), label))
        if clock.steps % 100 == 0:
            print("finder", clock.steps, round(loss.item(), 4), flush=True)
        if clock.save_due():
            save_weights(net, weights)
    save_weights(net, weights)
    export_net("finder", args.out)
    net.eval()
    figures = {"steps": clock.steps, "batch": args.batch, "training_scenes": len(train),
               **measure(net, held, held_photos)}
    json.dump(figures, open(os.path.join(args.out, "finder.figures.json"), "w"), indent=1)
    print("finder", figures, flush=True)


if __name__ == "__main__":
    main()
