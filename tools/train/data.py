"""Drawn scenes as training data: truth as padded tensors, photos in one store of bytes.

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
    import cv2
except ImportError:  # slower: Pillow reads and PyTorch scales the same
    cv2 = None

WORKERS = min(16, os.cpu_count() or 1)
FAR = 1e6  # mm; where padding strips lie
STUD = -2  # among the kinds of marks: it looks like one and is none
IGNORED = cv2.IMREAD_IGNORE_ORIENTATION if cv2 else 0


def read_photo(path):
    """uint8 tensor 3 x H x W, blue first as the program's own pixels are."""
    if cv2:
        return torch.from_numpy(cv2.imread(path, cv2.IMREAD_COLOR | IGNORED)).permute(2, 0, 1)
    from PIL import Image
    rgb = np.asarray(Image.open(path).convert("RGB"))
    return torch.from_numpy(rgb[:, :, ::-1].copy()).permute(2, 0, 1)


def read_pgm(path):
    """uint8 tensor 1 x H x W from a binary P5 file without comments."""
    data = open(path, "rb").read()
    fields = data.split(None, 4)[:4]
    width, height = int(fields[1]), int(fields[2])
    return torch.from_numpy(np.frombuffer(data[-width * height:], np.uint8)
                            .reshape(1, height, width).copy())


def scene_stems(folder, prefix):
    """Stems of the scenes whose names start with `prefix` ("val_"); "" means all but held-out."""
    names = sorted(glob.glob(os.path.join(folder, prefix + "*.truth.json")))
    if not prefix:
        names = [n for n in names if not os.path.basename(n).startswith("val_")]
    return [n[: -len(".truth.json")] for n in names]


def to_stack(view, px):
    """Photo pixels (n x 2) to stack mm; the radial term is inverted by fixed-point iteration."""
    h = np.linalg.inv(np.asarray(view["photo_from_stack"], float).reshape(3, 3))
    centre, diagonal = np.asarray(view["centre"], float), view["half_diagonal"]
    d = np.asarray(px, float).reshape(-1, 2) - centre
    p = d
    for _ in range(12):
        p = d / (1 + view["k1"] * (p * p).sum(1, keepdims=True) / diagonal ** 2)
    s = np.c_[p + centre, np.ones(len(p))] @ h.T
    return s[:, :2] / s[:, 2:]


def cut_off(quad, strip):
    """A text that runs over the edge of its module by more than a millimetre is not whole."""
    top, bottom, left, right = strip
    low, high = quad.min(0), quad.max(0)
    return bool(low[1] < top - 1 or high[1] > bottom + 1 or low[0] < left - 1 or high[0] > right + 1)


def truth_rows(path):
    """One scene's truth as plain numbers; marks and texts in stack mm."""
    t = json.load(open(path))
    row = {"size": (t["height"], t["width"]), "stack": bool(t["slots"]), "marks": [], "texts": [],
           "strings": [], "strips": [], "view": t.get("view")}
    if not row["stack"]:
        return row
    row["extent"] = (t["pack"]["sides"][t["side"]]["strip_mm"], t["strips_mm"][-1]["bottom"])
    row["strips"] = [[s["top"], s["bottom"], s["left"], s["right"]] for s in t["strips_mm"]]
    for slot, strip in zip(t["slots"], row["strips"]):
        for mark in slot.get("vents", []) + slot.get("signs", []):
            if mark.get("under_stud"):
                continue
            kind = {"+": 1, "-": 2}.get(mark.get("sign"), 0)
            row["marks"].append([*to_stack(t["view"], mark["centre"])[0], kind, mark["covered"]])
        for stud in slot.get("studs", []):
            row["marks"].append([*to_stack(t["view"], stud)[0], STUD, 0])
        for w in slot.get("writing", []):
            q = to_stack(t["view"], w["quad"])
            along, down = q[1] - q[0], q[3] - q[0]
            row["texts"].append([*q.mean(0), np.hypot(*along), np.hypot(*down),
                                 round(w["rotation_deg"] / 90) % 4, 2 if w["covered"] else cut_off(q, strip),
                                 np.arctan2(along[1], along[0])])
            row["strings"].append(w["text"])
    return row


