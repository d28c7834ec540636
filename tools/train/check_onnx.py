"""Whether OpenCV's DNN gives what PyTorch gives, at the exported size, another one and in a batch:
  check_onnx.py OUT      (weights NAME.pt in OUT; needs python3-opencv)
The weights are checked as floats: OpenCV 4.6 knows no half floats, as which export.py keeps them."""
import os
import shutil
import sys
import tempfile

import cv2
import numpy as np
import torch

from export import export_net, load_net
from nets import NETS

OTHER = {"finder": (1, 3, 256, 448), "face": (1, 3, 416, 736), "reader": (5, 1, 48, 96),
         "places": (5, 3, 48, 96), "sign": (7, 1, 32, 32), "vent": (7, 1, 32, 32)}
LIMIT = 1e-3


def as_floats(name, folder):
    with tempfile.TemporaryDirectory() as scratch:
        shutil.copy(os.path.join(folder, name + ".pt"), scratch)
        export_net(name, scratch)
        return cv2.dnn.readNetFromONNX(os.path.join(scratch, name + ".onnx"))


def difference(net, onnx, shape, rng):
    x = rng.random(shape, dtype=np.float32)
    onnx.setInput(x)
    got = onnx.forward()
    with torch.no_grad():
        want = net(torch.from_numpy(x)).numpy()
    if got.shape != want.shape:
        return f"shape {got.shape}, not {want.shape}", np.inf
    return str(want.shape), float(np.abs(got - want).max())


def main():
    folder, worst, rng = sys.argv[1], 0.0, np.random.default_rng(5)
    for name, (_, _, shape) in NETS.items():
        net = load_net(name, folder)
        onnx = as_floats(name, folder)
        for size in (shape, OTHER[name], shape):
            what, apart = difference(net, onnx, size, rng)
            print(f"{name} {size} -> {what}: differs by {apart:.2g}")
            worst = max(worst, apart)
    print("opencv", cv2.__version__, "torch", torch.__version__)
    if not worst < LIMIT:
        raise SystemExit(f"differs by more than {LIMIT}")


if __name__ == "__main__":
    main()
