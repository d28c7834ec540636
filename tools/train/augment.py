"""Light, colour and sensor varied on the device."""
import torch
import torch.nn.functional as F


def mean_filter(x, size):
    r = size // 2
    return F.avg_pool2d(F.pad(x, (r, r, r, r), mode="replicate"), size, 1)


def softened(x):
    """From a little over-sharpened to well blurred, per picture."""
    r = lambda: torch.rand(len(x), 1, 1, 1, device=x.device)
    small = mean_filter(x, 3)
    x = x + (small - x) * (r() * 1.8 - 0.7).clamp(-0.5, 1)
    return x + (mean_filter(x, 5) - x) * (r() * 2.0 - 1.2).clamp(0, 1)


def coarse(x):
    """Some pictures at half the resolution, as from a distant photo."""
    low = F.interpolate(F.avg_pool2d(x, 2), size=x.shape[2:], mode="bilinear", align_corners=False)
    share = (torch.rand(len(x), 1, 1, 1, device=x.device) * 2.4 - 1.6).clamp(0, 1)
    return x + (low - x) * share


def shaded(x):
    """A slope of light across the picture."""
    b, _, h, w = x.shape
    slope = (torch.rand(b, 2, 1, 1, device=x.device) - 0.5) * 1.2
    slope = slope * torch.rand(b, 1, 1, 1, device=x.device)
    gx = torch.linspace(-0.5, 0.5, w, device=x.device).view(1, 1, 1, w)
    gy = torch.linspace(-0.5, 0.5, h, device=x.device).view(1, 1, h, 1)
    return x * torch.exp(slope[:, :1] * gx + slope[:, 1:] * gy)


def tinted(x):
    """Exposure, gamma, colour cast, saturation, blur and noise over a batch B x C x H x W of 0..1;
    half a stop brighter to a stop and a half darker."""
    b, c = x.shape[:2]
    r = lambda *s: torch.rand(*s, device=x.device)
    x = shaded(x.clamp(0.003, 1)) ** torch.exp((r(b, 1, 1, 1) - 0.5) * 0.9)
    x = x * torch.exp((r(b, c, 1, 1) - 0.5) * 0.3) * torch.exp((r(b, 1, 1, 1) - 0.65) * 0.9)
    x = x + (r(b, 1, 1, 1) - 0.5) * 0.12
    grey = x.mean(1, keepdim=True)
    x = softened(grey + (x - grey) * (r(b, 1, 1, 1) * 1.4))
    x = x + torch.randn_like(x) * (r(b, 1, 1, 1) ** 2 * 0.05)
    return x.clamp(0, 1)


def bent(count, height, width, reach, device):
    """How far each pixel of `count` pictures moves, B x 2 x height x width: smooth, of `reach` px at most as
    its deviation. No hand forms a digit twice alike (elastic distortions: Simard et al. 2003)."""
    strength = torch.rand(count, 1, 1, 1, device=device) * reach
    coarse_field = torch.randn(count, 2, 5, 9, device=device) * strength
    return F.interpolate(coarse_field, size=(height, width), mode="bicubic", align_corners=True)


def thickened(x):
    """Light lines of some pictures broader, dark ones of others: most of a pixel at each edge."""
    r = lambda: torch.rand(len(x), 1, 1, 1, device=x.device)
    light, dark = F.max_pool2d(x, 3, 1, 1), -F.max_pool2d(-x, 3, 1, 1)
    broad = torch.where(r() < 0.5, light, dark)
    return torch.where(r() < 0.4, x + (broad - x) * r() * 0.8, x)