def padded(rows, width, fill, device):
    """Lists of lists of numbers -> N x longest x width."""
    out = np.full((len(rows), max([len(r) for r in rows] + [1]), width), fill, np.float32)
    for i, r in enumerate(rows):
        if r:
            out[i, :len(r)] = r
    return torch.from_numpy(out).to(device)


class Scenes:
    """Truth of many scenes. Fields with N rows: h (3x3, double, CPU), k1, centre, diagonal,
    extent (strip, axis mm), strips (top bottom left right), marks (x y kind covered; kind 0 vent,
    1 plus, 2 minus, -1 padding, STUD a stud on the face), texts (x y length height quarter hidden angle; hidden 1 where it runs
    over the edge of its module, 2 where something lies over it)."""

    def __init__(self, stems, device):
        with ThreadPoolExecutor(WORKERS) as pool:
            rows = list(pool.map(lambda s: truth_rows(s + ".truth.json"), stems))
        self.stems, self.device = stems, device
        self.sizes = np.array([r["size"] for r in rows]).reshape(-1, 2)  # h w
        self.stack = np.array([r["stack"] for r in rows], bool)
        flat = {"photo_from_stack": np.eye(3).ravel().tolist(), "k1": 0.0, "centre": [0.0, 0.0],
                "half_diagonal": 1.0}
        views = [r["view"] if r["stack"] else flat for r in rows]
        self.h = np.array([v["photo_from_stack"] for v in views], float).reshape(-1, 3, 3)
        tensor = lambda x: torch.tensor(np.array(x, np.float32), device=device)
        self.k1 = tensor([v["k1"] for v in views])
        self.centre = tensor([v["centre"] for v in views])
        self.diagonal = tensor([v["half_diagonal"] for v in views])
        self.extent = np.array([r.get("extent", (1.0, 1.0)) for r in rows], float)
        self.strips = padded([r["strips"] for r in rows], 4, FAR, device)
        self.count = np.array([len(r["strips"]) for r in rows])
        self.marks = padded([r["marks"] for r in rows], 4, -1, device)
        self.texts = padded([r["texts"] for r in rows], 7, -1, device)
        self.text_count = np.array([len(r["texts"]) for r in rows])
        self.strings = [r["strings"] for r in rows]

    def __len__(self):
        return len(self.stems)

    def distorted(self, ideal, at):
        """Ideal points B x ... x 2 of the scenes `at` -> photo pixels."""
        shape = (-1,) + (1,) * (ideal.dim() - 1)
        centre = self.centre[at].view(shape[:-1] + (2,))
        d = ideal - centre
        k = (self.k1[at] / self.diagonal[at] ** 2).view(shape)
        return centre + d * (1 + k * (d * d).sum(-1, keepdim=True))

    def ideal(self, px, at):
        """The inverse of `distorted`, by fixed-point iteration."""
        shape = (-1,) + (1,) * (px.dim() - 1)
        centre = self.centre[at].view(shape[:-1] + (2,))
        k = (self.k1[at] / self.diagonal[at] ** 2).view(shape)
        d = px - centre
        p = d
        for _ in range(8):
            p = d / (1 + k * (p * p).sum(-1, keepdim=True)).clamp(min=0.5)
        return p + centre


