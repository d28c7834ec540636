"""Drawn scenes as training data: photos on the device, truth in stack millimetres.

A stack point s (x along the strip, y down the axis from slot 1's border, mm) is seen at
c + (p - c)(1 + k1 |p - c|^2 / half_diagonal^2) with p = H s (include/plumbstack/stack.hpp).
"""
import glob
import json
import os
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import torch
import torch.nn.functional as F

try:
    from torchvision.io import ImageReadMode, decode_jpeg, read_file
except ImportError:  # Pillow reads the same files where torchvision is absent
    decode_jpeg = None


def read_photo(path):
    """uint8 tensor 3 x H x W, blue first as the program's own pixels are."""
    if decode_jpeg:
        return decode_jpeg(read_file(path), ImageReadMode.RGB).flip(0)
    from PIL import Image
    return torch.from_numpy(np.asarray(Image.open(path).convert("RGB"))[:, :, ::-1].copy()).permute(2, 0, 1)


def read_pgm(path):
    with open(path, "rb") as f:
        f.readline()
        w, h = map(int, f.readline().split())
        f.readline()
        return torch.from_numpy(np.frombuffer(f.read(), np.uint8).reshape(h, w).copy())[None]


def scene_names(folder, prefix):
    names = sorted(glob.glob(os.path.join(folder, prefix + "*.truth.json")))
    return [n[: -len(".truth.json")] for n in names]


class View:
    """The camera's map of one photo, on any device."""

    def __init__(self, view, device):
        h = np.array(view["photo_from_stack"], np.float64).reshape(3, 3)
        # NumPy's inverse, since scenes load in threads and torch.linalg starts up in one only.
        self.h, self.hinv = (torch.tensor(m, dtype=torch.float32, device=device) for m in (h, np.linalg.inv(h)))
        self.k1 = float(view["k1"])
        self.centre = torch.tensor(view["centre"], dtype=torch.float32, device=device)
        self.half_diagonal = float(view["half_diagonal"])

    def to_photo(self, mm):
        p = mm @ self.h[:, :2].T + self.h[:, 2]
        d = p[..., :2] / p[..., 2:] - self.centre
        return self.centre + d * (1 + self.k1 * (d * d).sum(-1, keepdim=True) / self.half_diagonal ** 2)

    def to_stack(self, px):
        d = px - self.centre
        p = d
        for _ in range(6):
            p = d / (1 + self.k1 * (p * p).sum(-1, keepdim=True) / self.half_diagonal ** 2)
        s = (p + self.centre) @ self.hinv[:, :2].T + self.hinv[:, 2]
        return s[..., :2] / s[..., 2:]


class Scene:
    """Truth of one picture; `photo` and `cover` are uint8 on the device (None until loaded)."""

    def __init__(self, stem, device):
        self.stem = stem
        t = self.truth = json.load(open(stem + ".truth.json"))
        self.photo = self.cover = self.view = None
        self.size = (t["height"], t["width"])
        if not t["slots"]:
            return
        self.view = View(t["view"], device)
        side = t["pack"]["sides"][t["side"]]
        self.strip_mm = side["strip_mm"]
        self.axis_mm = t["strips_mm"][-1]["bottom"]
        f = lambda rows: torch.tensor(rows, dtype=torch.float32, device=device)
        self.strips = f([[s["top"], s["bottom"], s["left"], s["right"]] for s in t["strips_mm"]])
        marks, texts = [], []
        for s in t["slots"]:
            for v in s["vents"]:
                marks.append([*v["centre"], 0, v["covered"]])
            for g in s["signs"]:
                marks.append([*g["centre"], 1 if g["sign"] == "+" else 2, g["covered"]])
            for w in s["writing"]:
                texts.append((w, f(w["quad"])))
        self.marks = f(marks).reshape(-1, 4)  # x y kind covered; x y in stack mm from here on
        if len(marks):
            self.marks[:, :2] = self.view.to_stack(self.marks[:, :2])
        rows = []
        for w, quad in texts:
            q = self.view.to_stack(quad)
            length, height = (q[1] - q[0]).norm().item(), (q[3] - q[0]).norm().item()
            centre = q.mean(0)
            along = q[1] - q[0]
            angle = torch.atan2(along[1], along[0]).item()
            rows.append([centre[0].item(), centre[1].item(), length, height, w["rotation_deg"] / 90, float(w["covered"]), angle])
        self.texts = f(rows).reshape(-1, 7)  # x y length height quarter covered angle
        self.strings = [w["text"] for w, _ in texts]


def load_scenes(folder, prefix, device, with_photo=True, long_side=None, limit=None, keep=None):
    """Scenes with their pixels on `device`; `keep(scene, photo)` may replace the stored photo."""
    stems = scene_names(folder, prefix)[:limit]

    def load(stem):
        scene = Scene(stem, device)
        if with_photo:
            photo = read_photo(stem + ".jpg").to(device)
            if long_side:
                scale = long_side / max(photo.shape[1:])
                size = [round(photo.shape[1] * scale), round(photo.shape[2] * scale)]
                photo = F.interpolate(photo[None].float(), size=size, mode="bilinear", antialias=True, align_corners=False)[0]
                photo = photo.round().clamp(0, 255).byte()
            scene.photo = photo
            scene.cover = read_pgm(stem + ".cover.pgm").to(device)
            if keep:
                keep(scene)
        return scene

    with ThreadPoolExecutor(max_workers=min(16, os.cpu_count() or 1)) as pool:
        return list(pool.map(load, stems))


def sample(photo, px, padding="border"):
    """photo uint8 C x H x W at pixel coordinates px (... x 2) -> float 0..1, C x ..."""
    h, w = photo.shape[1:]
    grid = torch.stack([px[..., 0] * 2 / (w - 1) - 1, px[..., 1] * 2 / (h - 1) - 1], -1)
    return F.grid_sample(photo[None].float(), grid[None], mode="bilinear", padding_mode=padding, align_corners=True)[0] / 255


def tinted(x, generator=None):
    """Light, colour and sensor varied over a batch B x C x H x W of 0..1."""
    b, c = x.shape[:2]
    r = lambda *s: torch.rand(*s, device=x.device)
    x = x.clamp(0, 1) ** torch.exp((r(b, 1, 1, 1) - 0.5) * 0.9)
    x = x * torch.exp((r(b, c, 1, 1) - 0.5) * 0.35) * torch.exp((r(b, 1, 1, 1) - 0.6) * 0.8)
    x = x + (r(b, 1, 1, 1) - 0.5) * 0.15
    grey = x.mean(1, keepdim=True)
    x = grey + (x - grey) * (r(b, 1, 1, 1) * 1.3)
    blur = F.avg_pool2d(F.pad(x, (1, 1, 1, 1), mode="replicate"), 3, 1)
    x = x + (blur - x) * ((r(b, 1, 1, 1) - 0.5) * 1.6).clamp(-0.4, 1)
    x = x + torch.randn_like(x) * (r(b, 1, 1, 1) ** 2 * 0.05)
    return x.clamp(0, 1)
