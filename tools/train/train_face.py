"""Face network: rectified side at 2.5 px/mm -> seams, ends, cover, writing, vents, signs (FacePlane)."""
import argparse
import json
import math
import os

import torch
import torch.nn.functional as F

from clock import Clock
from nets import Face, FaceExport, export
from scenes import load_scenes, sample, tinted

PX_PER_MM, PLANES = 2.5, 13
SEAM, LEFT, RIGHT, COVER, TEXT, LENGTH, HEIGHT, VENT = 0, 1, 2, 3, 4, 8, 9, 10


def raster_map(scene, size, train, device):
    """3x3: raster pixel -> stack mm, as a coarse fit would have it (perturbed), and whether half turned."""
    h, w = size
    total, strip = scene.axis_mm, scene.strip_mm
    turned = train and torch.rand(1).item() < 0.5
    scale = 1 / PX_PER_MM * (math.exp((torch.rand(1).item() - 0.5) * 0.2) if train else 1)
    span = (w * scale, h * scale)
    pick = lambda whole, seen: (torch.rand(1).item() * (whole + 50 - seen) - 25) if train and whole + 50 > seen else (whole - seen) / 2
    x0, y0 = pick(strip, span[0]), pick(total, span[1])
    m = torch.tensor([[scale, 0, x0], [0, scale, y0], [0, 0, 1.0]])
    if train:  # perturbation of the fit: its four corners err
        err = 0.015 if torch.rand(1).item() < 0.5 else 0.003
        a = (torch.rand(2, 2) - 0.5) * err * 2
        p = (torch.rand(2) - 0.5) * err / total * 2
        mid = torch.tensor([[1, 0, strip / 2], [0, 1, total / 2], [0, 0, 1.0]])
        jitter = torch.eye(3)
        jitter[:2, :2] += a
        jitter[2, :2] = p
        m = mid @ jitter @ torch.linalg.inv(mid) @ m
    if turned:
        m = torch.tensor([[-1, 0, strip], [0, -1, total], [0, 0, 1.0]]) @ m
    return m.to(device), turned


def mapped(m, h, w, step, device):
    ys = torch.arange(h, device=device, dtype=torch.float32) * step + (step - 1) / 2
    xs = torch.arange(w, device=device, dtype=torch.float32) * step + (step - 1) / 2
    y, x = torch.meshgrid(ys, xs, indexing="ij")
    q = torch.stack([x, y, torch.ones_like(x)], -1) @ m.T
    return q[..., :2] / q[..., 2:]


def ridge(distance, sigma):
    return torch.exp(-0.5 * (distance / sigma) ** 2)


def line_planes(label, mm, scene, turned):
    """Seams between the strips' ends; ends over the strips' height."""
    x, y = mm[..., 0], mm[..., 1]
    top, bottom, left, right = scene.strips.T
    gap = torch.cat([top[1:], bottom[-1:] + 100]) - bottom
    # Where neighbours nearly touch one ridge stands in the middle of the groove.
    close = gap < 1.0
    low = torch.where(close, bottom + gap / 2, bottom)
    high = torch.cat([top[:1], torch.where(close[:-1], low[:-1], top[1:])])
    k = torch.clamp(torch.searchsorted(((bottom[:-1] + top[1:]) / 2).contiguous(), y.contiguous()), 0, len(top) - 1)
    inside = ((x > left[k] - 0.5) & (x < right[k] + 0.5)).float()
    near = torch.minimum((y - high[k]).abs(), (y - low[k]).abs())
    label[SEAM] = ridge(near, 0.9) * inside
    between = ((y > top[k] - 0.4) & (y < bottom[k] + 0.4)).float()
    at_left, at_right = ridge(x - left[k], 0.9) * between, ridge(x - right[k], 0.9) * between
    label[LEFT], label[RIGHT] = (at_right, at_left) if turned else (at_left, at_right)