class Bank:
    """Pictures of different sizes in one tensor of bytes, each with its halved copies, from which a
    whole batch of windows is sampled at once."""

    def __init__(self, sizes, full_sizes, channels, levels, device):
        self.levels, self.device = levels, device
        self.shapes = np.zeros((len(sizes), levels, 2), np.int64)
        offset, self.offsets = 0, np.zeros((len(sizes), levels), np.int64)
        for i, (h, w) in enumerate(sizes):
            for level in range(levels):
                self.shapes[i, level], self.offsets[i, level] = (h, w), offset
                offset += int(h) * int(w)
                h, w = (h + 1) // 2, (w + 1) // 2
        ratio = (np.asarray(sizes, float) / np.asarray(full_sizes, float))[:, ::-1]  # x y
        self.ratio = torch.tensor(ratio.copy(), dtype=torch.float32, device=device)
        self.scale = ratio.mean(1)
        self.bytes = torch.empty((offset, channels), dtype=torch.uint8, device=device)

    def put(self, i, picture):
        """Stores picture i, uint8 channels x h x w."""
        for level in range(self.levels):
            h, w = self.shapes[i, level]
            start = self.offsets[i, level]
            self.bytes[start:start + h * w] = picture.permute(1, 2, 0).reshape(h * w, -1)
            if level + 1 < self.levels:
                picture = shrunk(picture, self.shapes[i, level + 1])

    def sample(self, at, px, level):
        """Pictures `at` (numpy, B) at full-size pixels px (B x h x w x 2), bilinear on the copy
        `level` (numpy, B; 0 = full size); beyond the border the border's pixels -> B x C x h x w
        of 0..1."""
        level = np.clip(level, 0, self.levels - 1).astype(np.int64)
        put = lambda x: torch.as_tensor(x, device=self.device).view(-1, 1, 1)
        height, width = (put(self.shapes[at, level, k]) for k in (0, 1))
        start = put(self.offsets[at, level])
        shrink = self.ratio[at] / torch.as_tensor(2.0 ** level, dtype=torch.float32,
                                                  device=self.device)[:, None]
        p = (px + 0.5) * shrink[:, None, None] - 0.5
        x = torch.minimum(p[..., 0].clamp(min=0), width - 1.0)
        y = torch.minimum(p[..., 1].clamp(min=0), height - 1.0)
        x0, y0 = x.floor(), y.floor()
        fx, fy = (x - x0)[..., None], (y - y0)[..., None]
        x0, y0 = x0.long(), y0.long()
        right = (x0 + 1 < width).long()
        down = (y0 + 1 < height).long() * width
        index = start + y0 * width + x0
        tap = lambda i: self.bytes.index_select(0, i.reshape(-1)).view(*i.shape, -1).float()
        top = torch.lerp(tap(index), tap(index + right), fx)
        bottom = torch.lerp(tap(index + down), tap(index + right + down), fx)
        return torch.lerp(top, bottom, fy).permute(0, 3, 1, 2) / 255


def shrunk(photo, size):
    if tuple(photo.shape[1:]) == tuple(size):
        return photo
    if cv2:
        rows = photo.permute(1, 2, 0).contiguous().cpu().numpy()
        small = cv2.resize(rows, (int(size[1]), int(size[0])), interpolation=cv2.INTER_AREA)
        return torch.from_numpy(small.reshape(*small.shape[:2], -1)).permute(2, 0, 1)
    small = F.interpolate(photo[None].float(), size=[int(s) for s in size], mode="bilinear",
                          antialias=True, align_corners=False)[0]
    return small.round().clamp(0, 255).byte()


def fill(scenes, device, long_side=None, levels=3, cover=False):
    """Decodes every photo of `scenes` once. Returns the photos' bank and, if asked, the covers'."""
    sizes = scenes.sizes.copy()
    if long_side:
        scale = np.minimum(1, long_side / sizes.max(1, keepdims=True))
        sizes = np.maximum(1, np.round(sizes * scale)).astype(int)
    photos = Bank(sizes, scenes.sizes, 3, levels, device)
    covers = None
    if cover:
        quarter = [read_pgm_size(s + ".cover.pgm") for s in scenes.stems]
        covers = Bank(np.array(quarter).reshape(-1, 2), scenes.sizes, 1, 1, device)

    def load(i):
        photo = read_photo(scenes.stems[i] + ".jpg")
        if tuple(photo.shape[1:]) != tuple(scenes.sizes[i]):
            raise ValueError(scenes.stems[i] + ".jpg has another size than its truth says")
        photos.put(i, shrunk(photo.to(device), sizes[i]))
        if cover:
            covers.put(i, read_pgm(scenes.stems[i] + ".cover.pgm").to(device))

    with ThreadPoolExecutor(WORKERS) as pool:
        list(pool.map(load, range(len(scenes))))
    return photos, covers


def read_pgm_size(path):
    with open(path, "rb") as f:
        fields = f.read(64).split(None, 4)
    return int(fields[2]), int(fields[1])


def within(stems, gigabytes, long_side=None, bytes_per_pixel=4.0):
    """As many scenes as fit, judged by the sizes in their truth; evenly over the list."""
    room, kept = gigabytes * 1e9, []
    order = np.random.default_rng(1).permutation(len(stems))
    for i in order:
        head = json.load(open(stems[i] + ".truth.json"))
        size = np.array([head["width"], head["height"]], float)
        room -= (size * min(1, (long_side or size.max()) / size.max())).prod() * bytes_per_pixel
        if room < 0:
            break
        kept.append(stems[i])
    return sorted(kept)
