"""Grids and plane maps. Pixel centres are whole numbers; a map of stride s has cell j at input
pixel s j + (s - 1) / 2."""
import numpy as np
import torch

_grids = {}


def grid(h, w, step, device):
    """h x w x 3, homogeneous input pixels of the cells' centres."""
    key = (h, w, step, str(device))
    if key not in _grids:
        at = lambda n: torch.arange(n, device=device, dtype=torch.float32) * step + (step - 1) / 2
        y, x = torch.meshgrid(at(h), at(w), indexing="ij")
        _grids[key] = torch.stack([x, y, torch.ones_like(x)], -1)
    return _grids[key]


def project(maps, points):
    """Maps B x 3 x 3 (numpy double) of points h x w x 3 (shared) -> B x h x w x 2."""
    m = torch.as_tensor(maps, dtype=torch.float32, device=points.device)
    m = m[:, None, None]
    q = points[..., 0:1] * m[..., 0] + points[..., 1:2] * m[..., 1] + points[..., 2:3] * m[..., 2]
    return q[..., :2] / q[..., 2:]


def project_each(maps, points):
    """Maps B x 3 x 3 of each one's own points B x n x 2."""
    m = torch.as_tensor(maps, dtype=torch.float32, device=points.device)
    q = points @ m[:, :, :2].transpose(1, 2) + m[:, None, :, 2]
    return q[..., :2] / q[..., 2:]


def scale_at(maps, x, y):
    """Lengths after the map per length before, at (x, y); B."""
    m = np.asarray(maps)
    n = m[:, :2, 0] * x + m[:, :2, 1] * y + m[:, :2, 2]
    d = (m[:, 2, 0] * x + m[:, 2, 1] * y + m[:, 2, 2])[:, None]
    columns = [(m[:, :2, k] * d - n * m[:, 2:3, k]) / d ** 2 for k in (0, 1)]
    (a, b), (c, d) = columns[0].T, columns[1].T
    return np.sqrt(np.abs(a * d - b * c))


def homography(src, dst):
    """B x 4 x 2 corners each -> B x 3 x 3 with h33 = 1."""
    b = len(src)
    a, rhs = np.zeros((b, 8, 8)), np.zeros((b, 8))
    for k in range(4):
        x, y, u, v = src[:, k, 0], src[:, k, 1], dst[:, k, 0], dst[:, k, 1]
        one, nil = np.ones(b), np.zeros(b)
        a[:, 2 * k] = np.stack([x, y, one, nil, nil, nil, -u * x, -u * y], 1)
        a[:, 2 * k + 1] = np.stack([nil, nil, nil, x, y, one, -v * x, -v * y], 1)
        rhs[:, 2 * k], rhs[:, 2 * k + 1] = u, v
    h = np.linalg.solve(a, rhs[..., None])[..., 0]
    return np.concatenate([h, np.ones((b, 1))], 1).reshape(b, 3, 3)


def shift_scale(sx, sy, tx, ty):
    """B maps (x, y) -> (sx x + tx, sy y + ty)."""
    m = np.zeros((len(sx), 3, 3))
    m[:, 0, 0], m[:, 1, 1], m[:, 0, 2], m[:, 1, 2], m[:, 2, 2] = sx, sy, tx, ty, 1
    return m
