"""Coarse stack finder: photo -> for each pixel, is it the side, and where on it (u, v)."""
import argparse
import json
import math
import os

import torch
import torch.nn.functional as F

from clock import Clock
from nets import Finder, FinderExport, export
from scenes import load_scenes, sample, tinted

SIZE, CELLS = 384, 96


def window(scene, train, device):
    """3x3 map from the network's pixels to the photo's, in full-size photo pixels."""
    h, w = scene.size
    scale = max(h, w) / SIZE
    angle, shift = 0.0, torch.zeros(2)
    if train:
        scale *= math.exp((torch.rand(1).item() - 0.55) * 0.6)
        angle = math.radians((torch.rand(1).item() - 0.5) * 36) + math.pi / 2 * torch.randint(0, 4, (1,)).item()
        shift = (torch.rand(2) - 0.5) * 0.16 * max(h, w)
    c, s = math.cos(angle) * scale, math.sin(angle) * scale
    m = (SIZE - 1) / 2
    cx, cy = (w - 1) / 2 + shift[0].item(), (h - 1) / 2 + shift[1].item()
    return torch.tensor([[c, -s, cx - c * m + s * m], [s, c, cy - s * m - c * m]], device=device)


def pixel_grid(n, step, device):
    at = torch.arange(n, device=device, dtype=torch.float32) * step + (step - 1) / 2
    y, x = torch.meshgrid(at, at, indexing="ij")
    return torch.stack([x, y], -1)


def make(scene, train, device):
    a = window(scene, train, device)
    to_photo = lambda px: px @ a[:, :2].T + a[:, 2]
    px = to_photo(pixel_grid(SIZE, 1, device))
    h, w = scene.size
    inside = (px[..., 0] > -0.5) & (px[..., 1] > -0.5) & (px[..., 0] < w - 0.5) & (px[..., 1] < h - 0.5)
    ratio = torch.tensor([(scene.photo.shape[2] - 1) / (w - 1), (scene.photo.shape[1] - 1) / (h - 1)], device=device)
    image = torch.where(inside, sample(scene.photo, px * ratio), torch.tensor(0.5, device=device))
    label = torch.zeros(4, CELLS, CELLS, device=device)
    if scene.view is None:
        return image, label
    mm = scene.view.to_stack(to_photo(pixel_grid(CELLS, 4, device)))
    u, v = mm[..., 0] / scene.strip_mm, mm[..., 1] / scene.axis_mm
    middle = torch.tensor([scene.strip_mm / 2, scene.axis_mm / 2], device=device)
    ends = scene.view.to_photo(torch.stack([middle - torch.tensor([0.0, 5.0], device=device), middle + torch.tensor([0.0, 5.0], device=device)]))
    axis = torch.linalg.inv(a[:, :2]) @ (ends[1] - ends[0])
    lying = axis[0].abs() > axis[1].abs()
    turned = axis[0] < 0 if lying else axis[1] < 0
    if turned:
        u, v = 1 - u, 1 - v
    label[0] = ((u > 0) & (u < 1) & (v > 0) & (v < 1)).float()
    label[1], label[2], label[3] = u, v, float(lying)
    return image, label


def loss_of(out, label):
    mask = label[:, 0]
    mask_loss = F.binary_cross_entropy_with_logits(out[:, 0], mask)
    near = F.max_pool2d(mask[:, None], 5, 1, 2)[:, 0]
    weight = near / near.sum().clamp(min=1)
    error = (out[:, 1:3] - label[:, 1:3]).abs().sum(1)
    log_b = out[:, 4].clamp(-6, 1)
    uv = (weight * (error.detach() * torch.exp(-log_b) + log_b)).sum() * 0.05 + (weight * error).sum() * 5
    lying = (weight * F.binary_cross_entropy_with_logits(out[:, 3], label[:, 3], reduction="none")).sum()
    return mask_loss * 2 + uv + 0.2 * lying


def measure(net, scenes, device):
    ious, errors = [], []
    with torch.no_grad():
        for scene in scenes:
            image, label = make(scene, False, device)
            out = net(image[None])[0].float()
            mask, want = out[0] > 0, label[0] > 0
            if scene.view is None:
                ious.append(float(mask.sum() == 0))
                continue
            ious.append(((mask & want).sum() / (mask | want).sum().clamp(min=1)).item())
            both = mask & want
            if both.any():
                errors.append((out[1:3] - label[1:3]).abs().mean(0)[both].median().item())
    return {"mask_iou_mean": sum(ious) / len(ious), "uv_error_median": sorted(errors)[len(errors) // 2],
            "uv_error_p95": sorted(errors)[int(len(errors) * 0.95)], "scenes": len(scenes)}


def main():
    args = argparse.ArgumentParser()
    args.add_argument("scenes"), args.add_argument("out")
    args.add_argument("--minutes", type=float, default=6), args.add_argument("--batch", type=int, default=32)
    args.add_argument("--limit", type=int)
    args = args.parse_args()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    train = load_scenes(args.scenes, "train_", device, long_side=768, limit=args.limit)
    held = load_scenes(args.scenes, "val_", device, long_side=768, limit=args.limit)
    net = Finder().to(device)
    optimizer = torch.optim.AdamW(net.parameters(), 1e-3, weight_decay=1e-3)
    clock, step = Clock(args.minutes, optimizer, 2e-3), 0
    while clock.tick():
        pick = torch.randint(0, len(train), (args.batch,)).tolist()
        images, labels = zip(*[make(train[i], True, device) for i in pick])
        with torch.autocast(device, torch.bfloat16, enabled=device == "cuda"):
            out = net(tinted(torch.stack(images)))
        loss = loss_of(out.float(), torch.stack(labels))
        optimizer.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5)
        optimizer.step()
        step += 1
        if step % 200 == 0:
            print("finder", step, round(loss.item(), 4), flush=True)
    net.eval()
    figures = measure(net, held, device)
    figures["steps"] = step
    print("finder", figures, flush=True)
    os.makedirs(args.out, exist_ok=True)
    json.dump(figures, open(os.path.join(args.out, "finder.figures.json"), "w"), indent=1)
    export(FinderExport(net), (1, 3, SIZE, SIZE), os.path.join(args.out, "finder.onnx"))


if __name__ == "__main__":
    main()