def blob_planes(label, ignore, valid, mm, scene, turned):
    x, y = mm[..., 0], mm[..., 1]
    box = mm.reshape(-1, 2)
    low, high = box.min(0).values - 10, box.max(0).values + 10
    for cx, cy, kind, covered in scene.marks.tolist():
        if not (low[0] < cx < high[0] and low[1] < cy < high[1]):
            continue
        d2 = (x - cx) ** 2 + (y - cy) ** 2
        plane = VENT + int(kind)
        if covered:
            ignore[plane] = torch.maximum(ignore[plane], (d2 < 64).float())
        else:
            sigma = 2.4 if kind == 0 else 1.7
            label[plane] = torch.maximum(label[plane], torch.exp(-0.5 * d2 / sigma ** 2))
    for cx, cy, length, height, quarter, covered, angle in scene.texts.tolist():
        if not (low[0] < cx < high[0] and low[1] < cy < high[1]):
            continue
        c, s = math.cos(angle), math.sin(angle)
        along, across = (x - cx) * c + (y - cy) * s, -(x - cx) * s + (y - cy) * c
        plane = TEXT + (int(round(quarter)) + (2 if turned else 0)) % 4
        if covered:
            ignore[TEXT:TEXT + 4] = torch.maximum(ignore[TEXT:TEXT + 4], ((along.abs() < length / 2) & (across.abs() < height / 2)).float())
            continue
        blob = torch.exp(-0.5 * ((along / max(1.6, length * 0.16)) ** 2 + (across / max(1.6, height * 0.16)) ** 2))
        label[plane] = torch.maximum(label[plane], blob)
        core = blob > 0.5
        label[LENGTH] = torch.where(core, torch.full_like(blob, min(1.0, length / 64)), label[LENGTH])
        label[HEIGHT] = torch.where(core, torch.full_like(blob, min(1.0, height / 32)), label[HEIGHT])
        valid[core] = 1


