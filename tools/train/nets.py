"""The three networks. Only layers that OpenCV 4.6 runs at any input size."""
import torch
import torch.nn as nn


def block(inp, out, stride=1):
    return nn.Sequential(nn.Conv2d(inp, out, 3, stride, 1, bias=False), nn.BatchNorm2d(out), nn.ReLU(inplace=True))


class UNet(nn.Module):
    """Encoder halving `len(widths)` times, decoder back to stride 2 ** (out_level + 1)."""

    def __init__(self, inp, widths, depths, out_level, up_widths):
        super().__init__()
        self.down, self.up, self.join = nn.ModuleList(), nn.ModuleList(), nn.ModuleList()
        previous = inp
        for width, depth in zip(widths, depths):
            self.down.append(nn.Sequential(block(previous, width, 2), *[block(width, width) for _ in range(depth)]))
            previous = width
        for level in range(len(widths) - 2, out_level - 1, -1):
            width = up_widths[level]
            self.up.append(nn.ConvTranspose2d(previous, width, 2, 2))
            # The finest level is the dearest: one layer joins it.
            more = [] if level == 0 else [block(width, width)]
            self.join.append(nn.Sequential(block(width + widths[level], width), *more))
            previous = width
        self.last = previous

    def forward(self, x):
        skips = []
        for layer in self.down:
            x = layer(x)
            skips.append(x)
        level = len(skips) - 2
        for up, join in zip(self.up, self.join):
            x = join(torch.cat([up(x), skips[level]], 1))
            level -= 1
        return x


class Finder(nn.Module):
    """1x3x384x384 -> 1x5x96x96: mask, u, v, lying, log b."""

    def __init__(self):
        super().__init__()
        self.body = UNet(3, [16, 32, 64, 96, 128, 192], [0, 1, 2, 2, 2, 3], 1, [16, 48, 64, 96, 128])
        self.head = nn.Conv2d(self.body.last, 5, 1)

    def forward(self, x):
        return self.head(self.body(x - 0.5))


class FinderExport(nn.Module):
    def __init__(self, net):
        super().__init__()
        self.net = net

    def forward(self, x):
        y = self.net(x)
        return torch.cat([torch.sigmoid(y[:, 0:1]), y[:, 1:3], torch.sigmoid(y[:, 3:4]), y[:, 4:5]], 1)


class Face(nn.Module):
    """1x3xHxW at 2.5 px/mm -> 1x13xH/2xW/2, planes of FacePlane as logits."""

    def __init__(self):
        super().__init__()
        self.body = UNet(3, [16, 32, 56, 80, 112], [0, 2, 2, 3, 3], 0, [20, 32, 56, 80])
        self.head = nn.Conv2d(self.body.last, 13, 1)

    def forward(self, x):
        return self.head(self.body(x - 0.5))


class FaceExport(nn.Module):
    def __init__(self, net):
        super().__init__()
        self.net = net

    def forward(self, x):
        return torch.sigmoid(self.net(x))


class Reader(nn.Module):
    """Bx1x48x96, each crop at mean 0 and deviation 1 -> Bx49x1x1: length 0..4, four places of 0-9 and none."""

    def __init__(self, widths=(24, 48, 96, 128)):
        super().__init__()
        a, b, c, d = widths
        self.body = nn.Sequential(block(1, a), block(a, a), nn.MaxPool2d(2), block(a, b), block(b, b), nn.MaxPool2d(2),
                                  block(b, c), block(c, c), nn.MaxPool2d(2), block(c, d), block(d, d),
                                  nn.Conv2d(d, 64, 1), nn.ReLU(inplace=True))
        self.drop = nn.Dropout(0.2)
        self.whole = nn.Conv2d(64, 192, (6, 12))
        self.head = nn.Conv2d(192, 49, 1)

    def forward(self, x):
        return self.head(torch.relu(self.whole(self.drop(self.body(x)))))


def export(module, shape, path):
    module = module.eval().float().cpu()
    with torch.no_grad():
        torch.onnx.export(module, torch.zeros(*shape), path, opset_version=11, input_names=["input"],
                          output_names=["output"], **({"dynamo": False} if torch.__version__ >= "2.5" else {}))
