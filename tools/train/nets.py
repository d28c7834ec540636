"""The six networks. Only layers that src/nets/conv_plan.cpp and OpenCV 4.6 run, and at any input size (finder: multiples
of 64, face: multiples of 32)."""
import torch
import torch.nn as nn
import torch.nn.functional as F


def conv(inp, out, stride=1, kernel=3):
    return nn.Sequential(nn.Conv2d(inp, out, kernel, stride, kernel // 2, bias=False),
                         nn.BatchNorm2d(out), nn.ReLU(inplace=True))


class Residual(nn.Module):
    def __init__(self, width):
        super().__init__()
        self.a = conv(width, width)
        self.b = nn.Sequential(nn.Conv2d(width, width, 3, 1, 1, bias=False), nn.BatchNorm2d(width))

    def forward(self, x):
        return F.relu(x + self.b(self.a(x)))


class UNet(nn.Module):
    """Halves len(widths) times, then grows back to the stride of level `out`, adding what the way
    down saw at each level. Level k has stride 2^(k+1); `residuals` and `ups` count its blocks."""

    def __init__(self, widths, residuals, ups, out):
        super().__init__()
        self.down, self.up, self.join = nn.ModuleList(), nn.ModuleList(), nn.ModuleList()
        previous = 3
        for width, count in zip(widths, residuals):
            self.down.append(nn.Sequential(conv(previous, width, 2),
                                           *[Residual(width) for _ in range(count)]))
            previous = width
        for level in range(len(widths) - 2, out - 1, -1):
            self.up.append(nn.ConvTranspose2d(previous, widths[level], 2, 2))
            self.join.append(nn.Sequential(*[conv(widths[level], widths[level])
                                             for _ in range(ups[level])]))
            previous = widths[level]

    def forward(self, x):
        seen = []
        for layer in self.down:
            x = layer(x)
            seen.append(x)
        seen.pop()
        for up, join in zip(self.up, self.join):
            x = join(F.relu(up(x) + seen.pop()))
        return x


class Finder(nn.Module):
    """1x3x384x384 -> 1x5x96x96. Its deepest level is 6x6 with two residual blocks, so each cell
    knows the whole picture."""

    def __init__(self):
        super().__init__()
        self.body = UNet([24, 40, 64, 96, 112, 128], [0, 1, 2, 2, 2, 2], [0, 2, 2, 2, 2], 1)
        self.head = nn.Sequential(conv(40, 48), nn.Conv2d(48, 5, 1))

    def forward(self, x):
        return self.head(self.body(x - 0.5))


class Face(nn.Module):
    """1x3xHxW at 1.25 px/mm -> 1x13xH/2xW/2, planes of FacePlane as logits."""

    def __init__(self):
        super().__init__()
        self.body = UNet([16, 32, 48, 64, 96], [0, 1, 1, 2, 3], [0, 2, 2, 2], 0)
        self.head = nn.Sequential(conv(16, 24), nn.Conv2d(24, 13, 1))
        with torch.no_grad():  # most cells carry nothing: start there
            self.head[1].bias.copy_(torch.tensor([-2.5, -4, -4, -2] + [-4.5] * 4 + [-1, -1] +
                                                 [-4.5] * 3))

    def forward(self, x):
        return self.head(self.body(x - 0.5))


class Reader(nn.Module):
    """Bx1x48x96, each crop at mean 0 and deviation 1 -> Bx22x1x24: two columns a cell, each with
    logits of none and the digits 0-9. Reads as connectionist temporal classification does (Graves
    et al. 2006): every column sees its own surroundings only, so that a digit is learnt once for
    all places."""

    def __init__(self):
        super().__init__()
        self.body = nn.Sequential(
            conv(1, 20, kernel=5), nn.MaxPool2d(2), conv(20, 36), conv(36, 36), Residual(36),
            nn.MaxPool2d(2), conv(36, 68), conv(68, 68), Residual(68), nn.MaxPool2d((2, 1)),
            conv(68, 128), Residual(128), Residual(128))
        self.drop = nn.Dropout(0.2)
        self.tall = nn.Sequential(nn.Conv2d(128, 192, (6, 1), bias=False), nn.BatchNorm2d(192),
                                  nn.ReLU(inplace=True))
        self.beside = nn.Sequential(nn.Conv2d(192, 160, (1, 3), 1, (0, 1), bias=False),
                                    nn.BatchNorm2d(160), nn.ReLU(inplace=True))
        self.head = nn.Conv2d(160, 22, 1)

    def forward(self, x):
        return self.head(self.drop(self.beside(self.tall(self.drop(self.body(x))))))


class Places(nn.Module):
    """Bx3x48x96 (blue, green, red), each crop at mean 0 and deviation 1 -> Bx53: length 0..4, four
    places of 0-9 and none, then how the crop lies on the number (`framing` of reader_data). Sees the
    whole crop at once and in colour: other mistakes than the reader's."""

    def __init__(self):
        super().__init__()
        self.body = nn.Sequential(
            conv(3, 32, kernel=5), nn.MaxPool2d(2), conv(32, 48), Residual(48), nn.MaxPool2d(2),
            conv(48, 96), Residual(96), Residual(96), nn.MaxPool2d(2), conv(96, 128), Residual(128),
            Residual(128), Residual(128))
        self.drop = nn.Dropout(0.2)
        self.tall = nn.Sequential(nn.Conv2d(128, 160, (6, 1), bias=False), nn.BatchNorm2d(160),
                                  nn.ReLU(inplace=True))
        self.whole = nn.Conv2d(160, 192, (1, 12))
        self.head = nn.Conv2d(192, 53, 1)

    def forward(self, x):
        x = F.relu(self.whole(self.drop(self.tall(self.drop(self.body(x))))))
        return torch.flatten(self.head(self.drop(x)), 1)


class Patch(nn.Module):
    """BxPxSxS, each patch at mean 0 and deviation 1 -> BxCx1x1. Sign: 48 px at 4 px/mm in blue, green and
    red; neither, plus, minus. Vent: 32 px at 1.25 px/mm in grey; none, vent."""

    def __init__(self, classes, hidden, size, planes):
        super().__init__()
        self.body = nn.Sequential(conv(planes, 16), conv(16, 24), nn.MaxPool2d(2), conv(24, 48),
                                  Residual(48), nn.MaxPool2d(2), conv(48, 80), Residual(80),
                                  nn.MaxPool2d(2))
        self.head = nn.Sequential(nn.Conv2d(80, hidden, size // 8, bias=False), nn.BatchNorm2d(hidden),
                                  nn.ReLU(), nn.Dropout(0.2), nn.Conv2d(hidden, classes, 1))

    def forward(self, x):
        return self.head(self.body(x))


class FinderOutput(nn.Module):
    """What is shipped: probabilities for the mask and for lying."""

    def __init__(self, net):
        super().__init__()
        self.net = net

    def forward(self, x):
        y = self.net(x)
        return torch.cat([torch.sigmoid(y[:, 0:1]), y[:, 1:3], torch.sigmoid(y[:, 3:4]),
                          y[:, 4:5]], 1)


class FaceOutput(nn.Module):
    def __init__(self, net):
        super().__init__()
        self.net = net

    def forward(self, x):
        return torch.sigmoid(self.net(x))


# name: network, what is shipped, input shape
NETS = {"finder": (Finder, FinderOutput, (1, 3, 384, 384)),
        "face": (Face, FaceOutput, (1, 3, 512, 384)),
        "reader": (Reader, lambda net: net, (1, 1, 48, 96)),
        "places": (Places, lambda net: net, (1, 3, 48, 96)),
        "sign": (lambda: Patch(3, 96, 48, 3), lambda net: net, (1, 3, 48, 48)),
        "vent": (lambda: Patch(2, 48, 32, 1), lambda net: net, (1, 1, 32, 32))}


def macs(net, shape):
    """Multiply-accumulates of the convolutions for one input."""
    total, hooks = [0], []

    def count(layer, _, out):
        k = layer.weight[0].numel() if isinstance(layer, nn.Conv2d) else layer.weight[:, 0].numel()
        k = k if isinstance(layer, nn.Conv2d) else layer.in_channels
        total[0] += out.numel() // out.shape[0] * k

    for layer in net.modules():
        if isinstance(layer, (nn.Conv2d, nn.ConvTranspose2d)):
            hooks.append(layer.register_forward_hook(count))
    net.eval()
    with torch.no_grad():
        net(torch.zeros(*shape, device=next(net.parameters()).device))
    for hook in hooks:
        hook.remove()
    return total[0]
