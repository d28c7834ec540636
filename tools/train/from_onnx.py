"""Goes on from a shipped network: ONNX holds each convolution with its normalisation folded in.

The weights are taken over in the order in which the layers run. Each normalisation is then set, from
one batch of inputs, to undo exactly what it would do to that batch, so that the network computes what
the shipped one does and can still be trained."""
import numpy as np
import torch
import torch.nn as nn

from nets import Residual

KINDS = (nn.Conv2d, nn.ConvTranspose2d)


def folded_layers(path):
    """(weight, bias) of every convolution, in running order."""
    import onnx
    from onnx import numpy_helper
    graph = onnx.load(path).graph
    values = {i.name: numpy_helper.to_array(i) for i in graph.initializer}
    values.update({n.output[0]: values[n.input[0]].astype("float32") for n in graph.node
                   if n.op_type == "Cast" and n.input[0] in values})  # kept as half floats
    return [(values[n.input[1]], values[n.input[2]]) for n in graph.node
            if n.op_type in ("Conv", "ConvTranspose")]


def layers_in_order(net, inputs):
    """The convolutions and what normalises each (or None), as they run."""
    order, hooks = [], []

    def ran(layer, *_):
        if isinstance(layer, KINDS):
            order.append([layer, None])
        else:
            order[-1][1] = layer

    for layer in net.modules():
        if isinstance(layer, (*KINDS, nn.BatchNorm2d)):
            hooks.append(layer.register_forward_hook(ran))
    with torch.no_grad():
        net(inputs)
    for hook in hooks:
        hook.remove()
    return order


def undo(norm, bias):
    """A hook that sets the normalisation so that it adds `bias` and nothing else."""
    def before(_, inputs):
        x = inputs[0]
        mean, variance = x.mean((0, 2, 3)), x.var((0, 2, 3), unbiased=False)
        norm.running_mean.copy_(mean)
        norm.running_var.copy_(variance)
        norm.weight.copy_((variance + norm.eps).sqrt())
        norm.bias.copy_(mean + bias)
    return norm.register_forward_pre_hook(before)


def grown(net):
    """The convolutions of each residual block, and what normalises its last one."""
    return {layer: block.b[1] for block in net.modules() if isinstance(block, Residual)
            for layer in (block.a[0], block.b[0])}


def go_on_from(net, path, inputs):
    """Sets `net` to the network in the file, or its first layers as far as they have the same shape;
    residual blocks that the file lacks add nothing at first. `inputs` is a batch as in training."""
    net.eval()
    hooks, new = [], grown(net)
    with torch.no_grad():
        order, folded = layers_in_order(net, inputs), folded_layers(path)
        for layer, norm in order:
            if not folded or tuple(layer.weight.shape) != folded[0][0].shape:
                if layer not in new:
                    break
                new[layer].weight.zero_()
                new[layer].bias.zero_()
                continue
            weight, bias = (torch.from_numpy(np.array(v)) for v in folded.pop(0))
            layer.weight.copy_(weight)
            if norm is None:
                layer.bias.copy_(bias)
            else:
                hooks.append(undo(norm, bias))
        net(inputs)
    for hook in hooks:
        hook.remove()
    net.train()