def make(scene, size, train, device):
    h, w = size
    m, turned = raster_map(scene, size, train, device)
    px = scene.view.to_photo(mapped(m, h, w, 1, device))
    # Photos finer than the raster are averaged down first, as INTER_AREA does in the program.
    ratio = ((px[h // 2, w // 2 + 1] - px[h // 2, w // 2]).norm() + (px[h // 2 + 1, w // 2] - px[h // 2, w // 2]).norm()).item() / 2
    photo = scene.photo
    if ratio > 1.5:
        half = int(min(4, round(ratio)))
        image = sum(sample(photo, px + (torch.tensor([i, j], device=device) - (half - 1) / 2) * ratio / half)
                    for i in range(half) for j in range(half)) / half ** 2
    else:
        image = sample(photo, px)
    ph, pw = scene.size
    outside = (px[..., 0] < 0) | (px[..., 1] < 0) | (px[..., 0] > pw - 1) | (px[..., 1] > ph - 1)
    image = torch.where(outside, torch.tensor(0.5, device=device), image)
    label = torch.zeros(PLANES, h // 2, w // 2, device=device)
    ignore, valid = torch.zeros_like(label), torch.zeros(h // 2, w // 2, device=device)
    mm = mapped(m, h // 2, w // 2, 2, device)
    line_planes(label, mm, scene, turned)
    blob_planes(label, ignore, valid, mm, scene, turned)
    cover_px = (scene.view.to_photo(mm) - 1.5) / 4
    out = F.max_pool2d(outside[None, None].float(), 2)[0, 0]
    label[COVER] = torch.maximum(sample(scene.cover, cover_px)[0], out)
    hidden = (label[COVER] > 0.5) & ((mm[..., 0] > -3) & (mm[..., 0] < scene.strip_mm + 3))
    ignore[:3] = hidden.float() * 0.8  # the lines go on under what covers them; the network may guess
    ignore[:, out > 0.5] = 1
    return image, label, ignore, valid


WEIGHTS = torch.tensor([4, 4, 4, 1, 10, 10, 10, 10, 0, 0, 10, 10, 10.0])


def loss_of(out, label, ignore, valid):
    p = torch.sigmoid(out)
    bce = F.binary_cross_entropy_with_logits(out, label, reduction="none")
    quality = (p.detach() - label).abs() ** 1.5 * bce * (1 - ignore)
    sums = quality.mean((0, 2, 3))
    sums[COVER] = bce[:, COVER].mean() * 0.3
    sizes = ((p[:, LENGTH:HEIGHT + 1] - label[:, LENGTH:HEIGHT + 1]).abs() * valid[:, None]).sum() / valid.sum().clamp(min=1)
    return (sums * WEIGHTS.to(out.device)).sum() + 0.5 * sizes


def peaks(plane, floor):
    top = F.max_pool2d(plane[None, None], 7, 1, 3)[0, 0]
    return ((plane == top) & (plane > floor)).nonzero()


def measure(net, scenes, device):
    """Recall and precision of marks within 4 mm, and a table from peak height to share of right ones."""
    found = {n: [0, 0, 0] for n in ("text", "vent", "plus", "minus")}
    heights = {n: [] for n in ("vent", "sign")}
    with torch.no_grad():
        for scene in scenes:
            if scene.view is None:
                continue
            h = int(math.ceil((scene.axis_mm + 60) * PX_PER_MM / 32)) * 32
            w = int(math.ceil((scene.strip_mm + 50) * PX_PER_MM / 32)) * 32
            image, label, ignore, valid = make(scene, (h, w), False, device)
            with torch.autocast(device, torch.bfloat16, enabled=device == "cuda"):
                out = torch.sigmoid(net(image[None])[0].float())
            for name, planes in (("text", range(4, 8)), ("vent", [10]), ("plus", [11]), ("minus", [12])):
                for plane in planes:
                    got, want = peaks(out[plane], 0.15).float(), peaks(label[plane], 0.8).float()
                    skip = F.max_pool2d(ignore[plane][None, None], 9, 1, 4)[0, 0]
                    got = got[[skip[int(y), int(x)] < 0.5 for y, x in got.tolist()]] if len(got) else got
                    if len(got) and len(want):
                        d = torch.cdist(got, want)
                        right = d.min(1).values < 4 * PX_PER_MM / 2
                        found[name][0] += (d.min(0).values < 4 * PX_PER_MM / 2).sum().item()
                    else:
                        right = torch.zeros(len(got), dtype=torch.bool)
                    found[name][1] += len(want)
                    found[name][2] += (~right).sum().item()
                    if name != "text":
                        key = "vent" if name == "vent" else "sign"
                        heights[key] += [(out[plane][int(y), int(x)].item(), bool(r)) for (y, x), r in zip(got.tolist(), right.tolist())]
    figures = {n: {"recall": a / max(1, b), "false": c, "marks": b} for n, (a, b, c) in found.items()}
    return figures, {k: reliability(v) for k, v in heights.items()}


def reliability(pairs, bins=12):
    """[[score, share right], ...] rising, from equal-count bins, never claiming more than the data can show."""
    pairs = sorted(pairs)
    if not pairs:
        return [[0.0, 0.0], [1.0, 0.0]]
    table, best = [], 0.0
    step = max(1, len(pairs) // bins)
    for i in range(0, len(pairs), step):
        part = pairs[i:i + step]
        share = sum(r for _, r in part) / (len(part) + 1)
        best = max(best, share)
        table.append([sum(s for s, _ in part) / len(part), best])
    return table


def main():
    args = argparse.ArgumentParser()
    args.add_argument("scenes"), args.add_argument("out")
    args.add_argument("--minutes", type=float, default=6), args.add_argument("--batch", type=int, default=16)
    args.add_argument("--limit", type=int), args.add_argument("--size", type=int, nargs=2, default=[640, 448])
    args = args.parse_args()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    train = [s for s in load_scenes(args.scenes, "train_", device, limit=args.limit) if s.view is not None]
    held = load_scenes(args.scenes, "val_", device, limit=args.limit)
    net = Face().to(device)
    optimizer = torch.optim.AdamW(net.parameters(), 1e-3, weight_decay=1e-3)
    clock, step = Clock(args.minutes, optimizer, 2e-3), 0
    while clock.tick():
        size = args.size if step % 2 else args.size[::-1]
        made = [make(train[i], size, True, device) for i in torch.randint(0, len(train), (args.batch,)).tolist()]
        image, label, ignore, valid = (torch.stack(x) for x in zip(*made))
        with torch.autocast(device, torch.bfloat16, enabled=device == "cuda"):
            out = net(tinted(image))
        loss = loss_of(out.float(), label, ignore, valid)
        optimizer.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5)
        optimizer.step()
        step += 1
        if step % 200 == 0:
            print("face", step, round(loss.item(), 4), flush=True)
    net.eval()
    os.makedirs(args.out, exist_ok=True)
    torch.save(net.state_dict(), os.path.join(args.out, "face.pt"))
    figures, tables = measure(net, held[:250], device)
    figures["steps"] = step
    print("face", figures, flush=True)
    json.dump(figures, open(os.path.join(args.out, "face.figures.json"), "w"), indent=1)
    json.dump(tables, open(os.path.join(args.out, "face.calibration.json"), "w"), indent=1)
    export(FaceExport(net), (1, 3, 640, 384), os.path.join(args.out, "face.onnx"))


if __name__ == "__main__":
    main()
