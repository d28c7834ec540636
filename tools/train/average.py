"""The mean of the weights of two networks of one training run, a round apart:
  average.py FIRST.onnx SECOND.onnx OUT.onnx
Works where the second went on from the first: their weights lie in one basin."""
import sys

import onnx
from onnx import numpy_helper


def main():
    first, second = onnx.load(sys.argv[1]), onnx.load(sys.argv[2])
    other = {t.name: numpy_helper.to_array(t) for t in second.graph.initializer}
    for tensor in first.graph.initializer:
        own = numpy_helper.to_array(tensor)
        if own.dtype.kind == "f":
            mean = ((own + other[tensor.name]) / 2).astype(own.dtype)
            tensor.CopyFrom(numpy_helper.from_array(mean, tensor.name))
    onnx.save(first, sys.argv[3])


if __name__ == "__main__":
    main()
