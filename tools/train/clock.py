"""What the trainers share: options, device, copies on several GPUs, and training by the clock."""
import argparse
import math
import os
import signal
import time

import torch
import torch.distributed as dist

from from_onnx import go_on_from

STARTED = time.time()


class Clock:
    """Rate of learning by the share of the time that is spent: a short rise, then half a cosine.

    The time runs from the start of the program, so that loading the data counts. SIGTERM ends the
    training at the next step; what follows (measuring, export) still happens.
    """

    def __init__(self, minutes, optimizer, peak):
        self.first = time.time()
        self.last = max(STARTED + minutes * 60, self.first + 1) if minutes else self.first
        self.optimizer, self.peak, self.steps, self.saved = optimizer, peak, 0, time.time()
        self.stopped = False
        signal.signal(signal.SIGTERM, self._stop)

    def _stop(self, *_):
        self.stopped = True

    def tick(self):
        """Sets the rate for the next step; False when the time is over."""
        over = self.stopped or self.last == self.first
        spent = 1.0 if over else (time.time() - self.first) / (self.last - self.first)
        spent = same_for_all(spent)
        if spent >= 1:
            return False
        rise = min(1.0, spent / 0.04 + 0.01)
        rate = self.peak * (rise * 0.5 * (1 + math.cos(math.pi * spent)) + 1e-3)
        for group in self.optimizer.param_groups:
            group["lr"] = rate
        self.steps += 1
        return True

    def save_due(self, every=75):
        """True once in `every` seconds."""
        due = time.time() - self.saved > every
        if due:
            self.saved = time.time()
        return due


def base_options(batch, *names):
    """Options of every trainer; `names` are its own positional ones between scenes and out."""
    args = argparse.ArgumentParser()
    for name in ("scenes", *names, "out"):
        args.add_argument(name)
    args.add_argument("--minutes", type=float, default=6, help="from start to end of training; 0 only measures")
    args.add_argument("--batch", type=int, default=batch)
    args.add_argument("--peak", type=float, default=2e-3, help="highest rate of learning")
    args.add_argument("--from-weights", help="folder with weights of an earlier training to go on from")
    return args


def started(net, name, args, device, inputs):
    """The network on the device, with the weights to go on from where there are any: NAME.pt of
    an earlier training or else NAME.onnx as shipped. `inputs`: a batch as in training."""
    path = os.path.join(args.from_weights or "", name)
    if args.from_weights and os.path.exists(path + ".pt"):
        net.load_state_dict(torch.load(path + ".pt", map_location="cpu"))
        print(name, "goes on from", path + ".pt", flush=True)
    elif args.from_weights and os.path.exists(path + ".onnx"):
        go_on_from(net, path + ".onnx", inputs.cpu())
        print(name, "goes on from", path + ".onnx", flush=True)
    net = net.to(device, memory_format=torch.channels_last)
    for value in net.state_dict().values() if dist.is_initialized() else ():
        dist.broadcast(value, 0)
    return net


def copies():
    """(K, N): this is the K-th of N copies of one training (RANK and WORLD_SIZE, as torch.distributed reads
    them). Each learns from its own data, and every step goes by the mean of all their gradients."""
    return (dist.get_rank(), dist.get_world_size()) if dist.is_initialized() else (0, 1)


def same_for_all(number):
    """The greatest of what the copies say, so that all end at the same step."""
    if dist.is_initialized():
        device = "cuda" if torch.cuda.is_available() else "cpu"
        told = torch.tensor(number, dtype=torch.float64, device=device)
        dist.all_reduce(told, dist.ReduceOp.MAX)
        return told.item()
    return number


def setup(seed):
    """Device and its fast settings; every copy throws other dice."""
    device = "cuda" if torch.cuda.is_available() else "cpu"
    if int(os.environ.get("WORLD_SIZE", 1)) > 1:
        dist.init_process_group("nccl" if device == "cuda" else "gloo")
    torch.manual_seed(seed + 1000 * copies()[0])
    if device == "cuda":
        torch.backends.cudnn.benchmark = True
        # Coordinates are products of matrices too: ten bits of mantissa would be pixels off.
        torch.backends.cuda.matmul.allow_tf32 = False
    return device


def save_weights(net, path):
    """Plain float32 tensors on the CPU, written whole or not at all."""
    os.makedirs(os.path.dirname(path) or ".", exist_ok=True)
    torch.save({k: v.detach().float().cpu() if v.is_floating_point() else v.cpu()
                for k, v in net.state_dict().items()}, path + ".new")
    os.replace(path + ".new", path)


def step_of(net, optimizer, loss):
    """One step; a loss that is no number changes nothing."""
    optimizer.zero_grad(set_to_none=True)
    loss.backward()
    if dist.is_initialized():
        slopes = [p.grad for p in net.parameters() if p.grad is not None]
        together = torch.cat([g.flatten() for g in slopes]) / copies()[1]
        dist.all_reduce(together)
        for g, mean in zip(slopes, together.split([g.numel() for g in slopes])):
            g.copy_(mean.view_as(g))
    norm = torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
    if torch.isfinite(norm):
        optimizer.step()
    return loss


def autocast(device):
    return torch.autocast(device, dtype=torch.bfloat16, enabled=device != "cpu")  # slow there
