"""Weights -> ONNX, and all figures in one file.

  export.py OUT                    every OUT/NAME.pt -> OUT/NAME.onnx as it is shipped; OUT/figures.json
  export.py OUT --card README.md   also writes the figures into the card, between its two marks
"""
import argparse
import hashlib
import json
import os
import warnings

import torch

from nets import NETS, macs

BEGIN, END = "<!-- figures: written by tools/train/export.py -->", "<!-- end of figures -->"


def load_net(name, folder):
    """The network as shipped, on the CPU."""
    make, output, _ = NETS[name]
    net = make()
    net.load_state_dict(torch.load(os.path.join(folder, name + ".pt"), map_location="cpu"))
    return output(net).eval()


def halve(path):
    """Keeps the weights of the layers as half floats, each cast to float where it is used: half the bytes."""
    import onnx
    from onnx import TensorProto, helper, numpy_helper
    model = onnx.load(path)
    weights = {n.input[1] for n in model.graph.node if n.op_type in ("Conv", "ConvTranspose")}
    casts = []
    for tensor in model.graph.initializer:
        if tensor.name in weights:
            half, full = tensor.name + ".half", tensor.name
            tensor.CopyFrom(numpy_helper.from_array(numpy_helper.to_array(tensor).astype("float16"), half))
            casts.append(helper.make_node("Cast", [half], [full], to=TensorProto.FLOAT))
    nodes = casts + list(model.graph.node)
    del model.graph.node[:]
    model.graph.node.extend(nodes)
    onnx.checker.check_model(model)
    onnx.save(model, path)


def export_net(name, folder):
    """Opset 11 by the tracing exporter: it folds the normalisation into the convolutions. The
    weights stay on disk, so that where a PyTorch lacks that exporter another one can do this."""
    net, path = load_net(name, folder), os.path.join(folder, name + ".onnx")
    newer = int(torch.__version__.split(".")[0]) >= 2
    options = {"dynamo": False} if newer else {}
    try:
        with torch.no_grad(), warnings.catch_warnings():
            warnings.simplefilter("ignore")
            torch.onnx.export(net, (torch.rand(*NETS[name][2]),), path + ".new", opset_version=11,
                              input_names=["input"], output_names=["output"], **options)
        os.replace(path + ".new", path)
        return True
    except Exception as error:  # the weights are what counts; the caller reports
        print("export of", name, "failed:", repr(error), flush=True)
        return False


def describe(name, folder):
    path = os.path.join(folder, name + ".onnx")
    net, shape = NETS[name][0](), NETS[name][2]
    data = open(path, "rb").read()
    return {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data), "input": list(shape),
            "parameters": sum(p.numel() for p in net.parameters()),
            "gmac": round(macs(net, shape) / 1e9, 4)}


def gather(folder):
    """figures.json of all networks that are there; the names of those that are not."""
    figures, missing = {}, []
    for name in NETS:
        if not os.path.exists(os.path.join(folder, name + ".onnx")):
            missing.append(name)
            continue
        figures[name] = describe(name, folder)
        path = os.path.join(folder, name + ".figures.json")
        if os.path.exists(path):
            figures[name].update(json.load(open(path)))
    json.dump(figures, open(os.path.join(folder, "figures.json"), "w"), indent=1)
    return figures, missing


def rows(prefix, value):
    if isinstance(value, dict):
        return [r for k, v in value.items() for r in rows(f"{prefix}{k} ", v)]
    return [f"| {prefix.strip()} | {value} |"]


def write_card(card, figures):
    text = open(card).read()
    head, rest = text.split(BEGIN)
    body = []
    for name, values in figures.items():
        body += [f"### {name}.onnx", "", "| figure | value |", "| --- | --- |",
                 *rows("", values), ""]
    open(card, "w").write(head + BEGIN + "\n" + "\n".join(body) + END + rest.split(END)[1])


def main():
    args = argparse.ArgumentParser()
    args.add_argument("out")
    args.add_argument("--card")
    args = args.parse_args()
    for name in NETS:
        if os.path.exists(os.path.join(args.out, name + ".pt")) and export_net(name, args.out):
            halve(os.path.join(args.out, name + ".onnx"))
    figures, missing = gather(args.out)
    if args.card:
        write_card(args.card, figures)
    if missing:
        raise SystemExit("no " + ", ".join(missing))


if __name__ == "__main__":
    main()
