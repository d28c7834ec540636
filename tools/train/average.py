"""The mean of the weights of networks that went on from the same one: rounds of one training, or
copies that trained on parts of the data. Their weights lie in one basin.
  average.py NET.onnx... OUT.onnx"""
import sys

import numpy as np
import onnx
from onnx import numpy_helper


def main():
    nets = [onnx.load(name) for name in sys.argv[1:-1]]
    values = [{t.name: numpy_helper.to_array(t) for t in net.graph.initializer} for net in nets]
    for tensor in nets[0].graph.initializer:
        own = values[0][tensor.name]
        if own.dtype.kind == "f":
            mean = np.mean([v[tensor.name] for v in values], 0).astype(own.dtype)
            tensor.CopyFrom(numpy_helper.from_array(mean, tensor.name))
    onnx.save(nets[0], sys.argv[-1])


if __name__ == "__main__":
    main()
