"""Crops for the number reader: cut from the scenes' writing, and drawn ones from files."""
import glob
import os

import numpy as np
import torch
import torch.nn.functional as F

from augment import bent
from data import Scenes, fill
from warp import grid, project, scale_at

H, W = 48, 96        # what the reader sees
TEXT_PX = 28.0       # height of the text in it
LONG_PX = 82.0       # greatest length of the text in it
ROOM = (128, 216)    # a stored crop: wider than what is seen, for turns and shifts,
FINER = 4 / 3        #   and finer, so that cutting again costs little
GREY = (0.114, 0.587, 0.299)  # weights of blue, green, red: as cv::cvtColor's BGR2GRAY
RECORD = H * W + 8   # bytes: picture, length, four digits (10 = none), kind, ambiguous, reserved
UNITS = (8.0, 4.0, 0.2, 0.15)  # px, px, logarithm, rad: in which the network tells a framing
TURNABLE, SIDEWAYS = set("01689"), set("01")  # may also be a number half turned, quarter turned


def reading_scale(length, height):
    """px per mm at which a text of this size (mm) is read."""
    return np.minimum(TEXT_PX / height, LONG_PX / length)


def encode(text):
    return [len(text)] + [int(c) for c in text] + [10] * (4 - len(text))


class Crops:
    """N crops on the device: pixels uint8 N x C x h x w, codes N x 5, length_px of the text in the
    reader's picture, and which may be a number after half or a quarter turn."""

    def __init__(self, pixels, codes, length_px, turnable, sideways):
        self.pixels, self.codes, self.length_px = pixels, codes, length_px
        self.turnable, self.sideways = turnable, sideways

    def __len__(self):
        return len(self.codes)


def strip_of(strips, y):
    """Upper and lower border of the strip that y lies on."""
    return strips[np.abs(strips[:, :2].mean(1) - y).argmin(), :2]


def empty_places(scenes, i, count, rng):
    """Places without writing, some of them signs and vents, as (x, y, px per mm, angle)."""
    texts = scenes.texts[i, :scenes.text_count[i], :3].cpu().numpy()
    marks = scenes.marks[i].cpu().numpy()
    marks = marks[marks[:, 2] >= 0]
    out = []
    for _ in range(count):
        if len(marks) and rng.random() < 0.4:
            x, y = marks[rng.integers(len(marks)), :2]
        else:
            x, y = rng.random(2) * scenes.extent[i]
        apart = np.abs(texts[:, 0] - x) / (14 + texts[:, 2] / 2) + np.abs(texts[:, 1] - y) / 26
        if len(texts) == 0 or apart.min() > 1:
            out.append((x, y, TEXT_PX / rng.uniform(5, 16), np.pi / 2 * rng.integers(0, 4)))
    return out


def parts_seen(text, digits):
    """A text that something lies over as it may be found: the whole, and each digit alone, as
    (x, y, px per mm)."""
    x, y, length, height, _, _, angle = text
    found = [(x, y, reading_scale(length, height))]
    for k in range(digits) if digits > 1 else ():
        off = ((k + 0.5) / digits - 0.5) * length
        found.append((x + off * np.cos(angle), y + off * np.sin(angle),
                      reading_scale(length / digits, height)))
    return found


