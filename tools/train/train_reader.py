"""Number reader: upright crop 48 x 96 -> up to four digits, or "no upright number here"."""
import argparse
import json
import math
import os

import torch
import torch.nn.functional as F

from clock import Clock
from nets import Reader, export
from scenes import load_scenes, sample, tinted
from train_face import reliability

H, W = 48, 96
ROOM = (112, 176)  # stored crops, with space around the text for jitter
TEXT_PX = 28.0     # height of the text in a crop
LONG_PX = 82.0     # its greatest length
TURNABLE = set("01689")


def crop_scale(length, height):
    """px per mm at which a text is read."""
    return min(TEXT_PX / height, LONG_PX / length)


def cut(scene, device):
    """Crops of every uncovered text and of as many places without any, at reading scale."""
    crops, labels = [], []

    def take(x, y, scale, angle):
        yy, xx = torch.meshgrid(torch.arange(ROOM[0], device=device, dtype=torch.float32) - (ROOM[0] - 1) / 2,
                                torch.arange(ROOM[1], device=device, dtype=torch.float32) - (ROOM[1] - 1) / 2, indexing="ij")
        c, s = math.cos(angle) / scale, math.sin(angle) / scale
        mm = torch.stack([x + xx * c - yy * s, y + xx * s + yy * c], -1)
        crops.append((sample(scene.photo, scene.view.to_photo(mm)) * 255).byte())

    for (x, y, length, height, quarter, covered, angle), text in zip(scene.texts.tolist(), scene.strings):
        if covered or len(text) > 4:
            continue
        take(x, y, crop_scale(length, height), angle)
        labels.append(text)
    for _ in range(max(2, len(labels) // 4)):
        x, y = torch.rand(1).item() * scene.strip_mm, torch.rand(1).item() * scene.axis_mm
        if len(scene.texts) and ((scene.texts[:, 0] - x).abs() / 40 + (scene.texts[:, 1] - y).abs() / 18).min() < 1:
            continue
        take(x, y, 28 / (6 + 9 * torch.rand(1).item()), math.pi / 2 * torch.randint(0, 4, (1,)).item())
        labels.append("")
    scene.crops, scene.labels = crops, labels
    scene.photo = scene.cover = None


def encode(text):
    return [len(text)] + [int(c) for c in text] + [10] * (4 - len(text))


def gather(scenes):
    crops = [c for s in scenes for c in getattr(s, "crops", [])]
    texts = [t for s in scenes for t in getattr(s, "labels", [])]
    return torch.stack(crops), texts, torch.tensor([encode(t) for t in texts])


def jittered(crops, turn, device, train):
    """Crops B x 3 x ROOM (uint8) turned by `turn` quarter turns and cut to H x W as an inexact finder would."""
    b = len(crops)
    r = lambda s: (torch.rand(b, device=device) - 0.5) * 2 * (s if train else s * 0.3)
    angle = r(0.2) + turn.float() * (math.pi / 2)
    scale, shear, dx, dy = torch.exp(r(0.28)), r(0.12), r(0.10) * W, r(0.14) * H
    yy, xx = torch.meshgrid(torch.arange(H, device=device, dtype=torch.float32) - (H - 1) / 2,
                            torch.arange(W, device=device, dtype=torch.float32) - (W - 1) / 2, indexing="ij")
    x = (xx[None] + dx[:, None, None]) * scale[:, None, None]
    y = (yy[None] + dy[:, None, None]) * scale[:, None, None]
    x = x + shear[:, None, None] * y
    c, s = angle.cos()[:, None, None], angle.sin()[:, None, None]
    gx, gy = x * c - y * s, x * s + y * c
    grid = torch.stack([gx / (ROOM[1] / 2), gy / (ROOM[0] / 2)], -1)
    return F.grid_sample(crops.float() / 255, grid, mode="bilinear", padding_mode="border", align_corners=False)


def softened(x):
    """Lower resolution, as from a distant photo."""
    b = len(x)
    low = F.interpolate(F.interpolate(x, scale_factor=0.5, mode="area"), size=x.shape[2:], mode="bilinear", align_corners=False)
    share = (torch.rand(b, 1, 1, 1, device=x.device) * 2.2 - 1.2).clamp(0, 1)
    return x + (low - x) * share


def normalised(x):
    x = x.mean(1, keepdim=True)
    m = x.mean((2, 3), keepdim=True)
    return (x - m) / (x.std((2, 3), keepdim=True) + 0.02)


def batch_of(crops, codes, flippable, sideways_ok, pick, device, train):
    turn = torch.zeros(len(pick), dtype=torch.long, device=device)
    chance = torch.rand(len(pick), device=device)
    turn[chance > 0.80], turn[chance > 0.88], turn[chance > 0.94] = 2, 1, 3
    turn[(turn == 2) & flippable[pick]] = 0
    turn[(turn % 2 == 1) & sideways_ok[pick]] = 0
    x = jittered(crops[pick], turn, device, train)
    y = codes[pick].clone()
    none = torch.tensor([0, 10, 10, 10, 10], device=device)
    y[turn > 0] = none
    return x, y


def loss_of(out, y):
    out = out.flatten(1)
    loss = F.cross_entropy(out[:, :5], y[:, 0], label_smoothing=0.02)
    for i in range(4):
        loss = loss + F.cross_entropy(out[:, 5 + 11 * i:16 + 11 * i], y[:, 1 + i], label_smoothing=0.02)
    return loss


def read(out):
    """Texts and joint probabilities."""
    out = out.flatten(1).float()
    p_len = out[:, :5].softmax(1)
    p = torch.stack([out[:, 5 + 11 * i:16 + 11 * i].softmax(1) for i in range(4)], 1)
    best, length = p_len.max(1)
    texts = []
    for b in range(len(out)):
        score, text = best[b].item(), ""
        for i in range(length[b].item()):
            top, digit = p[b, i, :10].max(0)
            score *= top.item()
            text += str(digit.item())
        texts.append((text, score))
    return texts


def train_net(net, data, minutes, device):
    crops, codes, flippable, sideways = data
    optimizer = torch.optim.AdamW(net.parameters(), 1e-3, weight_decay=2e-3)
    clock, step = Clock(minutes, optimizer, 3e-3), 0
    while clock.tick():
        pick = torch.randint(0, len(crops), (512,), device=device)
        x, y = batch_of(crops, codes, flippable, sideways, pick, device, True)
        with torch.autocast(device, torch.bfloat16, enabled=device == "cuda"):
            out = net(normalised(tinted(softened(x))))
        loss = loss_of(out.float(), y)
        optimizer.zero_grad(set_to_none=True)
        loss.backward()
        optimizer.step()
        step += 1
        if step % 400 == 0:
            print("reader", step, round(loss.item(), 4), flush=True)
    return step


def measure(net, data, texts, device):
    crops, codes, flippable, sideways = data
    pairs, by_length = [], {}
    for i in range(0, len(crops), 512):
        pick = torch.arange(i, min(i + 512, len(crops)), device=device)
        x, y = batch_of(crops, codes, flippable, sideways, pick, device, False)
        with torch.no_grad():
            got = read(net(normalised(x)))
        for (text, score), code in zip(got, y.tolist()):
            want = "".join(str(c) for c in code[1:1 + code[0]])
            if text:
                pairs.append((score, text == want))
            hit = by_length.setdefault(len(want), [0, 0])
            hit[0] += text == want
            hit[1] += 1
    sure = [(s, r) for s, r in pairs if s > 0.9]
    return {"right_by_length": {k: [a, b] for k, (a, b) in sorted(by_length.items())},
            "stated": len(pairs), "stated_right": sum(r for _, r in pairs),
            "over_0.9": len(sure), "over_0.9_right": sum(r for _, r in sure)}, pairs


def main():
    args = argparse.ArgumentParser()
    args.add_argument("scenes"), args.add_argument("out")
    args.add_argument("--minutes", type=float, default=6), args.add_argument("--limit", type=int)
    args = args.parse_args()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    keep = lambda scene: cut(scene, device) if scene.view is not None else None

    def data_of(prefix):
        crops, texts, codes = gather(load_scenes(args.scenes, prefix, device, limit=args.limit, keep=keep))
        flippable = torch.tensor([bool(t) and set(t) <= TURNABLE for t in texts], device=device)
        sideways = torch.tensor([bool(t) and set(t) <= set("01") for t in texts], device=device)
        return (crops.to(device), codes.to(device), flippable, sideways), texts

    train, _ = data_of("train_")
    held, held_texts = data_of("val_")
    print("reader crops", len(train[0]), len(held[0]), flush=True)
    net = Reader().to(device)
    steps = train_net(net, train, args.minutes, device)
    net.eval()
    figures, pairs = measure(net, held, held_texts, device)
    figures["steps"] = steps
    print("reader", figures, flush=True)
    os.makedirs(args.out, exist_ok=True)
    json.dump(figures, open(os.path.join(args.out, "reader.figures.json"), "w"), indent=1)
    json.dump({"number": reliability(pairs, 24)}, open(os.path.join(args.out, "reader.calibration.json"), "w"), indent=1)
    export(net, (1, 1, H, W), os.path.join(args.out, "reader.onnx"))


if __name__ == "__main__":
    main()
