"""Windows of rectified sides with their labels, as the face network sees them: 1.25 px/mm, the
planes of FacePlane (include/plumbstack/face_maps.hpp) at half of that, in the frame of an inexact
fit."""
import warnings

import numpy as np
import torch

from warp import grid, homography, project, project_each, scale_at, shift_scale

warnings.filterwarnings("ignore", message="scatter_reduce")  # only old versions call it beta
PX_PER_MM, PLANES = 1.25, 13
SEAM, LEFT, RIGHT, COVER, TEXT, LENGTH, HEIGHT, VENT, PLUS, MINUS = 0, 1, 2, 3, 4, 8, 9, 10, 11, 12
LENGTH_MM, HEIGHT_MM = 64.0, 32.0  # full scale of the size planes
MARGIN = np.array([45.0, 75.0])    # mm around the side that a window may show
RIDGE_MM = 1.6                     # sigma of seams and ends: one cell
MARK_MM = (3.2, 2.4, 2.4)          # sigma of vent, plus, minus
CLOSE_MM = 2.4                     # strips nearer than this share one seam


def fit_errors(count, extent, rng):
    """Frame of the fit -> true frame, mm: corners off by up to 8 % of the side as after the coarse
    finder, or by a millimetre as when the side is looked at again; with it the overall scale, up to
    6 %, at times more (packs too large for the raster are seen smaller)."""
    coarse = rng.random(count) < 0.6
    reach = np.where(coarse[:, None], rng.random((count, 1)) * 0.08 * extent, 1.0)
    corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]])[None] * extent[:, None]
    moved = corners + rng.uniform(-1, 1, (count, 4, 2)) * reach[:, None]
    scale = np.exp(np.where(rng.random(count) < 0.85, rng.uniform(-0.06, 0.06, count),
                            rng.uniform(-0.12, 0.3, count)))
    return homography(corners, moved), scale


def window_maps(extent, size, rng):
    """Raster pixel -> true stack mm (B x 3 x 3), and which windows are half turned."""
    count, (h, w) = len(extent), size
    jitter, scale = fit_errors(count, extent, rng)
    scale = scale / PX_PER_MM
    span = np.stack([w * scale, h * scale], 1)
    low, high = -MARGIN, extent + MARGIN - span
    low, high = np.minimum(low, high), np.maximum(low, high)
    start = low + rng.random((count, 2)) * (high - low)
    turned = rng.random(count) < 0.5
    return half_turned(jitter @ shift_scale(scale, scale, start[:, 0], start[:, 1]), extent,
                       turned), turned


def whole_maps(extent, turned):
    """Map and size of the raster that shows the whole of one side, exactly (1 x 3 x 3, (h, w))."""
    size = np.ceil((extent[0] + 2 * MARGIN) * PX_PER_MM / 32).astype(int) * 32
    start = (extent[0] - size / PX_PER_MM) / 2
    step = np.full(1, 1 / PX_PER_MM)
    maps = shift_scale(step, step, start[:1], start[1:])
    return half_turned(maps, extent, turned), (int(size[1]), int(size[0]))


def half_turned(maps, extent, turned):
    sign, shift = np.where(turned, -1.0, 1.0), np.where(turned[:, None], extent, 0.0)
    return shift_scale(sign, sign, shift[:, 0], shift[:, 1]) @ maps


def raster(scenes, photos, at, maps, size, rng=None):
    """Images B x 3 x h x w and where they lie outside the photo (B x 1 x h x w)."""
    device = scenes.device
    px = scenes.distorted(project(scenes.h[at] @ maps, grid(*size, 1, device)), at)
    shrunk = scale_at(scenes.h[at] @ maps, size[1] / 2, size[0] / 2) * photos.scale[at]
    level = np.log2(np.maximum(1, shrunk))
    level += rng.uniform(-0.4, 0.4, len(at)) if rng is not None else 0
    limit = torch.tensor(scenes.sizes[at][:, ::-1].copy(), dtype=torch.float32, device=device)
    outside = ((px < -0.5) | (px > limit[:, None, None] - 0.5)).any(-1)[:, None]
    image = photos.sample(at, px, np.round(level))
    return torch.where(outside, torch.full((), 0.5, device=device), image), outside


def ridge(distance):
    return torch.exp(-0.5 * (distance / RIDGE_MM) ** 2)