def places(scenes, rng):
    """Every uncovered text of one to four digits, some empty places, and as empty as those what
    shows of texts that something lies over: a number is read whole or not at all.
    Rows of scene, x, y, scale, angle, length px, and the borders of its strip; and their texts."""
    rows, strings = [], []
    for i in np.nonzero(scenes.stack)[0]:
        texts = scenes.texts[i, :scenes.text_count[i]].cpu().numpy()
        strips = scenes.strips[i, :scenes.count[i]].cpu().numpy()
        for t, string in zip(texts, scenes.strings[i]):
            if t[5] == 1 or not (string.isdigit() and len(string) <= 4) or min(t[2], t[3]) <= 0:
                continue
            if t[5] == 2:
                for x, y, scale in parts_seen(t, len(string)):
                    rows.append((i, x, y, scale, t[6], 0.0, *strip_of(strips, y)))
                    strings.append("")
                continue
            scale = float(reading_scale(t[2], t[3]))
            rows.append((i, t[0], t[1], scale, t[6], t[2] * scale, *strip_of(strips, t[1])))
            strings.append(string)
        for x, y, scale, angle in empty_places(scenes, i, 3 + len(texts) // 6, rng):
            rows.append((i, x, y, scale, angle, 0.0, *strip_of(strips, y)))
            strings.append("")
    return np.array(rows, float).reshape(-1, 8), strings


def own_strip(image, mm, borders, rng):
    """What lies beyond the strip's borders (B x 2, known to about a millimetre) takes the mean
    colour of what lies within: what neighbours carry must not be read along."""
    slack = rng.uniform(-0.3, 1.3, borders.shape) * (-1, 1)
    low, high = torch.tensor(borders + slack, dtype=torch.float32, device=mm.device).unbind(1)
    y = mm[..., 1]
    inside = ((y > low[:, None, None]) & (y < high[:, None, None]))[:, None]
    mean = (image * inside).sum((2, 3), keepdim=True) / inside.sum((2, 3), keepdim=True).clamp(min=1)
    return torch.where(inside, image, mean)


def cut(scenes, photos, rows, size, finer, rng, batch=128):
    """uint8 N x 3 x size: the pictures at `rows`, upright in the text's own direction."""
    out = torch.empty((len(rows), 3, *size), dtype=torch.uint8, device=scenes.device)
    for k in range(0, len(rows), batch):
        r = rows[k:k + batch]
        at = r[:, 0].astype(int)
        step = 1 / (r[:, 3] * finer)  # mm per stored pixel
        c, s = np.cos(r[:, 4]) * step, np.sin(r[:, 4]) * step
        m = np.zeros((len(r), 3, 3))
        m[:, 0, 0], m[:, 0, 1], m[:, 1, 0], m[:, 1, 1], m[:, 2, 2] = c, -s, s, c, 1
        middle = (np.array(size)[::-1] - 1) / 2
        m[:, :2, 2] = r[:, 1:3] - m[:, :2, :2] @ middle
        maps = scenes.h[at] @ m
        level = np.round(np.log2(np.maximum(1, scale_at(maps, *middle))))
        px = scenes.distorted(project(maps, grid(*size, 1, scenes.device)), at)
        image = own_strip(photos.sample(at, px, level), project(m, grid(*size, 1, scenes.device)),
                          r[:, 6:8], rng)
        out[k:k + batch] = (image * 255).round().byte()
    return out


def from_scenes(stems, device, rng, limit, group=192):
    """Crops of all scenes, a group of photos at a time."""
    pixels, codes, lengths, strings = [], [], [], []
    for k in range(0, len(stems), group):
        scenes = Scenes(stems[k:k + group], device)
        rows, texts = places(scenes, rng)
        if len(rows):
            # Gathered in the computer's memory: joining them on the device would take it twice.
            pixels.append(cut(scenes, fill(scenes, device)[0], rows, ROOM, FINER, rng).cpu())
            codes += [encode(t) for t in texts]
            lengths += rows[:, 5].tolist()
            strings += texts
        if len(codes) >= limit:
            break
    if not codes:
        return None
    flag = lambda allowed: torch.tensor([bool(t) and set(t) <= allowed for t in strings],
                                        device=device)
    return Crops(torch.cat(pixels).to(device), torch.tensor(codes, device=device),
                 torch.tensor(lengths, device=device), flag(TURNABLE), flag(SIDEWAYS))


def crop_files(named, held_out):
    """Files of drawn crops: a folder, a pattern, or names parted by commas; "-" for none."""
    parts = [] if named == "-" else named.split(",")
    patterns = [os.path.join(p, "*") if os.path.isdir(p) else p for p in parts]
    found = [f for p in patterns for f in sorted(glob.glob(p))]
    return [f for f in found if os.path.basename(f).startswith("val_") == held_out]


def from_files(files, device, limit):
    """Drawn crops that are not ambiguous."""
    data = [np.fromfile(f, np.uint8) for f in files]
    for name, d in zip(files, data):
        if len(d) % RECORD:
            raise ValueError(f"{name} is not a whole number of records of {RECORD} bytes")
    data = [d.reshape(-1, RECORD) for d in data if len(d)]
    if not data:
        return None
    data = np.concatenate(data)
    data = data[data[:, H * W + 6] == 0][:limit]
    label = data[:, H * W:H * W + 5].astype(np.int64)
    if label[:, 0].max() > 4 or label[:, 1:].max() > 10:
        raise ValueError("a label of the drawn crops is out of range")
    digits, length = label[:, 1:], label[:, 0]
    used = np.arange(4) < length[:, None]
    only = lambda allowed: (np.isin(digits, allowed) | ~used).all(1) & (length > 0)
    put = lambda x: torch.tensor(x, device=device)
    pixels = put(data[:, :H * W].copy()).view(-1, 1, H, W)
    return Crops(pixels, put(label), put(24.0 * length).float(), put(only([0, 1, 6, 8, 9])),
                 put(only([0, 1])))


class Framings:
    """How B pictures are cut from stored crops, all B x 1 x 1: the middle of the picture lies
    (x, y) reader's pixels from the text's, turned by `angle` (rad) and coarser by exp(`scale`),
    stretched by exp(`wide`) and sheared by `shear`."""

    def __init__(self, x, y, scale, angle, wide, shear):
        self.x, self.y, self.scale, self.angle, self.wide, self.shear = x, y, scale, angle, wide, shear

    def told(self):
        """B x 4: how the picture lies on the text as the network tells it, in units of UNITS."""
        told = (-self.x, -self.y, self.scale + self.wide / 2, self.angle)
        return torch.stack(told, -1).view(-1, 4) / torch.tensor(UNITS, device=self.x.device)

    def corrected(self, told):
        """Framings cut anew as the network tells them to be."""
        x, y, scale, angle = (told * torch.tensor(UNITS, device=told.device))[..., None, None].unbind(1)
        # The shift was told in the picture's own directions and pixels.
        c, s = self.angle.cos(), self.angle.sin()
        u, v = (self.x + x) * (self.scale + self.wide).exp(), (self.y + y) * self.scale.exp()
        u = u + self.shear * v
        u, v = u * c - v * s, u * s + v * c
        left_scale, left_angle = self.scale - scale, self.angle - angle
        c, s = left_angle.cos(), left_angle.sin()
        u, v = (u * c + v * s), (v * c - u * s)
        v = v / left_scale.exp()
        u = (u / left_scale.exp() - self.shear * v) / self.wide.exp()
        return Framings(u, v, left_scale, left_angle, self.wide, self.shear)


def inexact(count, strength, device):
    """Framings as inexact as a finder's: `strength` 1 for training, less for measuring."""
    r = lambda s: (torch.rand(count, 1, 1, device=device) * 2 - 1) * s * strength
    return Framings(r(7), r(4), r(0.22), r(0.16), r(0.12), r(0.12))


def cut_again(crops, pick, turn, framings, bend_px=0.0):
    """The reader's pictures (float B x C x 48 x 96, 0..1) of crops `pick`, turned by `turn` quarter
    turns, and the writing bent by up to `bend_px`. Drawn crops have little room around them and carry an
    inexactness of their own: half of what is asked."""
    x = crops.pixels[pick].float() / 255
    b, _, h, w = x.shape
    room = h > H
    f, reach = framings, 1.0 if room else 0.5
    angle = f.angle * reach + turn.view(-1, 1, 1) * (np.pi / 2)
    at = lambda n: torch.arange(n, device=x.device, dtype=torch.float32) - (n - 1) / 2
    yy, xx = torch.meshgrid(at(H), at(W), indexing="ij")
    px = (xx + f.x * reach) * torch.exp((f.scale + f.wide) * reach)
    py = (yy + f.y * reach) * torch.exp(f.scale * reach)
    px = px + f.shear * reach * py
    if bend_px > 0:
        off_x, off_y = bent(b, H, W, bend_px, x.device).unbind(1)
        px, py = px + off_x, py + off_y
    finer = FINER if room else 1.0
    gx = (px * angle.cos() - py * angle.sin()) * finer / (w / 2)
    gy = (px * angle.sin() + py * angle.cos()) * finer / (h / 2)
    return F.grid_sample(x, torch.stack([gx, gy], -1), mode="bilinear", padding_mode="border",
                         align_corners=False)


def cut_again_to(x, size, strength):
    """Squares of `size` from the middle of larger ones (B x C x h x h), inexact as a finder is."""
    b, _, h, _ = x.shape
    r = lambda s: (torch.rand(b, 1, 1, device=x.device) * 2 - 1) * s * strength
    angle, scale = r(0.16), torch.exp(r(0.22))
    at = torch.arange(size, device=x.device, dtype=torch.float32) - (size - 1) / 2
    yy, xx = torch.meshgrid(at, at, indexing="ij")
    apart = size * 5 / 32
    px, py = (xx + r(apart)) * scale * torch.exp(r(0.1)), (yy + r(apart)) * scale
    gx = (px * angle.cos() - py * angle.sin()) / (h / 2)
    gy = (px * angle.sin() + py * angle.cos()) / (h / 2)
    return F.grid_sample(x, torch.stack([gx, gy], -1), mode="bilinear", padding_mode="border",
                         align_corners=False)


def grey(x, vary):
    """B x 1 x h x w; in training with other weights now and then."""
    if x.shape[1] == 1:
        return x
    weights = torch.tensor(GREY, device=x.device).expand(len(x), 3)
    if vary:
        weights = weights * torch.exp(torch.randn(len(x), 3, device=x.device) * 0.5)
        weights = weights / weights.sum(1, keepdim=True)
    return (x * weights[:, :, None, None]).sum(1, keepdim=True)


def coloured(x, vary):
    """B x 3 x h x w. In training grey pictures run from one colour to another, and the channels of
    coloured ones mix a little; a part stays grey, and a part of the coloured ones becomes so."""
    if not vary:
        return x.expand(-1, 3, -1, -1)
    r = lambda *s: torch.rand(len(x), *s, 1, 1, device=x.device)
    if x.shape[1] == 1:
        dark, light = r(3) * 0.6 * r(1), 1 - r(3) * 0.6 * r(1)
        return torch.where(r(1) < 0.4, x, dark + (light - dark) * x)
    mix = torch.eye(3, device=x.device) + torch.randn(len(x), 3, 3, device=x.device) * 0.15 * r(1)[..., 0]
    mix = mix / mix.sum(2, keepdim=True).clamp(min=0.4)
    mixed = torch.einsum("bij,bjhw->bihw", mix, x).clamp(0, 1)
    return torch.where(r(1) < 0.2, grey(x, True), mixed)


def normalised(x):
    """(x - mean) / (deviation + 0.02) for each crop of 0..1, over all its channels; the deviation of
    the population."""
    mean = x.mean((1, 2, 3), keepdim=True)
    return (x - mean) / (x.std((1, 2, 3), keepdim=True, unbiased=False) + 0.02)
