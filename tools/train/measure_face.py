"""Figures of the face network over whole sides of held-out scenes."""
import numpy as np
import torch
import torch.nn.functional as F

from calibrate import cross_check
from face_windows import (COVER, HEIGHT, HEIGHT_MM, LEFT, LENGTH, LENGTH_MM, MINUS, PLUS, RIGHT,
                          SEAM, TEXT, VENT, make_whole)

CELL_MM = 1.6
NEAR_MM = 4.0   # a peak this near to a mark of its kind is right
FLOOR = 0.1     # lower peaks are not looked at
KINDS = {"text": range(TEXT, TEXT + 4), "vent": [VENT], "plus": [PLUS], "minus": [MINUS]}


def peaks(plane, floor=FLOOR, reach=3):
    """Cells (y, x) that are the highest within `reach` cells."""
    top = F.max_pool2d(plane[None, None], 2 * reach + 1, 1, reach)[0, 0]
    return ((plane >= top) & (plane > floor)).nonzero()


def marks_of(out, label, ignore, found, heights, sizes):
    """Peaks against truth; what lies in a left-out place counts neither way."""
    for name, planes in KINDS.items():
        for plane in planes:
            got, want = peaks(out[plane]), (label[plane] >= 0.999).nonzero()
            got = got[ignore[plane][got[:, 0], got[:, 1]] < 0.5]
            apart = torch.cdist(got.float(), want.float()) * CELL_MM
            right = (apart < NEAR_MM).any(1)
            score = out[plane][got[:, 0], got[:, 1]]
            heights[name] += list(zip(score.tolist(), right.tolist()))
            sure = apart[score > 0.3]
            found[name][0] += int((sure < NEAR_MM).any(0).sum()) if len(sure) else 0
            found[name][1] += len(want)
            if name == "text" and len(want):
                y, x = want[:, 0], want[:, 1]
                for k, full in ((LENGTH, LENGTH_MM), (HEIGHT, HEIGHT_MM)):
                    sizes[k] += ((out[k][y, x] - label[k][y, x]).abs() * full).tolist()


def crossing(line, at, reach=2):
    """Sub-cell place of the highest value of `line` within `reach` cells of `at`; None if low."""
    low, high = max(1, round(at) - reach), min(len(line) - 1, round(at) + reach + 1)
    if high - low < 3:
        return None
    k = low + int(np.argmax(line[low:high]))
    if line[k] < 0.25:
        return None
    a, b, c = line[k - 1], line[k], line[min(k + 1, len(line) - 1)]
    bend = a - 2 * b + c
    return k + (0.5 * (a - c) / bend if bend < -1e-6 else 0.0)


def edge_errors(out, cover, points, vertical, errors):
    """`points` (n x 2, cells): places on edges; looked for down a column or along a row."""
    h, w = out.shape
    for x, y in points:
        i, j = int(round(y)), int(round(x))
        if not (4 <= i < h - 4 and 4 <= j < w - 4) or cover[i - 3:i + 4, j - 3:j + 4].max() > 0.3:
            continue
        got = crossing(out[:, j] if vertical else out[i], y if vertical else x)
        errors.append(None if got is None else abs(got - (y if vertical else x)) * CELL_MM)


def lines_of(out, label, strips, maps, turned, errors):
    """Seams at five places of each strip's borders, ends at the middle of each strip."""
    inverse = np.linalg.inv(maps[0])
    cells = lambda mm: ((np.c_[mm, np.ones(len(mm))] @ inverse.T)[:, :2] - 0.5) / 2
    top, bottom, left, right = strips.T
    shared = np.r_[False, top[1:] - bottom[:-1] < 2.4]
    cover = label[COVER]
    for share in (0.07, 0.3, 0.5, 0.7, 0.93):
        x = left + share * (right - left)
        upper = np.where(shared, (top + np.r_[0, bottom[:-1]]) / 2, top)
        edge_errors(out[SEAM], cover, cells(np.c_[x, upper]), True, errors["seam"])
    middle = (top + bottom) / 2
    planes = (RIGHT, LEFT) if turned else (LEFT, RIGHT)
    for plane, x in zip(planes, (left, right)):
        edge_errors(out[plane], cover, cells(np.c_[x, middle]), False, errors["end"])


def summary(errors):
    seen = [e for e in errors if e is not None]
    if not seen:
        return {"places": len(errors), "found": 0}
    q = lambda p: round(float(np.quantile(seen, p)), 3)
    return {"places": len(errors), "found": round(len(seen) / len(errors), 4), "median_mm": q(0.5),
            "p95_mm": q(0.95), "rms_mm": round(float(np.sqrt(np.mean(np.square(seen)))), 3)}


def measure(net, scenes, photos, covers, limit):
    """Figures over whole sides."""
    found, heights = {k: [0, 0] for k in KINDS}, {k: [] for k in KINDS}
    sizes, errors, cover = {LENGTH: [], HEIGHT: []}, {"seam": [], "end": []}, [0, 0]
    chosen = np.nonzero(scenes.stack)[0][:limit]
    for n, i in enumerate(chosen):
        with torch.no_grad():
            image, label, ignore, maps = make_whole(scenes, photos, covers, i, bool(n % 2))
            out = torch.sigmoid(net(image)[0].float()).cpu()
        label, ignore = label[0].cpu(), ignore[0].cpu()
        marks_of(out, label, ignore, found, heights, sizes)
        strips = scenes.strips[i, :scenes.count[i]].cpu().double().numpy()
        lines_of(out.numpy(), label.numpy(), strips, maps, bool(n % 2), errors)
        seen, want = out[COVER] > 0.5, label[COVER] > 0.5
        cover[0] += int((seen & want).sum())
        cover[1] += int((seen | want).sum())
    figures = {"scenes": len(chosen), "cover_iou": round(cover[0] / max(1, cover[1]), 4)}
    for name, (hit, marks) in found.items():
        over = [r for s, r in heights[name] if s > 0.3]
        figures[name] = {"marks": marks, "recall": round(hit / max(1, marks), 4),
                         "precision": round(sum(over) / max(1, len(over)), 4),
                         "reliability": cross_check(heights[name], 0.99)}
    median = lambda k: round(float(np.median(sizes[k])), 2) if sizes[k] else None
    figures["text"].update(length_error_median_mm=median(LENGTH),
                           height_error_median_mm=median(HEIGHT))
    figures.update({k: summary(v) for k, v in errors.items()})
    return figures