def line_planes(label, mm, scenes, at, turned):
    """Seams between each strip's ends, ends over each strip's thickness."""
    b, h, w, _ = mm.shape
    top, bottom, left, right = scenes.strips[at].unbind(-1)
    far = torch.full_like(top[:, :1], 1e6)
    after = torch.cat([top[:, 1:], far], 1)
    gap = after - bottom
    low = torch.where(gap < CLOSE_MM, bottom + gap / 2, bottom)
    high = torch.cat([top[:, :1], torch.where(gap < CLOSE_MM, low, after)[:, :-1]], 1)
    middle = torch.cummax((bottom + after) / 2, 1).values  # padding must not break the order
    x, y = mm[..., 0].reshape(b, -1), mm[..., 1].reshape(b, -1)
    last = torch.tensor(scenes.count[at] - 1, device=mm.device)[:, None]
    k = torch.minimum(torch.searchsorted(middle.contiguous(), y.contiguous()), last)
    of = lambda rows: torch.gather(rows, 1, k)
    inside = ((x > of(left)) & (x < of(right))).float()
    near = torch.minimum((y - of(high)).abs(), (y - of(low)).abs())
    label[:, SEAM] = (ridge(near) * inside).view(b, h, w)
    along = ((y > of(top)) & (y < of(bottom))).float()
    ends = [(ridge(x - of(edge)) * along).view(b, h, w) for edge in (left, right)]
    swap = torch.tensor(turned, device=mm.device).view(-1, 1, 1)
    label[:, LEFT] = torch.where(swap, ends[1], ends[0])
    label[:, RIGHT] = torch.where(swap, ends[0], ends[1])


class Patches:
    """Square patches of cells around objects, to draw each object where it can matter only."""

    def __init__(self, mm, inverse, places, radius):
        b, h, w, _ = mm.shape
        px = project_each(inverse, places)
        cell = (px - 0.5) / 2
        near = (cell > -radius) & (cell < torch.tensor([w, h], device=mm.device) + radius)
        self.which, self.item = near.all(-1).nonzero(as_tuple=True)
        self.centre = cell[self.which, self.item].round().long()  # x y
        step = torch.arange(-radius, radius + 1, device=mm.device)
        x = self.centre[:, 0].view(-1, 1, 1) + step.view(1, 1, -1)
        y = self.centre[:, 1].view(-1, 1, 1) + step.view(1, -1, 1)
        self.valid = (x >= 0) & (x < w) & (y >= 0) & (y < h)
        self.spot = y.clamp(0, h - 1) * w + x.clamp(0, w - 1)
        rows = mm.reshape(b, h * w, 2)[self.which.view(-1, 1, 1), self.spot]
        self.offset = rows - places[self.which, self.item].view(-1, 1, 1, 2)
        self.area, self.inside = h * w, ((self.centre >= 0) & (
            self.centre < torch.tensor([w, h], device=mm.device))).all(-1)

    def draw(self, target, plane, value):
        """target[which, plane] = max(itself, value) over the patches; plane per patch."""
        base = (self.which * target.shape[1] + plane).view(-1, 1, 1) * self.area
        value = torch.where(self.valid, value, torch.zeros((), device=value.device))
        target.view(-1).scatter_reduce_(0, (base + self.spot).flatten(), value.flatten(), "amax")

    def pin(self, target, plane, keep):
        """Exactly 1 at the centre cell of the patches in `keep`."""
        keep = keep & self.inside
        target[self.which[keep], plane[keep], self.centre[keep, 1], self.centre[keep, 0]] = 1


def mark_planes(label, ignore, mm, inverse, scenes, at):
    marks = scenes.marks[at]
    places = torch.where(marks[..., 2:3] >= 0, marks[..., :2], torch.full_like(marks[..., :2], 1e5))
    p = Patches(mm, inverse, places, 7)
    kind, covered = marks[p.which, p.item, 2].long(), marks[p.which, p.item, 3] > 0
    square = (p.offset ** 2).sum(-1)
    sigma = torch.tensor(MARK_MM, device=mm.device)[kind].view(-1, 1, 1)
    shown = (~covered).view(-1, 1, 1).float()
    p.draw(label, VENT + kind, torch.exp(-0.5 * square / sigma ** 2) * shown)
    p.pin(label, VENT + kind, ~covered)
    hidden = (square < 49).float() * (1 - shown)
    p.draw(ignore, VENT + kind, hidden)
    p.draw(ignore, torch.where(kind > 0, VENT + 3 - kind, kind + VENT), hidden)  # the other sign


def text_planes(label, ignore, mm, inverse, scenes, at, turned, shrink):
    """`shrink`: raster mm per true mm, so that sizes are those that the raster shows."""
    texts = scenes.texts[at]
    places = torch.where(texts[..., 2:3] > 0, texts[..., :2], torch.full_like(texts[..., :2], 1e5))
    p = Patches(mm, inverse, places, 18)
    row = texts[p.which, p.item]
    length, height, quarter, covered, angle = (row[:, k].view(-1, 1, 1) for k in range(2, 7))
    along = p.offset[..., 0] * angle.cos() + p.offset[..., 1] * angle.sin()
    across = p.offset[..., 1] * angle.cos() - p.offset[..., 0] * angle.sin()
    a, b = along / (length * 0.125).clamp(min=2.4), across / (height * 0.125).clamp(min=2.4)
    shown = (covered <= 0).float()
    blob = torch.exp(-0.5 * (a ** 2 + b ** 2)) * shown
    flip = 2 * torch.tensor(turned, dtype=torch.long, device=mm.device)[p.which]
    plane = TEXT + (quarter.view(-1).long() + flip) % 4
    p.draw(label, plane, blob)
    p.pin(label, plane, covered.view(-1) <= 0)
    grow = torch.tensor(shrink, dtype=torch.float32, device=mm.device)[p.which].view(-1, 1, 1)
    core = (blob > 0.3).float()
    p.draw(label, plane * 0 + LENGTH, core * (length * grow / LENGTH_MM).clamp(max=1))
    p.draw(label, plane * 0 + HEIGHT, core * (height * grow / HEIGHT_MM).clamp(max=1))
    hidden = ((along.abs() < length / 2) & (across.abs() < height / 2)).float() * (1 - shown)
    for k in range(4):
        p.draw(ignore, plane * 0 + TEXT + k, hidden)


def labels(scenes, covers, at, maps, turned, size, outside):
    """Labels and what to leave out of the loss, both B x 13 x h/2 x w/2."""
    device, (h, w) = scenes.device, (size[0] // 2, size[1] // 2)
    mm = project(maps, grid(h, w, 2, device))
    label = torch.zeros(len(at), PLANES, h, w, device=device)
    ignore = torch.zeros_like(label)
    line_planes(label, mm, scenes, at, turned)
    inverse = np.linalg.inv(maps)
    mark_planes(label, ignore, mm, inverse, scenes, at)
    shrink = 1 / (PX_PER_MM * scale_at(maps, size[1] / 2, size[0] / 2))
    text_planes(label, ignore, mm, inverse, scenes, at, turned, shrink)
    px = scenes.distorted(project(scenes.h[at] @ maps, grid(h, w, 2, device)), at)
    beyond = torch.nn.functional.max_pool2d(outside.float(), 2)[:, 0]
    label[:, COVER] = torch.maximum(covers.sample(at, px, np.zeros(len(at)))[:, 0], beyond)
    hidden = (label[:, COVER:COVER + 1] > 0.5).float()
    # Lines go on under what covers them: the network may guess them there, at little cost.
    ignore[:, :COVER] = torch.maximum(hidden * 0.85, beyond[:, None])
    ignore[:, TEXT:] = torch.maximum(ignore[:, TEXT:], beyond[:, None])
    return label, ignore


def make(scenes, photos, covers, at, size, rng):
    """A batch for training."""
    maps, turned = window_maps(scenes.extent[at], size, rng)
    image, outside = raster(scenes, photos, at, maps, size, rng)
    return image, *labels(scenes, covers, at, maps, turned, size, outside)


def make_whole(scenes, photos, covers, i, turned):
    """The whole side of scene i, for measuring; also its map and size."""
    at, flag = np.array([i]), np.array([turned])
    maps, size = whole_maps(scenes.extent[at], flag)
    image, outside = raster(scenes, photos, at, maps, size)
    label, ignore = labels(scenes, covers, at, maps, flag, size, outside)
    return image, label, ignore, maps
